"""Rules of the family points that something else than an audit raises."""
