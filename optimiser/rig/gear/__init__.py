"""Decides which piece hangs where: the kit at hand, the slots of a rig, how they are filled."""
