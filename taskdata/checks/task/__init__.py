"""Rules on tasks (TSK) as a whole."""
