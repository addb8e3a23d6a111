"""Rules on products and mixtures."""
