"""Parts of a set: what belongs together, and cutting it out."""
