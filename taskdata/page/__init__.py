"""One self-contained page, or picture, of a set: its map, what was found in it, and what was done."""
