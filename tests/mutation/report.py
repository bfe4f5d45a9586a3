"""The report of a run, as Markdown."""

from collections.abc import Sequence

from tests.mutation.bench import Result

WANTED = 0.95
"""Share of the faults that must be noticed."""


def share(results: Sequence[Result]) -> float:
    """Share of the faults that were noticed."""
    return sum(result.caught for result in results) / len(results)


def markdown(results: Sequence[Result]) -> str:
    """Every fault, what noticed it, and the survivors first."""
    survivors = [result for result in results if not result.caught]
    lines = [
        "# Faults made by hand, and what notices them",
        "",
        "Written by `python -m tests.mutation`. Each fault is put by itself into a copy of the program;",
        "then the tests of its part run until one fails (`faults.toml`, `suites.py`).",
        "",
        f"**{len(results) - len(survivors)} of {len(results)} are noticed ({share(results):.1%}; at "
        f"least {WANTED:.0%} must be).**",
        "",
        "## Survivors",
        "",
        *([_row(result) for result in survivors] or ["None."]),
        "",
        "## All faults",
        "",
        "| no. | file | fault | noticed by |",
        "|---|---|---|---|",
        *(
            f"| {r.fault.number} | {r.fault.file} | {_cell(r.fault.what)} | "
            f"{_cell(r.by) or '**nothing**'} |"
            for r in results
        ),
        "",
    ]
    return "\n".join(lines)


def _row(result: Result) -> str:
    fault = result.fault
    return f"- {fault.what} ({fault.file}): `{' '.join(fault.new.split())}`"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
