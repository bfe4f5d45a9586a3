"""Places worked out from readings: tape, slope, offset, bearing. Pure, in SI units; knows of no file.

`observations` is what can be read, `adjust` makes places of it by least squares, `misreadings` finds the
reading that disagrees with the rest, `weakness` says what to measure next, `refusals` why there are no
places.
"""
