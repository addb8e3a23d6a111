"""Coverage of tasks, with the figures of the work."""
