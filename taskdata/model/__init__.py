"""Frozen records in the words of the trade: the meaning of a file set, whatever its format.

``shapes`` holds areas, lines and points; ``fields`` farms and fields; ``machines`` devices; ``tasks`` planned and
done work with its grids and logs; ``dataset`` the whole set; ``carried`` what a format keeps beside its layers so that
the way back to ISO-XML is complete.

Coordinates are float64 arrays of shape (n, 2), longitude then latitude in degrees, WGS 84, in the order of the source.
``key`` links a record to the element it came from (its number in document order); None = made here, negative = a point
of a binary file, which has no element of its own. ``place`` says where it stands in the source.
"""
