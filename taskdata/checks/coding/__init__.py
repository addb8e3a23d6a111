"""Rules on coding data: base stations, colour legends, practices."""
