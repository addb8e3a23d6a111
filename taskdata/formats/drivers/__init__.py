"""One driver a format: files into tables, and layers into files."""
