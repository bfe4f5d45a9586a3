"""Gear, ground, trees and pullers: generic kinds with their published values and sources."""
