"""Many sources: one command over each of them, on this machine or on a cluster, in a way that can be gone on with.

A `Unit` is a plain record of what is to be done with one source; `running.run` does one, wherever it is called; what
maps units over workers (`pool`, `cluster`) knows nothing of what they do.
"""
