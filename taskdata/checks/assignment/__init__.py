"""Rules on peer control (CAT)."""
