"""Describes and lists what the program knows by itself: gear of the catalogue, words of the answers."""
