"""Rules on time logs that need the set around them."""
