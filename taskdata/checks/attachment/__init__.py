"""Rules on attached files (AFE)."""
