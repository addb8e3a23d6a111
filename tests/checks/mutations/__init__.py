"""Single faults put into the sound samples by script: each must be found, and at its place."""
