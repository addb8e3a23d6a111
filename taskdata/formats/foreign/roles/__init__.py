"""What the layers of other programs are, and what their columns hold."""
