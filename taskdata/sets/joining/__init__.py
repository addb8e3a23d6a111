"""The steps of merging: rank the sources, recognise equal things, number, build, unite the links and files."""
