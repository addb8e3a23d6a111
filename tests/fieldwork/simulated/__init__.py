"""A simulation of field work that shares no code with the project: continuous motion, its ground, and logs of it.

``motion`` drives a tractor whose rear axle does not slip sideways, with an antenna, a hitch and a trailed axle;
``ground`` finds what its sections covered, by shapely alone; ``logs`` writes down what a terminal would have logged.
"""
