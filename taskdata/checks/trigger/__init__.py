"""Rules on what a task asks to be logged (DLT)."""
