"""Bounds the cost of a rig from below: what is for sale, what may be spent, what a rig costs at least."""
