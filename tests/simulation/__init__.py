"""Figures of the program beside those of an independent simulation; see ``__main__``."""
