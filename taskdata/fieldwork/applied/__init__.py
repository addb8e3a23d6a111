"""What was applied on which ground: rates of sections, rate maps, measured quantities."""
