"""Rules on time stamps."""
