"""Coverage that was exported as polygons or lines with a width, back to tasks with logs."""
