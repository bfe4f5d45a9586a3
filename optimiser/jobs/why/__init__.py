"""Why a rig works or does not, and the smallest change that cures it."""
