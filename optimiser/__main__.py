"""`bankhaul` and `python -m optimiser` begin here.

Next to nothing is imported before Ctrl-C is one word instead of a traceback: libraries take a while to load.
"""

from typing import NoReturn

from shared.interrupt import end_at_once


def start() -> NoReturn:
    """The program in a process of its own."""
    with end_at_once():
        from optimiser.cli import run
    run()


if __name__ == "__main__":
    start()
