"""Tries changes that may cure a rig, each on the changed site."""
