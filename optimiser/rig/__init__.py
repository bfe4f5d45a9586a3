"""Models a rig and what it bears: the walk of a rope, ground tables, forces, gear, the finished setup."""
