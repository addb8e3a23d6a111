"""A local page for people without a shell: the same functions as the command line, one step after the other."""
