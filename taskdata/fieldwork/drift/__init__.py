"""The shift between two sets, and moving by it."""
