"""The model to a document: a new one, or changes laid over the document the records came from.

``apply`` is the entry. Elements whose records did not change are not touched, so their texts stay exactly.
"""
