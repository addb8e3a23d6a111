"""Rules of the family file that something else than an audit raises."""
