"""Layers to WGS 84: what their coordinates are in, and how they get there."""
