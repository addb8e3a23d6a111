"""Rules on the times of a task and the values in them (TIM, DLV)."""
