"""A ranking of setups each of which has its holding lines."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from optimiser.cautions import cautions
from optimiser.holding.find import hold, needed
from optimiser.ranking import rank
from optimiser.results import Ranking, Setup
from optimiser.scene import Scene, scenes
from optimiser.site.model import Site
from optimiser.stations import Stations
from optimiser.verify import verify

MOST = 160
"""Setups looked at before the list is called not proven."""


def rank_held(
    site: Site,
    *,
    top: int = 10,
    stations: Stations | None = None,
    progress: Callable[[str], None] | None = None,
    rank: Callable[..., Ranking] = rank,
    **asked: Any,
) -> Ranking:
    """As `optimiser.ranking.rank`, of setups that are kept in hand wherever the load would run.

    A stretch on which the load runs on downhill by itself is no obstacle then: there the hauling line
    is slack and the holding line is eased. Setups to which the rest of the gear gives no holding line
    are left out; the holding lines do not change what a setup is ranked by.
    """
    if not needed(site, stations):
        return rank(site, top=top, stations=stations, progress=progress, **asked)
    many, known = top, dict[str, Setup | None]()
    while True:
        found = rank(
            site, top=many, stations=stations, progress=progress, tabulated=kept_scenes, **asked
        )
        for setup in found.setups:
            mark = f"{setup.reeving} | {setup.attachment}"
            if mark not in known:
                if progress is not None:
                    progress(f"holding line for setup {setup.rank}")
                known[mark] = _held(site, setup)
        looked = [known[f"{setup.reeving} | {setup.attachment}"] for setup in found.setups]
        kept = [setup for setup in looked if setup is not None]
        complete = len(found.setups) < many
        if len(kept) >= top or complete or not found.proven or many >= MOST:
            break
        many *= 2
    listed = tuple(replace(setup, rank=i + 1) for i, setup in enumerate(kept[:top]))
    settled = len(kept) >= top or complete
    return replace(
        found,
        setups=listed,
        proven=found.proven and settled,
        not_held=len(looked) - len(kept),
    )


def _held(site: Site, setup: Setup) -> Setup | None:
    """The setup with its holding lines; None where the rest of the gear does not give them."""
    found = hold(site, setup)
    if not found.complete:
        return None
    out = replace(setup, holding=found.lines)
    out = replace(out, cautions=cautions(site, out))
    verify(site, out)
    return out


def kept_scenes(site: Site, laid: Stations) -> Iterator[Scene]:
    """Scenes in which a holding line is there."""
    for scene in scenes(site, laid):
        yield replace(scene, kept=True)
