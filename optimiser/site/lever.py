"""What raising a load corner by corner needs to know, in SI."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A place the load stands on: `ahead`, `left` in m; `weighed`: what it carries, N, or None."""

    name: str
    ahead: float
    left: float
    weighed: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeverJob:
    """One raising job. Corners in order round the load.

    `centre`: plan position of the centre of gravity in the corners' coordinates, m (None: from the
    weighed corners); `height` of it over the corners. `bar`: length, m; `nose`: from its tip under
    the load to the fulcrum, m; `bar_rating`: load its tip stands, N (None: unrated). `hand`: force
    at its end, N (None: a published figure); `bite`: lift of one bite, m. `block`: thickness of one
    layer, m; `wanted`: height to be raised, m. `rise_ahead`, `rise_left`: slope of the ground under
    the load, rad. `spare_tilt`: rad of further tilt it must stand at every moment.
    """

    corners: tuple[Corner, ...]
    centre: tuple[float, float] | None
    height: float
    bar: float
    nose: float
    bar_rating: float | None
    hand: float | None
    bite: float
    block: float
    wanted: float
    clearance: float
    rise_ahead: float
    rise_left: float
    spare_tilt: float
