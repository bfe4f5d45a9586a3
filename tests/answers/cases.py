"""Small sites, and what is asked of each: the cases whose printed answers are kept.

All sites are made up. Each kind of rig of the maintainers' table has one; it is asked as it is, with a load
that nothing hauls, with a weight that is a range on ground of no stated resistance, and without the piece
that its file lists first.
"""

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import tomlkit

from optimiser.site.overrides import changed
from optimiser.site.reading import read_document
from tests.answers.figures import figures
from tests.commands.test_every_kind import SITES as OF_KINDS
from tests.house.imports import ROOT
from tests.laws.banks import bank
from tests.piped import printed

KEPT = Path(__file__).with_name("kept")
SHOP = (
    "gear,length,price\npolyester-12,20 m,45\npolyester-12,40 m,80\nmanila-12,30 m,50\n"
    "snatch-75-bronze,,30\nsling-30-2m,,10\nshackle-11,,8\n"
)
BUYING = ("buy", "--prices", "shop.csv", "--only-my-list", "--show", "1")
FIGURES = ("--format", "json")
"""Requests every figure in place of what is printed for people, and no words."""
HEAVY = 8.0
"""What a load that nothing hauls weighs more than that of the site."""
TAKES_LONG = ("two ropes", "over an edge", "chosen spot", "two trees")
"""Kinds whose sites take seconds where nothing works."""
IN_STAGES = (
    "bend",
    "crest-air",
    "gully-stone",
    "misread-tape",
    "read-pull",
    "short-rope",
    "sledge",
)
DOWN = ("bend", "field-roller", "meadow")
"""Examples that are asked for stages, and for a way down."""
BANKS = (0, 1, 2, 3, 4, 6, 7, 8, 10, 11)
"""Of those that the laws are tried on."""
MORE_BANKS = (13, 14, 16, 17, 18, 19, 20, 21, 23, 25, 27, 31, 33, 34, 35)
"""Those of which the figures are kept."""
FURTHER: Mapping[str, tuple[str, ...]] = {
    "gully-stone/imperial": ("show",),
    "crest-air/short": ("stages figures",),
    "made anchor": ("stages in hand",),
    "bend": ("stages in hand",),
    "way down/tight": ("down",),
    "joined ropes/tight": ("rank", "down"),
    "two ropes/short": ("down figures",),
    "read-pull/wide": ("figures",),
    "bank 57/tight": ("rank",),
    "bank 87/tight": ("rank",),
    "bank 90/wide": ("figures",),
    "bank 103/shorter": ("stages",),
    "bank 109/shorter": ("stages",),
}
"""What is asked of sites so changed that a search comes to its ends in another way: each notices a fault that
nothing else did."""
QUESTIONS: Mapping[str, tuple[str, ...]] = {
    "rank": ("rank", "--all", "--top", "8"),
    "show": ("show", "1"),
    "figures": ("show", "1", *FIGURES),
    "stages": ("stages",),
    "stages figures": ("stages", *FIGURES),
    "stages in hand": ("stages", "--hold", *FIGURES),
    "down": ("lower",),
    "down figures": ("lower", "--show", "1", *FIGURES),
}
READ = ("dinghy", "misread-tape", "read-pull")
"""Examples in which something was read off a tape or a scale."""

Document = dict[str, Any]


@dataclass(frozen=True)
class Case:
    """A question on a site. `site`: its name and, after a slash, what is changed in it."""

    site: str
    name: str
    words: tuple[str, ...]

    @property
    def id(self) -> str:
        """As the test and the file of its answer are named."""
        return f"{self.site}.{self.name}".replace(" ", "-").replace("/", "-")

    @property
    def kept(self) -> Path:
        """The file of its answer."""
        return KEPT / f"{self.id}.txt"

    def answer(self) -> str:
        """What the command prints, with its exit code. `shop.csv` has to be in the working folder."""
        words = [_reeving(self.site) if word == "REEVING" else word for word in self.words]
        code, text = printed(site_text(self.site), *words)
        return f"exit {code}\n{figures(json.loads(text)) if set(words) >= set(FIGURES) else text}"


def _as_it_is(document: Document) -> Document:
    return document


def _weight(document: Document) -> float:
    """The most that a file says the load weighs, kg."""
    stated = re.search(r"(\d+\.?\d*) kg$", str(document["load"]["weight"]))
    assert stated, document["load"]["weight"]
    return float(stated[1])


def _heavy(document: Document) -> Document:
    return changed(document, {"load.weight": f"{HEAVY * _weight(document):.0f} kg"})[0]


def _vague(document: Document) -> Document:
    """With a weight that is a range, and ground whose resistance is not stated."""
    weight = _weight(document)
    vague = changed(document, {"load.weight": f"{0.7 * weight:.0f}..{weight:.0f} kg"})[0]
    for leg in vague["path"]["leg"]:
        leg.setdefault("surface", "grass")
        leg.pop("resistance", None)
    return vague


def _wide(document: Document) -> Document:
    """With ranges so wide that it works at their better ends only."""
    weight = _weight(document)
    wide = changed(document, {"load.weight": f"{0.35 * weight:.0f}..{1.1 * weight:.0f} kg"})[0]
    for leg in wide["path"]["leg"]:
        leg.pop("surface", None)
        leg["resistance"] = "0.1..1.3"
        if "breakout" in leg:
            leg["breakout"] = "1.1..1.6"
    for piece in wide["gear"]:
        if "efficiency" in piece:
            piece["efficiency"] = "0.6..0.95"
    for tree in wide.get("tree", ()):
        if "diameter" in tree:
            number, unit = re.split(r"[^\d.]", str(tree["diameter"]).replace("..", " "), maxsplit=1)
            least, most = 0.7 * float(number), 1.1 * float(number)
            tree["diameter"] = f"{least:.4g}..{most:.4g} {unit.split()[-1]}"
    return wide


