"""The audit: one rule a module, found by walking this folder.

A rule module has ``RULE`` (its constants) and ``check(subject)`` (a generator of findings); adding the file is the
whole registration. A module that passes on what a reader of bytes finds has ``RULES``, that reader's, instead.
"""
