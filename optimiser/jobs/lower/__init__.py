"""Answers how to let the load down: which reeving holds it, where the rope is held, how many turns.

The rope is a walk as in hauling, from its standing end on. Its last place is where it is held: a
trunk with so many round turns, eased out by hand, or a hand winch or vehicle that pays it out.
"""
