"""Says which pulls do not fit each other, or the file, and by how much."""

from collections.abc import Iterator, Sequence
from itertools import combinations

from optimiser.mechanics.ground.moving import pull_needed
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.pulled.narrowing import Box, Ends, Pull, narrowed, needs
from optimiser.site.pulled.outcome import Read, ends_shown
from shared.units import Dimension, show

Found = tuple[Key, str]


def contradictions(document: SiteDocument, box: Box, found: Sequence[Read]) -> Iterator[Found]:
    """At least one, where nothing agrees with the box and all the readings: each reading that does not
    agree with the file by itself; else each two that do not agree; else all."""
    units = document.preferences.units
    alone = [read for read in found if narrowed(box, [read.pull]) is None]
    if alone:
        for read in alone:
            own = document.path.leg[read.pull.leg].resistance is not None
            yield (*read.key, "force"), _against_the_file(box, read, units, own=own)
        return
    pairs = [
        (one, two)
        for one, two in combinations(found, 2)
        if narrowed(box, [one.pull, two.pull]) is None
    ]
    for one, two in pairs:
        yield (*two.key, "force"), _against_each_other(box, one, two, units)
    if not pairs:
        where = " and ".join(_at(read, units) for read in found)
        yield (
            found[-1].key,
            f"the readings at {where} do not fit together, though any two of them do: look at the ranges "
            "of load.weight and of the ground, and at each reading",
        )


def _against_the_file(box: Box, read: Read, units: str, *, own: bool) -> str:
    """`own`: the file gives the leg's resistance; else it is the catalogue's."""
    leg = read.pull.leg
    would = pulled(box, read.pull)
    known = f"path.leg[{leg + 1}].resistance" if own else "the catalogue's resistance"
    cure = "Widen what was guessed" if own else "Give the leg a wider resistance of its own"
    ground = box.grounds[leg].resistance
    ends = ends_shown(ground, Dimension.RATIO, units)
    weight = ends_shown(box.weight, Dimension.WEIGHT, units)
    return (
        f"does not agree with the file: {_read(read, units)} was pulled at {_at(read, units)}, and "
        f"load.weight {weight} with {known} {ends} would have taken "
        f"{ends_shown(would, Dimension.FORCE, units)}; {_apart(would, read.pull.force, units)}. "
        f"{cure}, widen the weight, or read it again"
    )


def _against_each_other(box: Box, one: Read, two: Read, units: str) -> str:
    own = [narrowed(box, [read.pull]) for read in (one, two)]
    weights = [each.weight for each in own if each is not None]
    at = _at(one, units), _at(two, units)
    if len(weights) == 2 and (weights[0].high < weights[1].low or weights[1].high < weights[0].low):
        first, second = (ends_shown(w, Dimension.WEIGHT, units) for w in weights)
        low, high = sorted(weights, key=lambda w: w.low)
        gap = show(high.low - low.high, Dimension.WEIGHT, units)
        return (
            f"contradicts another: the reading at {at[0]} says {first}, the one at {at[1]} says {second}, "
            f"{gap} apart at least"
        )
    assert own[0] is not None
    known = needs(own[0], [one.pull], two.pull.leg)
    would = pulled(own[0], two.pull, known.moving)
    return (
        f"contradicts another: by the reading at {at[0]}, {_read(one, units)}, the pull at {at[1]} would be "
        f"{ends_shown(would, Dimension.FORCE, units)}, and {_read(two, units)} was read; "
        f"{_apart(would, two.pull.force, units)}"
    )


def pulled(box: Box, pull: Pull, known: Ends | None = None) -> Ends:
    """What would be read in a line like that, N, by a box; `known`: where what moves the load along the
    ground is known better than by that, N."""
    ground = box.grounds[pull.leg]
    sin, cos = ground.slope
    stuck = pull.stuck(ground)
    low, high = (
        max(
            float(
                pull_needed(
                    weight=w * a * b, slope_sin=sin, slope_cos=cos, resistance=c,
                    advance=pull.advance, lift=pull.lift,
                )
            ),
            0.0,
        )
        for w, a, b, c in (
            (box.weight.low, ground.apparent.low, stuck.low, ground.resistance.low),
            (box.weight.high, ground.apparent.high, stuck.high, ground.resistance.high),
        )
    )  # fmt: skip
    if known is not None:
        gain = pull.gained(ground.resistance)
        low = max(low, known.low * stuck.low / gain.high)
        high = min(high, known.high * stuck.high / gain.low)
    return Ends(low, high)


def _apart(would: Ends, read: Ends, units: str) -> str:
    off = max(read.low - would.high, would.low - read.high, 0.0)
    way = "more" if read.low > would.high else "less"
    return f"{show(off, Dimension.FORCE, units)} {way} at least"


def _read(read: Read, units: str) -> str:
    ends = read.pull.force
    return (
        f"{read.written} ({ends_shown(ends, Dimension.FORCE, units)} with what the "
        "scale may be off)"
    )


def _at(read: Read, units: str) -> str:
    return show(read.at, Dimension.LENGTH, units)
