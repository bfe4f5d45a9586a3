"""Tampers with right answers of every kind and prints what the re-check notices of it.

`python -m tests.tampering --sites 200`: every example that is shipped, so many made-up sites, and a tenth
as many banks with crests. Ends with 1 where anything passes.
"""

import argparse
import sys
from itertools import chain

from tests.tampering.answers import examples, made_up_answers, over_edges
from tests.tampering.table import Table


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.tampering", description=__doc__)
    parser.add_argument("--sites", type=int, default=200, help="made-up sites")
    parser.add_argument("--first", type=int, default=0, help="number of the first of them")
    parser.add_argument("--no-examples", action="store_true", help="made-up sites only")
    options = parser.parse_args()
    table, text = Table(), 0
    shipped = () if options.no_examples else examples()
    made_up = made_up_answers(options.sites, options.first)
    banks = over_edges(options.sites // 10, options.first // 10)
    try:
        for answer in chain(shipped, made_up, banks):
            table.add([answer])
            for line in table.passed[text : text + 20]:
                print(f"NOT NOTICED: {line}", flush=True)
            text = len(table.passed)
    except KeyboardInterrupt:
        print("stopped early: the table so far")
    print(table.text())
    print(f"{len(table.passed)} of {table.tried.total()} passed unnoticed")
    return 1 if table.passed else 0


if __name__ == "__main__":
    sys.exit(main())
