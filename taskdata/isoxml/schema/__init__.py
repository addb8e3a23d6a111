"""XML schemas written from the fact tables, and validation against them.

Import from the modules: ``generate`` writes the schemas, ``validate`` checks a file.
"""
