"""Rules of the family model that something else than an audit raises."""
