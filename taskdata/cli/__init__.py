"""The command line: one click command a module, no logic."""
