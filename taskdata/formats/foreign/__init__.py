"""Layers that another program wrote, as a data set."""