def _shortened(share: float) -> Callable[[Document], Document]:
    """Makes what changes a document to one with ropes of a share of their lengths."""

    def short(document: Document) -> Document:
        lengths = {}
        for place, piece in enumerate(document["gear"], 1):
            if "ends" in piece:
                number, unit = str(piece["length"]).split()
                lengths[f"gear[{place}].length"] = f"{share * float(number):.3f} {unit}"
        return changed(document, lengths)[0]

    return short


def _with(**preferences: str) -> Callable[[Document], Document]:
    """Makes what changes a document to one of other preferences."""
    values = {f"preferences.{key}": value for key, value in preferences.items()}
    return lambda document: changed(document, values)[0]


def _robbed(document: Document) -> Document:
    """Without the gear listed first."""
    return {**document, "gear": document["gear"][1:]}


CHANGES: Mapping[str, Callable[[Document], Document]] = {
    "as it is": _as_it_is,
    "heavy": _heavy,
    "vague": _vague,
    "robbed": _robbed,
    "wide": _wide,
    "short": _shortened(0.6),
    "shorter": _shortened(0.35),
    "tight": _with(side_pull_rolling="0.12", side_pull_sliding="0.12"),
    "imperial": _with(units="imperial"),
}


@cache
def site_text(site: str) -> str:
    """The site file of a name."""
    name, _, change = site.partition("/")
    kind, _, number = name.partition(" ")
    if kind == "bank" and number.isdigit():
        document: Document = bank(int(number))
    elif name in OF_KINDS:
        document = dict(read_document(OF_KINDS[name]()).raw)
    else:
        document = dict(read_document(str(ROOT / "examples" / f"{name}.toml")).raw)
    return tomlkit.dumps(CHANGES[change or "as it is"](document))


@cache
def _reeving(site: str) -> str:
    """The reeving that is best where the site is as it is, as `why` takes it."""
    hold = ["--hold"] if site.startswith("kept in hand") else []
    _, text = printed(
        site_text(site.split("/")[0]), "rank", "--top", "1", "--format", "json", *hold
    )
    best = json.loads(text)["setups"][0]
    lines = best.get("lines", [best])
    return " + ".join(" > ".join(line["reeving"]) for line in lines)


def _of_kind(kind: str) -> Iterator[Case]:
    hold = ("--hold",) if kind == "kept in hand" else ()
    both = ("--compound",) if kind == "two ropes" else ()
    down = ("--down",) if kind == "way down" else ()
    weight = _weight(dict(read_document(OF_KINDS[kind]()).raw))
    sweep = ("sweep", f"load.weight={0.9 * weight:.0f}..{1.5 * weight:.0f} kg", "--steps", "3")
    yield Case(kind, "check", ("check",))
    if kind not in TAKES_LONG:
        yield Case(kind, "down figures", QUESTIONS["down figures"])
    yield Case(kind, "sweep", (*sweep, "--processes", "1", *hold, *both, *down))
    if kind != "chosen spot":
        yield Case(kind, "down", ("lower", "--show", "1"))
        yield Case(f"{kind}/heavy", "down", ("lower",))
    if kind not in TAKES_LONG:
        yield Case(f"{kind}/robbed", "buy down", (*BUYING, "--stages", "1", "--down"))
    if kind == "way down":
        yield Case(f"{kind}/vague", "down", ("lower", "--show", "1"))
        return
    yield Case(kind, "rank", ("rank", "--top", "4", *hold))
    yield Case(kind, "figures", ("show", "1", *FIGURES, *hold))
    yield Case(kind, "why", ("why", "REEVING", *hold))
    yield Case(f"{kind}/vague", "show", ("show", "1", *hold))
    yield Case(f"{kind}/heavy", "why", ("why", "REEVING", *hold))
    if kind not in TAKES_LONG:
        yield Case(f"{kind}/heavy", "rank", ("rank", *hold))
        yield Case(f"{kind}/robbed", "buy", (*BUYING, "--stages", "1", *hold))
    if kind in ("one rope", "bridle", "kept in hand", "made anchor"):
        yield Case(f"{kind}/heavy", "stages", ("stages", *hold))


def cases() -> list[Case]:
    """All cases."""
    return [
        *(case for kind in OF_KINDS for case in _of_kind(kind)),
        *(Case(name, "stages", QUESTIONS["stages"]) for name in IN_STAGES),
        *(Case(name, "down", ("lower", "--show", "1")) for name in DOWN),
        *(Case(f"bank {number}", "show", QUESTIONS["show"]) for number in BANKS),
        *(Case(f"bank {number}", "down", ("lower", "--show", "1")) for number in BANKS[::3]),
        *(Case(f"bank {number}", "figures", QUESTIONS["figures"]) for number in MORE_BANKS),
        *(Case(name, "figures", QUESTIONS["figures"]) for name in READ),
        *(Case(name, "stages figures", QUESTIONS["stages figures"]) for name in IN_STAGES[1::3]),
        *(Case(site, name, QUESTIONS[name]) for site, names in FURTHER.items() for name in names),
    ]
