"""Rules on setpoints (PDV)."""
