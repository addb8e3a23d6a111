"""Rules of the family identity that something else than an audit raises."""
