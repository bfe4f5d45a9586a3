"""Lists the tests that take long: `python -m tests.slow REPORT.xml` writes `slow.txt` from a whole run's
`--junitxml`, and `conftest.py` marks those as `long`."""

import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

LIST = Path(__file__).with_name("slow.txt")
RARE = Path(__file__).with_name("rare.txt")
"""Of further cases of comparisons and of tables of examples those that are marked `rare`, chosen by hand."""
LIMIT = 0.7
"""s, as measured where two tests ran at a time: what takes more is long."""


def listed(names: Path = LIST) -> frozenset[str]:
    """The tests of a list, as pytest names them."""
    return frozenset(names.read_text(encoding="utf-8").splitlines())


def slow(report: Path) -> list[str]:
    """The tests of a report that took more than the limit. What has an address in its name is another one in
    every run."""
    cases = ElementTree.parse(report).getroot().iter("testcase")
    found = {
        f"{case.get('classname', '').replace('.', '/')}.py::{case.get('name')}"
        for case in cases
        if float(case.get("time", "0")) > LIMIT
    }
    return sorted(name for name in found if " at 0x" not in name)


if __name__ == "__main__":
    LIST.write_text("\n".join(slow(Path(sys.argv[1]))) + "\n", encoding="utf-8")
