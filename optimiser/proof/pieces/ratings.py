"""Works out what one piece stands, from its own catalogue figures."""

from bisect import bisect_left

from catalogue.gear import Block, Rope
from optimiser.proof.pieces.read_figures import table
from optimiser.site.model import Owned


def rating(piece: Owned) -> float | None:
    """WLL times condition, N; None where unrated."""
    wll = piece.gear.wll
    return None if piece.unrated or wll is None else wll * piece.condition.keeps


def rope_strength(piece: Owned[Rope], *, keeps: float = 1.0, bend: float = 1.0) -> float | None:
    """What a rope may carry, N, where a knot or fitting keeps `keeps` of it and a bend `bend`; None
    where unrated. A stated rating caps what the breaking strength gives before anything is taken off."""
    rope = piece.gear
    if piece.unrated:
        return None
    stands = rope.wll
    if rope.mbs is not None:
        safe = rope.mbs / rope.design_factor
        stands = safe if stands is None or safe < stands else stands
    return None if stands is None else stands * piece.condition.keeps * keeps * bend


def over_sheave(piece: Owned[Rope], block: Block) -> float:
    """Share of a rope's strength kept over a block's sheave: of wire rope by sheave over rope diameter
    between the published points; fibre rope goes only over sheaves that cost it nothing."""
    rope = piece.gear
    if rope.knottable:
        return 1.0
    published = table("rope")["wire_bend"]
    ratios, shares = published["ratios"], published["values"]
    ratio = block.sheave_diameter / rope.diameter
    if ratio >= ratios[-1]:
        return float(shares[-1])
    if ratio <= ratios[0]:
        return float(shares[0]) if ratio == ratios[0] else 0.0
    after = bisect_left(ratios, ratio)
    low, high = ratios[after - 1], ratios[after]
    part = (ratio - low) / (high - low)
    return float((1.0 - part) * shares[after - 1] + part * shares[after])
