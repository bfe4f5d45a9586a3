"""Ranks setups each of which has the second lines that keep its load in hand."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from optimiser.jobs.hold.find import find, needed, steered_with
from optimiser.jobs.hold.steer import guides, kept_on_line, slews
from optimiser.jobs.rank import rank
from optimiser.proof.loads.haul import verify
from optimiser.rig.cautions.hauling import cautions
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import Stations
from optimiser.rig.order import Key, Order
from optimiser.rig.setup import HoldingLine, Ranking, Setup
from optimiser.search.clock import Clock
from optimiser.site.model import Site

MOST = 320
"""Setups looked at before the list is called not proven."""


def rank_held(
    site: Site,
    *,
    top: int = 10,
    stations: Stations | None = None,
    progress: Callable[[str], None] | None = None,
    rank: Callable[..., Ranking] = rank,
    order: Sequence[str] | None = None,
    everything: bool = False,
    kit: Kit | None = None,
    time_limit: float | None = None,
    **asked: Any,
) -> Ranking:
    """As `optimiser.jobs.rank.rank`, of setups that are kept in hand wherever the load would run or slew.

    A stretch on which the load runs on downhill by itself is no obstacle then: there the hauling line
    is slack and the holding line is eased. A haul that pulls too far to the side is none either: a
    steering line takes the rest, and the haul is ranked with what that holds back. Setups to which the
    rest of the gear does not give these lines are left out.
    """
    wanted, gear = Order.of(site.preferences, order), kit or kit_of(site)
    plain = partial(rank, site, stations=stations, progress=progress, order=order, kit=kit, **asked)
    kept = partial(plain, tabulated=kept_scenes)
    spare_rope = sum(rope.count for rope in gear.ropes) > 1
    if not needed(site, stations) and not (guides(site) and spare_rope):
        found = plain(top=top, everything=everything, time_limit=time_limit)
        return found if found.setups else replace(found, not_held=0)
    if not spare_rope:  # whatever hauls, nothing is left to hold with
        found = kept(top=top, everything=everything, time_limit=time_limit)
        return replace(found, setups=(), not_held=len(found.setups))
    clock = Clock(time_limit, None)
    many, known = top, dict[str, Setup | None]()
    while True:
        # With steering that costs least place by place: no setup is worse there than it will be.
        found = kept(top=many, everything=True, time_limit=clock.left)
        for setup in found.setups:
            if setup.reeving not in known and clock.runs():
                if progress is not None:
                    progress(f"second lines for setup {setup.rank}")
                known[setup.reeving] = _held(site, setup, wanted, gear)
        looked = [known[s.reeving] for s in found.setups if s.reeving in known]
        held = sorted((s for s in looked if s is not None), key=lambda s: _sort(s, wanted))
        listed = held if everything else _unbeaten(held, wanted)
        complete = len(found.setups) < many
        settled = complete or (
            len(listed) >= top and _sort(listed[top - 1], wanted) <= _sort(found[-1], wanted)
        )
        settled = settled and not clock.stopped
        if settled or not found.proven or many >= MOST or not clock.runs():
            break
        many *= 2
    return replace(
        found,
        setups=tuple(replace(setup, rank=i + 1) for i, setup in enumerate(listed[:top])),
        proven=found.proven and settled,
        not_held=_left_out(site, stations, looked),
    )


def _left_out(site: Site, stations: Stations | None, looked: Sequence[Setup | None]) -> int | None:
    """How many were left out for want of a second line; None where all go without."""
    lines = any(s is None or s.holding for s in looked)
    called = needed(site, stations) or lines or not looked
    return sum(setup is None for setup in looked) if called else None


def _sort(setup: Setup, order: Order) -> tuple[bool, tuple[float, ...]]:
    """Fully rated ones first, then by the order."""
    return bool(setup.unrated), order.sortable(Key.of(setup, setup.margin))


def _unbeaten(setups: Sequence[Setup], order: Order) -> list[Setup]:
    """Those that no fully rated one before them beats on every count."""
    out: list[Setup] = []
    for setup in setups:
        better = (other for other in out if not other.unrated or setup.unrated)
        if not any(
            order.beaten(Key.of(setup, setup.margin), Key.of(other, other.margin))
            for other in better
        ):
            out.append(setup)
    return out


def _held(site: Site, setup: Setup, order: Order, kit: Kit) -> Setup | None:
    """The setup with the second lines it needs; None where the rest of the gear does not give them."""
    if not slews(setup):
        done = _finished(site, setup, ())
        if done is not None or setup.second is not None:
            return done
    gear = kit if setup.unrated else kit.rated_only
    for other in kept_on_line(site, setup, order, kit=gear):
        lines: tuple[HoldingLine, ...] = ()
        if other.steered is not None:
            line = steered_with(site, other)
            if line is None:
                continue
            lines = (line,)
        done = _finished(site, other, lines)
        if done is not None:
            return done
    return None


def _finished(site: Site, setup: Setup, lines: tuple[HoldingLine, ...]) -> Setup | None:
    steered = replace(setup, holding=lines)
    found = find(site, steered)
    if not found.complete:
        return None
    out = replace(setup, holding=(*lines, *found.lines))
    out = replace(out, cautions=cautions(site, out))
    verify(site, out)
    return out


def kept_scenes(site: Site, laid: Stations) -> Iterator[Scene]:
    """Scenes in which a holding line is there, and a steering line wherever one may be."""
    lines = guides(site)
    for scene in scenes(site, laid):
        yield replace(scene, kept=True, guides=lines)
