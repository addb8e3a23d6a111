"""Position logs of GNSS receivers, NMEA 0183."""
