"""One repair a module, found by walking this folder; each says what it changes, under which standing, and journals it.

A repair is a function of a document: it silences its rules, touches nothing else, and does nothing the second time.
"""
