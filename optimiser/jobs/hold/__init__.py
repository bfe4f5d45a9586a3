"""Adds a second line that keeps the load in hand where it would run back, or run on downhill, by
itself.

It leads from the load to another anchor and is tended by somebody: taken in as the load comes up, eased
as it goes down. It is a hold as in letting down, rigged from what the haul leaves of the gear.
"""
