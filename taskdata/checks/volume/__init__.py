"""Rules on how much a set holds, and on proprietary content."""
