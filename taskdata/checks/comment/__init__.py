"""Rules on comments of a task (CAN)."""
