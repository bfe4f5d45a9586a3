"""Statics by hand: what a printed setup needs and bears, worked out again from the site file alone.

For setups of a straight rope between the load's hitch, straps and the puller: no bridle, no edge, nothing
stuck. Every part carries the pull times the efficiencies between it and the puller; the forces on the load,
along its way and off the ground, are in balance; a block bears the sum of its two parts; a margin is what a
piece stands by what it bears.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isclose
from typing import Any

import numpy as np

from tests.laws.banks import CONDITION_GOOD, Document

STANDARD_GRAVITY = 9.80665
NEAR = 1e-6
Vector = np.ndarray[Any, np.dtype[np.float64]]


def metres(text: str) -> float:
    """A length of a bank's file, m."""
    number, unit = text.split()
    return float(number) * {"m": 1.0, "cm": 0.01}[unit]


def newtons(text: str) -> float:
    """A force of a bank's file, N."""
    number, unit = text.split()
    return float(number) * {"N": 1.0, "kN": 1000.0, "kg": STANDARD_GRAVITY}[unit]


def _vector(point: Sequence[str]) -> Vector:
    return np.array([metres(part) for part in point])


def _up(height: float) -> Vector:
    return np.array((0.0, 0.0, height))


def unadorned(document: Document) -> bool:
    """Whether a bank may have setups of the kind that is worked out here."""
    stuck = any({"breakout", "step"} & set(leg) for leg in document["path"]["leg"])
    ranged = any(isinstance(leg["resistance"], str) for leg in document["path"]["leg"])
    ranged = ranged or any(isinstance(p.get("efficiency"), str) for p in document["gear"])
    roams = any("track" in puller for puller in document["puller"])
    return not (stuck or ranged or roams or "bridle" in document["load"])


def plain(document: Document, setup: Mapping[str, Any]) -> bool:
    """Whether a setup is of that kind."""
    made = any(" & " in place or " at " in place for place in setup["reeving"])
    return unadorned(document) and not (made or setup["contacts"])


@dataclass(frozen=True)
class Row:
    """The load at one place: the way it goes, across the ground (up), where its hitch is."""

    along: Vector
    off: Vector
    hitch: Vector
    resistance: float


class Hand:
    """One setup of a document."""

    def __init__(self, document: Document, setup: Mapping[str, Any]) -> None:
        self.document, self.setup = document, setup
        self.weight = newtons(document["load"]["weight"])
        self.puller = next(p for p in document["puller"] if p["name"] == setup["puller"])
        self.dynamic = float(self.puller["dynamic"])
        self.etas = [float(eta) for eta in setup["sheave_efficiencies"]]

    def row(self, at: float) -> list[Row]:
        """The load so far along its path; on two legs where they meet."""
        points = [self.document["path"]["start"]] + [g["to"] for g in self.document["path"]["leg"]]
        corners = [_vector(point) for point in points]
        hitch = next(
            h for h in self.document["load"]["hitch"] if h["name"] == self.setup["attachment"]
        )
        out, gone = [], 0.0
        for (a, b), leg in zip(pairwise(corners), self.document["path"]["leg"], strict=True):
            long = float(np.linalg.norm(b - a))
            if gone - 1e-9 <= at <= gone + long + 1e-9:
                along = (b - a) / long
                left = np.array((-along[1], along[0], 0.0)) / np.hypot(along[0], along[1])
                at_hitch = (
                    a + along * (at - gone + metres(hitch["ahead"])) + left * metres(hitch["left"])
                )
                up = _up(metres(hitch["height"]))
                out.append(
                    Row(along, np.cross(along, left), at_hitch + up, float(leg["resistance"]))
                )
            gone += long
        return out

    def spots(self) -> list[Vector]:
        """Where the line comes to the puller: near, middle and far spot of its run."""
        if self.puller["kind"] == "hand winch":
            tree = next(t for t in self.document["tree"] if t["name"] == self.puller["anchor"])
            return [_vector(tree["at"]) + _up(metres(self.puller["height"]))]
        begin = _vector(self.puller["at"])
        if "towards" in self.puller:
            way = _vector(self.puller["towards"]) - begin
            way = way / np.linalg.norm(way)
        else:
            angle = np.radians(float(self.puller["heading"].split()[0]))
            way = np.array((np.cos(angle), np.sin(angle), 0.0))
        up = _up(metres(self.puller["hitch_height"]))
        return [begin + up + way * metres(self.puller["run"]) * share for share in (0.0, 0.5, 1.0)]

    def nodes(self, row: Row, spot: Vector) -> list[Vector]:
        """Where the rope goes, from its standing end."""
        out = []
        for place in self.setup["reeving"]:
            if place == "load":
                out.append(row.hitch)
            elif place == self.setup["puller"]:
                out.append(spot)
            else:
                name, height = place.split("@")
                things = self.document.get("tree", []) + self.document["anchor"]
                at = next(thing["at"] for thing in things if thing["name"] == name)
                out.append(_vector(at) + _up(metres(height)))
        return out

    def tensions(self) -> list[float]:
        """Of each part for a pull of 1, from the standing end to the puller."""
        out = [1.0]
        for eta in reversed(self.etas):
            out.insert(0, out[0] * eta)
        return out

    def forces(self, nodes: Sequence[Vector]) -> list[Vector]:
        """What the rope does to each of its nodes for a pull of 1."""
        out = [np.zeros(3) for _ in nodes]
        for number, tension in enumerate(self.tensions()):
            way = nodes[number + 1] - nodes[number]
            way = tension * way / np.linalg.norm(way)
            out[number], out[number + 1] = out[number] + way, out[number + 1] - way
        return out

    def state(self, row: Row, spot: Vector) -> tuple[float, list[Vector]]:
        """The pull that moves the load, and the forces on the nodes for it. Along: the rope's pull is the
        weight's part down the slope and the resistance of what still rests on the ground."""
        each = self.forces(self.nodes(row, spot))
        on_load = sum(
            (f for f, place in zip(each, self.setup["reeving"], strict=True) if place == "load"),
            np.zeros(3),
        )
        down = np.array((0.0, 0.0, -self.weight))
        forward, lift = float(on_load @ row.along), float(on_load @ row.off)
        rests, holds = -float(down @ row.off), -float(down @ row.along)
        pull = (holds + row.resistance * rests) / (forward + row.resistance * lift)
        return pull, [pull * f for f in each]


