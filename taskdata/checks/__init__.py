"""One rule a module, found by walking this folder."""
