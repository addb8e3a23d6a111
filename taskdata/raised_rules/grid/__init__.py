"""Rules of the family grid that something else than an audit raises."""
