"""Rasters written as GeoTIFF."""
