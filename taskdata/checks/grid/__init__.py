"""Rules on grids that need the set around them."""
