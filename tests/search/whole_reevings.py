"""A second prover: the whole reeving as one model of the constraint solver.

A walk is a path through layers of places, the puller in layer 0; arcs are yes/no. Counted from the
puller every segment's tension is a known power of the sheaves' efficiency, so that the pull, the
ground reaction, the side pull and the rope are linear in the arcs: on sites where no line bends over
an edge. What is not linear (anchors, pieces, room, counts) is looked at afterwards: a walk that falls
short of what the model hopes gets a cut of its own, and the model is solved again until what it hopes
for is reached.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor
from typing import Any

from ortools.sat.python import cp_model

from catalogue.gear import Block, Rope
from optimiser.mechanics.values import Vec
from optimiser.rig.walk import Place, PlaceKind, Walk
from optimiser.site.model import Site
from tests.oracle.enumeration import patterns, roped
from tests.oracle.ground import dot, grips, stations
from tests.oracle.mechanics import Scene

SCALE = 10**6
MOST = 100 * SCALE
Arc = tuple[int, Place, Place]


def only_scene(site: Site) -> Scene:
    """The one scene of a site with one puller and one hitch."""
    (grip,) = grips(site)
    return Scene(site, stations(site), grip, site.pullers[0])


def true_value(scene: Scene, walk: Walk) -> tuple[float, int]:
    """(greatest margin, fewest resets with a margin of 1) that a walk reaches; (0, many): none."""
    margin, resets = 0.0, 10_000
    gear = scene.site.gear
    for etas in patterns(gear, len(walk) - 2):
        rig = scene.work(walk, etas)
        for rigged in roped(scene, rig, gear) if rig is not None else ():
            reached = rigged.best()[0]
            if reached >= 1.0:
                margin, resets = max(margin, reached), min(resets, rigged.rig.strokes - 1)
    return margin, resets


@dataclass
class Reevings:
    """The model of all walks of one scene with sheaves of one efficiency."""

    scene: Scene

    def __post_init__(self) -> None:
        site = self.scene.site
        assert not self.scene.bends()
        blocks = [p for p in site.gear if isinstance(p.gear, Block)]
        (self.eta,) = {p.gear.eta for p in blocks if isinstance(p.gear, Block)}
        have = sum(p.count * p.gear.sheaves for p in blocks if isinstance(p.gear, Block))
        self.sheaves = min(site.preferences.most_sheaves, have)
        self.model = cp_model.CpModel()
        self.arcs: dict[Arc, Any] = {}
        self.ends: dict[tuple[int, Place], Any] = {}
        self._paths()
        self._rules()
        self._forces()
        self._rope()

    # ---- walks -------------------------------------------------------------------------------

    def _may(self, a: Place, b: Place) -> bool:
        scene = self.scene
        if a == b or not scene.clear(a, b):
            return False
        if a.kind is PlaceKind.PULLER and not scene.leads(b):
            return False
        if a.kind == b.kind is PlaceKind.ANCHOR and a.name == b.name:
            return False
        if (
            a.kind is PlaceKind.PULLER
            and b.kind is PlaceKind.ANCHOR
            and b.name == scene.puller.anchor
        ):
            return False
        other = b if a.kind is PlaceKind.LOAD else a if b.kind is PlaceKind.LOAD else None
        return other is None or scene.pulls_forward(other)

    def _paths(self) -> None:
        places = self.scene.places()
        layers = [[self.scene.me], *([places] * (self.sheaves + 1))]
        for k in range(self.sheaves + 1):
            for a in layers[k]:
                for b in layers[k + 1]:
                    if self._may(a, b):
                        self.arcs[k, a, b] = self.model.NewBoolVar(f"{k} {a} {b}")
        for k in range(1, self.sheaves + 2):
            for place in places:
                self.ends[k, place] = self.model.NewBoolVar(f"end {k} {place}")
                self.model.Add(self._into(k, place) == self._out(k, place) + self.ends[k, place])
        self.model.Add(self._out(0, self.scene.me) == 1)
        self.model.AddExactlyOne(self.ends.values())

    def _into(self, layer: int, place: Place) -> Any:
        return sum(x for (k, _, b), x in self.arcs.items() if k == layer - 1 and b == place)

    def _out(self, layer: int, place: Place) -> Any:
        return sum(x for (k, a, _), x in self.arcs.items() if k == layer and a == place)

    def _rules(self) -> None:
        """No three anchors in a row; an end on an anchor comes from the load; the load is in it."""
        at_load = [x for (_, a, b), x in self.arcs.items() if PlaceKind.LOAD in (a.kind, b.kind)]
        self.model.Add(sum(at_load) >= 1)
        for (k, a, b), x in self.arcs.items():
            if a.kind == b.kind is PlaceKind.ANCHOR:
                self.model.AddImplication(x, self.ends[k + 1, b].Not())
                for (n, c, d), y in self.arcs.items():
                    if n == k + 1 and c == b and d.kind is PlaceKind.ANCHOR:
                        self.model.AddBoolOr([x.Not(), y.Not()])
            if a.kind is PlaceKind.PULLER and b.kind is PlaceKind.ANCHOR:
                self.model.AddImplication(x, self.ends[k + 1, b].Not())

    # ---- what is linear ----------------------------------------------------------------------

    def _sum(self, worth: Callable[[Vec], float], state: int, up: bool) -> Any:
        """Whole millionths of the sum over parts of tension times `worth` of their direction."""
        terms = []
        for (k, a, b), x in self.arcs.items():
            if PlaceKind.LOAD in (a.kind, b.kind):
                other = b if a.kind is PlaceKind.LOAD else a
                unit = self.scene.segment(Place(PlaceKind.LOAD), other)[state].begin
                value = SCALE * self.eta**k * worth(unit)
                terms.append((ceil(value) if up else floor(value)) * x)
        return sum(terms)

    def _forces(self) -> None:
        scene, prefs = self.scene, self.scene.site.preferences
        self.margin = self.model.NewIntVar(SCALE, MOST, "margin")
        spots = len(scene.spots)
        for state in range(len(scene.line) * spots):
            s = scene.line[state // spots]
            c, weight = s.leg.resistance, s.weight(scene.site)
            sin, cos = s.t[2], s.n[2]
            share = scene.puller.limit / (weight * (sin + c * cos))

            def gives(u: Vec, t: Vec = s.t, n: Vec = s.n, c: float = c) -> float:
                return dot(u, t) + c * dot(u, n)

            def rests(
                u: Vec, t: Vec = s.t, n: Vec = s.n, sin: float = sin, cos: float = cos
            ) -> float:
                return cos * dot(u, t) - sin * dot(u, n)

            self.model.Add(
                self._sum(lambda u, f=gives, q=share: q * f(u), state, up=True) >= self.margin  # type: ignore[misc]
            )
            self.model.Add(self._sum(rests, state, up=True) >= 0)
            rolls = s.leg.motion.value == "rolling"
            most = prefs.side_pull_rolling if rolls else prefs.side_pull_sliding
            for sign in (1.0, -1.0):

                def on_line(
                    u: Vec, t: Vec = s.t, b: Vec = s.b, m: float = most, sign: float = sign
                ) -> float:
                    return m * dot(u, t) - sign * dot(u, b)

                self.model.Add(self._sum(on_line, state, up=True) >= 0)

    def _rope(self) -> None:
        scene = self.scene
        longest = max(p.length or 0.0 for p in scene.site.gear if isinstance(p.gear, Rope))
        spare = scene.site.preferences.rope_spare
        for state in range(0, len(scene.line) * len(scene.spots), len(scene.spots)):
            taken = sum(
                floor(SCALE * scene.segment(a, b)[state].length) * x
                for (_, a, b), x in self.arcs.items()
            )
            self.model.Add(taken <= ceil(SCALE * (longest - spare)))

    def _travel(self, purchase: float) -> Any:
        """Least strokes of a hand winch: its purchase times the strokes covers what is hauled."""
        scene = self.scene
        strokes = self.model.NewIntVar(1, 10_000, "strokes")
        last = (len(scene.line) - 1) * len(scene.spots)
        hauled = sum(
            floor(SCALE * (scene.segment(a, b)[0].length - scene.segment(a, b)[last].length)) * x
            for (_, a, b), x in self.arcs.items()
        )
        self.model.Add(strokes * ceil(SCALE * purchase) >= hauled)
        return strokes

    # ---- proving -----------------------------------------------------------------------------

    def best_margin(self) -> tuple[float, int]:
        """(the greatest margin that any walk reaches, walks cut)."""
        cuts = 0
        while True:
            self.model.Maximize(self.margin)
            walk, hoped = self._solve(self.margin)
            if walk is None:
                return 0.0, cuts
            reached = true_value(self.scene, walk)[0]
            if reached * SCALE >= hoped * (1.0 - 1e-5):
                return reached, cuts
            chosen = self._chosen(walk)
            if reached < 1.0:
                self.model.AddBoolOr([x.Not() for x in chosen])
            else:
                self.model.Add(self.margin <= ceil(reached * SCALE)).OnlyEnforceIf(chosen)
            cuts += 1

    def fewest_resets(self, purchase: float) -> tuple[int, int]:
        """(the fewest resets of any walk with a margin of 1, walks cut)."""
        strokes, cuts = self._travel(purchase), 0
        while True:
            self.model.Minimize(strokes)
            walk, hoped = self._solve(strokes)
            if walk is None:
                return 10_000, cuts
            resets = true_value(self.scene, walk)[1]
            if resets <= hoped - 1:
                return resets, cuts
            chosen = self._chosen(walk)
            self.model.Add(strokes >= min(resets + 1, 10_000)).OnlyEnforceIf(chosen)
            cuts += 1

    def _solve(self, goal: Any) -> tuple[Walk | None, int]:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        status = solver.StatusName(solver.Solve(self.model))
        if status == "INFEASIBLE":
            return None, 0
        assert status == "OPTIMAL", status
        on = {k: (a, b) for (k, a, b), x in self.arcs.items() if solver.Value(x)}
        nodes = [self.scene.me, *(on[k][1] for k in sorted(on))]
        return tuple(reversed(nodes)), solver.Value(goal)

    def _chosen(self, walk: Walk) -> list[Any]:
        """The arcs of a walk and its end: all on means this walk and no other."""
        nodes = walk[::-1]
        arcs = [self.arcs[k, a, b] for k, (a, b) in enumerate(pairwise(nodes))]
        return [*arcs, self.ends[len(nodes) - 1, nodes[-1]]]
