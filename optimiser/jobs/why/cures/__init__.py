"""Changes that may cure a rig, each tried on the changed site."""