def faults(document: Document, setup: Mapping[str, Any]) -> list[str]:
    """Where the printed setup is not in balance, or a piece bears, stands or keeps in hand something else.
    `setup` is what `show` prints."""
    hand, out = Hand(document, setup), []
    most: dict[tuple[str, int], float] = {}
    for printed in setup["path"]:
        pulls = []
        for row in hand.row(printed["at_m"]):
            states = [hand.state(row, spot) for spot in hand.spots()]
            pulls.append(max(pull for pull, _ in states))
            for _, forces in states:
                for number, force in enumerate(forces):
                    size = hand.dynamic * float(np.linalg.norm(force))
                    key = (setup["reeving"][number], number)
                    most[key] = max(most.get(key, 0.0), size)
        if not any(isclose(printed["pull_N"], pull, rel_tol=NEAR) for pull in pulls):
            out.append(f"pull at {printed['at_m']:.3f} m: {printed['pull_N']:.6f}, by hand {pulls}")
    out += _blocks(document, setup, most)
    margins = [
        c["capacity"] / c["demand"] for c in setup["components"] if c["capacity"] is not None
    ]
    if not isclose(min(margins), setup["margin"], rel_tol=NEAR):
        out.append(f"margin {setup['margin']}, least of the pieces {min(margins)}")
    return out


def _blocks(
    document: Document, setup: Mapping[str, Any], most: Mapping[tuple[str, int], float]
) -> list[str]:
    """Blocks that hang by themselves: what they bear, and what they stand."""
    out = []
    ratings = {p["name"]: newtons(p["rating"]) for p in document["gear"] if "rating" in p}
    for piece in setup["gear"]:
        if piece["role"] != "block" or len(piece["nodes"]) != 1:
            continue
        bears = most[piece["place"], piece["nodes"][0]]
        listed = [
            c for c in setup["components"]
            if (c["item"], c["place"]) == (piece["item"], piece["place"])
            and isclose(c["demand"], bears, rel_tol=NEAR)
        ]  # fmt: skip
        if not listed:
            out.append(f"{piece['item']} at {piece['place']} bears {bears:.6f} by hand")
        for c in listed:
            stands = ratings[piece["item"]] * CONDITION_GOOD
            if not isclose(c["margin"], stands / bears, rel_tol=NEAR):
                out.append(f"{piece['item']}: margin {c['margin']}, by hand {stands / bears}")
    return out
