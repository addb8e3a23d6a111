"""Points and metres: geodesy, rings and planes as pure functions, without farm words."""
