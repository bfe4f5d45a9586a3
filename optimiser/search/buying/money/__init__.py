"""What is for sale, what may be spent, and what a rig costs at least."""
