"""Rules on connections of devices (CNN)."""
