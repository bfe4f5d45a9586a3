"""Finds the shortest chain of stretches, each hauled with one reeving.

Whatever a rig must keep to it keeps at every place of its stretch, so a rig that works on a stretch
works on every part of it, in no more strokes. Two things follow. The furthest place that any rig
reaches from a place, with so many resets, never moves back when the start moves forward; and of
two ways to have come so far, the one that is further on with no more resets is never worse. So it
is enough to look at the furthest places, and they can be found to the centimetre by halving.
"""
