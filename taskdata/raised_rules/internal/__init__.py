"""Rules on the program itself."""
