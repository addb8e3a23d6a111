"""The file formats: what each is called, how it is told, and what it holds; light, so that every part may ask."""
