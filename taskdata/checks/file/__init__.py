"""Rules on the files of a set: there, named once, as long as stated."""
