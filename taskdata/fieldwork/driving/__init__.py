"""How straight and evenly was driven."""
