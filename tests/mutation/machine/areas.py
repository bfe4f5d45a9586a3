"""Which parts of the program the machine puts faults into, and how a sample is drawn."""

from itertools import zip_longest
from pathlib import Path
from random import Random

from tests.mutation.faults import ROOT
from tests.mutation.machine.edits import Edit, edits

AREAS: dict[str, tuple[str, ...]] = {
    "mechanics": ("optimiser/mechanics/**/*.py",),
    "what a rig bears": (
        "optimiser/rig/forces/evaluate.py",
        "optimiser/rig/forces/evaluation.py",
        "optimiser/rig/forces/verdict.py",
        "optimiser/rig/forces/slung.py",
        "optimiser/rig/forces/ways.py",
        "optimiser/rig/forces/holders.py",
        "optimiser/rig/forces/grips.py",
        "optimiser/rig/two_ropes/*.py",
    ),
    "ground and travel": (
        "optimiser/rig/ground/*.py",
        "optimiser/rig/forces/travel.py",
        "optimiser/rig/where_it_stands.py",
    ),
    "gear": ("optimiser/rig/gear/*.py", "optimiser/rig/components.py", "optimiser/rig/refit.py"),
    "proof": ("optimiser/proof/**/*.py",),
    "uncertainty": ("optimiser/jobs/ranges/*.py",),
    "lowering": ("optimiser/rig/gear/turns.py", "optimiser/jobs/lower/*.py"),
    "staging": ("optimiser/jobs/stages/*.py", "optimiser/search/stages/*.py"),
    "values": ("catalogue/data/*.toml", "optimiser/mechanics/data/*.toml"),
}
WORDS_ONLY = ("words.py", "words.toml", "prices.toml", "__init__.py", "results.py")
"""What prints, and prices, which are free to change."""


def every_edit(area: str, root: Path = ROOT) -> list[Edit]:
    """Every change of an area."""
    files = sorted({path for glob in AREAS[area] for path in root.glob(glob)})
    found = []
    for path in files:
        if path.name not in WORDS_ONLY:
            file = path.relative_to(root).as_posix()
            found += edits(file, path.read_text(encoding="utf-8"))
    return found


def sample(area: str, seed: int, root: Path = ROOT) -> list[Edit]:
    """All of them in an order drawn by `seed`, the kinds by turns: its first n are a sample of n."""
    rng = Random(f"{seed}/{area}")
    kinds: dict[str, list[Edit]] = {}
    for one in every_edit(area, root):
        kinds.setdefault(one.kind, []).append(one)
    for listed in kinds.values():
        rng.shuffle(listed)
    return [one for turn in zip_longest(*kinds.values()) for one in turn if one is not None]
