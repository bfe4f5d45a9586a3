"""What the project set out to reach, and what was measured."""

from dataclasses import dataclass, field

from tests.benchmark.page import Page, shown


@dataclass
class Reached:
    """(goal, limit, measured, unit) in the order met; `limit` is the most it may be."""

    rows: list[tuple[str, float, float, str]] = field(default_factory=list)

    def add(self, goal: str, limit: float, measured: float, unit: str = "s") -> None:
        self.rows.append((goal, limit, measured, unit))


def report(page: Page, reached: Reached) -> None:
    rows = [
        (goal, f"{limit:g} {unit}".strip(), f"{shown(value)} {unit}".strip(), value <= limit)
        for goal, limit, value, unit in reached.rows
    ]
    page.table("Goals", ("goal", "at most", "measured", "met"), rows)
