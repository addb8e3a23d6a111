"""A document as two plain tables that any GIS format can hold, and back."""
