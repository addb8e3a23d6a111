"""Rules of the family import that something else than an audit raises."""
