"""Rules of the family schema that something else than an audit raises."""
