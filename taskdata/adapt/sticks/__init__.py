"""Part a set over several sticks, where one set is more than a terminal takes."""
