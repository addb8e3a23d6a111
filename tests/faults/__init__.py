"""Faults put under the program while it works: kills, full and read-only media, sources that go away, little memory."""
