"""Rules on booms and their sections."""
