"""Rules on points, lines, rings and polygons as they stand in the files."""
