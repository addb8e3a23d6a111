"""Convert, check, clean and compute ISO 11783-10 task data and its GIS relatives."""
