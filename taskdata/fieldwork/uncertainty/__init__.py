"""How well areas are known."""
