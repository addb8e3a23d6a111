"""Outlines of fields made of where work was done."""
