"""Layers as Arrow tables for Python: physical units, geometry that says what it is, and the way back."""
