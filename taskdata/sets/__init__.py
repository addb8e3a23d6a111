"""Two or more sets side by side: which things are the same, what differs, one set out of several."""
