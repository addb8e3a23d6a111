"""What lies on a stick: finding it at any depth, and bringing its files to where they can be read."""
