"""How layers look in a GIS: the palette as the style documents that GIS programs read beside layers."""
