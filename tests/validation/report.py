"""Writes every check as a Markdown table: `python -m tests.validation.report [FILE]`.

Without a file it goes to standard output. Exit 1 where a check fails.
"""

import sys
from importlib import import_module
from pathlib import Path

from tabulate import tabulate

from tests.validation.checks import EVIDENCE, REGISTER, Check, Example, Way

HOW = {
    "read": "read in the source",
    "read second-hand": "read second-hand (a trade page or a quotation)",
    "memory": "from memory",
    "derived": "own derivation, nobody published it",
}


def registered() -> list[Example]:
    """All worked examples, in order of source and name."""
    for kind in ("test_job_*.py", "test_source_*.py"):
        for path in sorted(Path(__file__).parent.glob(kind)):
            import_module(f"tests.validation.{path.stem}")
    return sorted(REGISTER.values(), key=lambda e: (e.source.title.lower(), e.name))


def collect() -> list[tuple[Example, list[Check]]]:
    """The same with their checks."""
    return [(example, list(example.checks())) for example in registered()]


def number(value: float) -> str:
    """Five significant digits, without an exponent where people would not write one."""
    return f"{value:.5g}" if 1e-4 <= abs(value) < 1e5 or value == 0.0 else f"{value:,.4g}"


def counted(
    examples: list[tuple[Example, list[Check]]],
    way: Way | None = None,
    how: str | None = None,
    *,
    without: str | None = None,
) -> int:
    """How many numbers come about that way and are known so; None: of any."""
    return sum(
        len(checks)
        for example, checks in examples
        if way in (None, example.way)
        and how in (None, example.evidence)
        and without != example.evidence
    )


def markdown(examples: list[tuple[Example, list[Check]]]) -> str:
    """The report."""
    failed = sum(not check.passes for _, checks in examples for check in checks)
    published = [e for e, _ in examples if e.evidence != "derived"]
    lines = [
        "# Published numbers against ours",
        "",
        f"{counted(examples)} numbers; {counted(examples, without='derived')} of them published, from "
        f"{len({e.source.key for e in published})} sources, in {len(published)} worked examples and "
        f"tables; {failed} do not hold.",
        "",
        tabulate(
            [[way.value, *(counted(examples, way, how) or "" for how in EVIDENCE)] for way in Way],
            headers=["how our number comes about", *(HOW[how] for how in EVIDENCE)],
            tablefmt="github",
        ),
        "",
        "Relation: `=` equal within the tolerance; `≥`, `≤` ours must lie on that side (the safe "
        "one); `≠` sources disagree and the reason says which is followed.",
    ]
    signs = {"equal": "=", "at least": "≥", "at most": "≤", "differs": "≠"}
    for example, checks in examples:
        rows = [
            [
                check.quantity,
                number(check.published),
                number(check.ours),
                check.unit,
                number(check.difference),
                f"{signs[check.relation]} ± {number(check.tolerance)}",
                check.why,
                "yes" if check.passes else "**NO**",
            ]
            for check in checks
        ]
        heads = [
            "quantity",
            "published",
            "ours",
            "unit",
            "difference",
            "tolerance",
            "reason",
            "holds",
        ]
        lines += [
            "",
            f"## {example.source.title}, {example.place}: {example.name}",
            "",
            f"{example.given} ({HOW[example.evidence]}; {example.way.value})",
            "",
            tabulate(rows, headers=heads, tablefmt="github", disable_numparse=True),
        ]
    return "\n".join(lines) + "\n"


def main(arguments: list[str]) -> int:
    """Write the report; 1 where a check fails."""
    examples = collect()
    text = markdown(examples)
    if arguments:
        Path(arguments[0]).write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)
    return int(any(not check.passes for _, checks in examples for check in checks))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
