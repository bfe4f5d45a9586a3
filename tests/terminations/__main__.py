"""`python -m tests.terminations`: every knot, splice and fitting at every place, as the program uses it.

Ends with 1 where a cell is not as it was read through (`reading.py`).
"""

import sys

from tests.terminations.places import PLACES, table
from tests.terminations.reading import READ

WIDE = 28


def main() -> int:
    """Print the table, and how many cells differ."""
    print(
        "= straight   s by a shackle   o round the trunk, no strap   g along a rope   j rope to rope"
    )
    for number, place in enumerate(PLACES, start=1):
        print(f"{number:>4}  {place}")
    print(" " * WIDE + "".join(f"{number:>3}" for number in range(1, len(PLACES) + 1)))
    differing = 0
    for kind, cells in table():
        print(f"{kind:{WIDE}}" + "".join(f"{cell:>3}" for cell in cells))
        differing += sum(a != b for a, b in zip(cells, READ[kind].split(), strict=True))
    print(f"{differing} cells differ from the table that was read through")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main())
