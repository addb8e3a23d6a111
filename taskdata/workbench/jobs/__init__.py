"""What the workbench does, one kind of work a module, each a call of the public functions."""
