"""What of an existing target this program did not write, so that it is not replaced."""
