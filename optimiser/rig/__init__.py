"""What a rig is and what it bears: the walk of a rope, ground tables, forces, gear, the finished setup."""
