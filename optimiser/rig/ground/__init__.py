"""Tabulates where things stand and which lines run free: stations, scenes, and the tables made of them
once."""
