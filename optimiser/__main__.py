"""`python -m optimiser` is the command `bankhaul`."""

from optimiser.cli import run

run()
