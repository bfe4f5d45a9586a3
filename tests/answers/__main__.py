"""Keeps what is printed today: `python -m tests.answers`, then `git diff tests/answers/kept`.

A change that is meant to leave answers alone leaves no difference; of any other every line that differs is
read before it is kept. With `bank-3.show` only that case.
"""

import os
import sys
import tempfile
from pathlib import Path

from tests.answers.cases import KEPT, SHOP, cases


def main(only: list[str]) -> None:
    """Write the answers; drop those of cases that are no more."""
    KEPT.mkdir(exist_ok=True)
    listed = cases()
    for gone in set(KEPT.glob("*.txt")) - {case.kept for case in listed}:
        gone.unlink()
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "shop.csv").write_text(SHOP, encoding="utf-8")
        os.chdir(folder)
        for case in listed:
            if not only or case.id in only:
                case.kept.write_text(case.answer(), encoding="utf-8")
        os.chdir(KEPT)


if __name__ == "__main__":
    main(sys.argv[1:])
