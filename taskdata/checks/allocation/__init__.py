"""Rules on devices and products allocated to a task (DAN, PAN)."""
