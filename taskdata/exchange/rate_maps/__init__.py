"""Rate maps from layers and rasters to planned tasks in sets."""
