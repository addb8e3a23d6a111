"""What the readers of schemas and binary files find, passed on."""
