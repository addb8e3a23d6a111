"""Rules on treatment zones (TZN)."""
