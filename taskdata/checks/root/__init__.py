"""Rules on what the root says of a set, and on the capabilities of the task controller."""
