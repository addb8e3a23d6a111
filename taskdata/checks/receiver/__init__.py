"""What one receiving terminal would not take, by its profile."""
