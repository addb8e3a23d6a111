"""Rules of the family coverage that something else than an audit raises."""
