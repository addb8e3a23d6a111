"""A machine by its description and its log: where its parts lie, what works, and when."""
