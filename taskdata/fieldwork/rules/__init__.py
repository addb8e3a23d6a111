"""What may be missing or taken for granted where field work is computed."""
