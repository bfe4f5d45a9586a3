"""Tackle on tackle: a second rope's blocks made fast to the hauling part of the first.

The first rope's walk ends at the grip. The grip lies on the straight line from the first rope's last
place to the place at which the second rope's standing blocks hang: all parts of the second rope at
the grip lead there, so nothing pulls the grip off that line. The second rope hauls the grip along
it; when its blocks have come close, the grip is moved back.
"""
