"""Rate maps: what a layer asks for, brought to zones or cells of a field without a change of totals.

Shapes are in metres of a local plane about the field, rates in the units that the caller gave.
"""
