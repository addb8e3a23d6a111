"""What the reader itself notices in the bytes of a set."""
