"""Rules of the family timelog that something else than an audit raises."""
