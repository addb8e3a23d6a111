"""Open GIS formats: layers to the model and back."""
