"""Every way of tampering with a right answer. Each yields rigs and sites that are not true any more.

What would leave an equally true answer is not tampered with, and says why beside it.
"""

from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from math import dist, isfinite
from typing import Any

from catalogue.edges import rubbing
from catalogue.gear import Block, Chain, Protector, Rope, Shackle, Strap
from optimiser.rig.setup import Component, Contact, HoldingLine, Hung, Role, Setup, ToMake
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Anchor, Directions, Obstacle, Owned, Site
from tests.tampering.answers import Answer, Rig

Spoiled = Iterator[tuple[Site, Rig]]
NOT_FACTS = {
    "rank",  # where it stands in a list of others
    "marked_down", "alike", "cautions",  # advice, not what the rig bears
    "within",  # a share of samples, with its error
}  # fmt: skip


def _with(rig: Rig, **changes: Any) -> Rig:
    return replace(rig, **changes)


def _fitted(rig: Rig, components: tuple[Component, ...]) -> Rig:
    """The rig with other components, margin and weakest made to fit."""
    least = min(components, key=lambda c: c.margin)
    return _with(rig, components=components, margin=least.margin, weakest=least.name)


def _parts(
    rig: Rig, change: Callable[[Component], Component | None]
) -> Iterator[tuple[Component, ...]]:
    """The components with each one changed in turn."""
    for number, part in enumerate(rig.components):
        new = change(part)
        if new is not None and new != part:
            yield (*rig.components[:number], new, *rig.components[number + 1 :])


# ---- components ---------------------------------------------------------------------------------


def _thrice(c: Component) -> Component | None:
    return None if c.capacity is None else replace(c, capacity=c.capacity * 3.0)


def _third(c: Component) -> Component | None:
    return replace(c, demand=c.demand / 3.0) if c.demand > 1e-6 else None


def capacity_thrice(a: Answer) -> Spoiled:
    """Each component's capacity times 3."""
    yield from ((a.site, _with(a.rig, components=c)) for c in _parts(a.rig, _thrice))


def capacity_thrice_fitted(a: Answer) -> Spoiled:
    """The same with margin and weakest made to fit, and all capacities at once."""
    yield from ((a.site, _fitted(a.rig, c)) for c in _parts(a.rig, _thrice))
    yield a.site, _fitted(a.rig, tuple(_thrice(c) or c for c in a.rig.components))


def demand_third(a: Answer) -> Spoiled:
    """Each component's demand divided by 3."""
    yield from ((a.site, _with(a.rig, components=c)) for c in _parts(a.rig, _third))


def demand_third_fitted(a: Answer) -> Spoiled:
    """The same with margin and weakest made to fit, and all demands at once, with the pull."""
    yield from ((a.site, _fitted(a.rig, c)) for c in _parts(a.rig, _third))
    whole = tuple(_third(c) or c for c in a.rig.components)
    yield a.site, _fitted(a.rig, whole)
    yield a.site, _fitted(_scaled(a.rig, 1.0 / 3.0), whole)


def _scaled(rig: Rig, by: float) -> Rig:
    """Every force that the rig states, times a factor."""
    names = ("pull", "line", "hand", "hand_least", "force", "heat")
    rig = _with(rig, **{n: getattr(rig, n) * by for n in names if hasattr(rig, n)})
    forces = ("pull", "line", "control", "hand", "steer")
    rows = [
        replace(
            row, **{n: v * by for n in forces if (v := getattr(row, n, None)) is not None}
        )
        for row in rig.profile
    ]  # fmt: skip
    return _with(rig, profile=tuple(rows))


def component_left_out(a: Answer) -> Spoiled:
    """Each component left out, or there twice."""
    many = a.rig.components
    for i, c in enumerate(many):
        yield a.site, _fitted(a.rig, (*many[:i], *many[i + 1 :]))
        yield a.site, _with(a.rig, components=(*many, c))


def component_elsewhere(a: Answer) -> Spoiled:
    """Each component's worst at another place, off the stretch; at another item; in another unit."""
    for change in (
        lambda c: replace(c, at=c.at + 1000.0),
        lambda c: replace(c, item=c.item + " x"),
        lambda c: replace(c, place=c.place + " x"),
        lambda c: replace(c, unit="N" if c.unit != "N" else "N·m"),
    ):
        yield from ((a.site, _with(a.rig, components=c)) for c in _parts(a.rig, change))


def weakest_misnamed(a: Answer) -> Spoiled:
    """Another component named as the weakest, and a margin 1 % off."""
    for c in a.rig.components:
        if c.margin > a.rig.margin * 1.001:
            yield a.site, _with(a.rig, weakest=c.name)
            break
    if isfinite(a.rig.margin):  # a rig of unrated pieces alone has none
        yield a.site, _with(a.rig, margin=a.rig.margin * 1.01)
        yield a.site, _with(a.rig, margin=a.rig.margin * 0.99)


# ---- the site: what is there ----------------------------------------------------------------------


def _site_gear(site: Site, name: str, change: Callable[[Owned], Owned]) -> Site:
    return replace(site, gear=tuple(change(p) if p.name == name else p for p in site.gear))


def _items(rig: Rig) -> list[str]:
    names = [h.item for h in rig.gear if h.role not in ("bend",)]
    return sorted(
        {*names, rig.rope.name, *([second.rope.name] if (second := _second(rig)) else [])}
    )


def _second(rig: Rig) -> Any:
    return getattr(rig, "second", None)


def _ropes(rig: Rig, change: Callable[[Owned], Owned]) -> Rig:
    """The rig with its own copy of its ropes changed."""
    rig = _with(rig, rope=change(rig.rope))
    second = _second(rig)
    if second is not None:
        rig = _with(rig, second=replace(second, rope=change(second.rope)))
    return rig


def _weaker(piece: Owned) -> Owned:
    kind = piece.gear
    if isinstance(kind, Rope):
        mbs = None if kind.mbs is None else kind.mbs / 10.0
        wll = None if kind.wll is None else kind.wll / 10.0
        return replace(piece, gear=replace(kind, mbs=mbs, wll=wll))
    return piece if kind.wll is None else replace(piece, gear=replace(kind, wll=kind.wll / 10.0))


def rating_tenth(a: Answer) -> Spoiled:
    """Each rating of a used piece, anchor or hitch a tenth in the site, the answer kept (its own copy of
    a rope goes along). Of an unrated piece there is none; a rope that hands hold has no hitch."""
    rig, site = a.rig, a.site
    for name in _items(rig):
        weak = _site_gear(site, name, _weaker)
        if weak != site and not any(p.unrated for p in site.gear if p.name == name):
            yield weak, _ropes(rig, lambda p, n=name: _weaker(p) if p.name == n else p)  # type: ignore[misc]
    named = {c.item for c in rig.components if c.item == c.place}
    for anchor in site.anchors:
        known = anchor.strength.capacity
        if anchor.name in named and known is not None:
            strength = replace(anchor.strength, capacity=known / 10.0)
            yield _anchor(site, anchor, strength=strength), rig
    for hitch in site.load.hitches:
        used = any(c.name == f"load: hitch {hitch.name}" for c in rig.components)
        if used and hitch.rating is not None:
            yield _hitch(site, hitch.name, rating=hitch.rating / 10.0), rig
    puller = _puller(rig)
    if puller is not None:
        yield _other_puller(a, limit=puller.limit / 10.0)
        ends = puller.needs_termination and not puller.has_hook
        if ends and puller.hitch_rating is not None:
            yield _other_puller(a, hitch_rating=puller.hitch_rating / 10.0)


def _puller(rig: Rig) -> Any:
    return getattr(rig, "puller", None) or getattr(rig, "holder", None)


def _other_puller(a: Answer, **changes: Any) -> tuple[Site, Rig]:
    """Another puller, in the site and in the answer."""
    old = _puller(a.rig)
    new = replace(old, **changes)
    pullers = tuple(new if p == old else p for p in a.site.pullers)
    word = "puller" if isinstance(a.rig, Setup) else "holder"
    return replace(a.site, pullers=pullers), _with(a.rig, **{word: new})


def _anchor(site: Site, anchor: Anchor, **changes: Any) -> Site:
    new = replace(anchor, **changes)  # type: ignore[type-var]
    return replace(site, anchors=tuple(new if b.name == anchor.name else b for b in site.anchors))


def _hitch(site: Site, name: str, **changes: Any) -> Site:
    load = site.load
    hitches = tuple(replace(h, **changes) if h.name == name else h for h in load.hitches)
    return replace(site, load=replace(load, hitches=hitches))


def places_moved(a: Answer) -> Spoiled:
    """Each place of the rig 1 m off in the site, each way, the answer kept: anchors, hitches, the puller,
    the path. A winch moves with the tree that it is made fast to, and a steering line's hitch in the
    setup with the load's."""
    rig, site = a.rig, a.site
    walks = [rig.walk, *([second.walk] if (second := _second(rig)) else [])]
    used = {p.name for walk in walks for p in walk if p.kind is PlaceKind.ANCHOR}
    for axis in range(3):
        for anchor in site.anchors:
            if anchor.name in used:
                yield _anchor(site, anchor, position=_off(anchor.position, axis)), rig
        puller = _puller(rig)
        if puller is not None:
            yield _other_puller(a, position=_off(puller.position, axis))
    for hitch in site.load.hitches:
        if hitch.name in rig.attachment:
            for name in ("ahead", "left", "height"):
                yield _hitch(site, hitch.name, **{name: getattr(hitch, name) + 1.0}), rig
    legs = tuple(
        replace(leg, start=_off(leg.start, 2, 1.0 + 0.1 * i), end=_off(leg.end, 2, 1.1 + 0.1 * i))
        for i, leg in enumerate(site.legs)
    )
    yield replace(site, legs=legs), rig


def _off(at: Any, axis: int, by: float = 1.0) -> Any:
    return tuple(x + (by if i == axis else 0.0) for i, x in enumerate(at))


def ground_otherwise(a: Answer) -> Spoiled:
    """The load 5 % heavier, the ground rougher or smoother where that counts."""
    site = a.site
    yield replace(site, load=replace(site.load, weight=site.load.weight * 1.05)), a.rig
    if isinstance(a.rig, Setup):
        legs = tuple(replace(leg, resistance=leg.resistance + 0.01) for leg in site.legs)
    else:
        legs = tuple(replace(leg, resistance_low=leg.resistance_low / 2.0) for leg in site.legs)
        if a.kind == "steering":  # its tension follows the haul's
            legs = tuple(replace(leg, resistance=leg.resistance + 0.01) for leg in site.legs)
    yield replace(site, legs=legs), a.rig


def stock_reduced(a: Answer) -> Spoiled:
    """One piece fewer of each item than the rig uses."""
    for name in _items(a.rig):
        many = sum(h.item == name for h in a.rig.gear if h.role not in ROPE_ROLES)
        many = many or 1
        yield _site_gear(a.site, name, lambda p, m=many: replace(p, count=m - 1)), a.rig  # type: ignore[misc]


ROPE_ROLES = ("end", "tie", "grip", "bend", "turns")


def too_small(a: Answer) -> Spoiled:
    """Blocks too narrow for the rope, sheaves too small, eyes too narrow, straps too short, gear longer
    than there is room, each in the site. The length of a shackle that only makes fast the hauling end to
    the puller, or a bridle's leg to its hitch, is left out: no room that an answer states has it in (the
    length of a bridle's leg is stated with its ends)."""
    kinds = {p.name: p.gear for p in a.site.gear}
    for name in _items(a.rig):
        kind = kinds.get(name)
        changes: list[dict[str, float]] = []
        if isinstance(kind, Block):
            changes = [{"rope_most": 0.001}, {"sheave_diameter": 0.005}, {"length": 60.0}]
            if kind.eye is not None:
                changes.append({"eye": 0.001})
        elif isinstance(kind, Shackle):
            off_the_rope = all(max(h.nodes) < 0 for h in a.rig.gear if h.item == name)
            changes = [] if off_the_rope else [{"length": 60.0}]
        elif isinstance(kind, Strap | Chain):
            changes = [{"length": 0.1}]
        for change in changes:
            new = replace(kind, **change)  # type: ignore[type-var]
            yield _site_gear(a.site, name, lambda p, g=new: replace(p, gear=g)), a.rig  # type: ignore[misc]


# ---- the answer's own figures -----------------------------------------------------------------------


def _off_by(value: Any) -> list[Any]:
    """Values that are not the right one."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int):
        return [value + 1, value - 1]
    if isinstance(value, float) and isfinite(value):
        return [value * 1.02 + 0.01, value * 0.9 - 0.05, value + 1.0]
    return []


def figures(a: Answer) -> Spoiled:
    """Each number that the rig states: 2 % and 10 % off, a count one more or less, a length 1 m."""
    for f in fields(a.rig):
        if f.name in NOT_FACTS or f.name == "margin":
            continue
        for wrong in _off_by(getattr(a.rig, f.name)):
            yield a.site, _with(a.rig, **{f.name: wrong})
    second = _second(a.rig)
    if second is not None:
        for name in ("rope_needed", "gained"):
            for wrong in _off_by(getattr(second, name)):
                yield a.site, _with(a.rig, second=replace(second, **{name: wrong}))


def rows(a: Answer) -> Spoiled:
    """Each number of the first, middle and last row of the profile; rows left out; another surface."""
    many = a.rig.profile
    for i in sorted({0, len(many) // 2, len(many) - 1}):
        for f in fields(many[i]):
            value = getattr(many[i], f.name)
            wrongs = _off_by(value) if not isinstance(value, str) else [f"{value} x"]
            for wrong in wrongs:
                row: Any = replace(many[i], **{f.name: wrong})  # type: ignore[arg-type]
                yield a.site, _with(a.rig, profile=(*many[:i], row, *many[i + 1 :]))
    # At a bend of the path there are two rows for one place; a stretch may end with either of them.
    if len(many) < 2 or abs(many[0].at - many[1].at) > 1e-9:
        yield a.site, _with(a.rig, profile=many[1:])
    if len(many) < 2 or abs(many[-1].at - many[-2].at) > 1e-9:
        yield a.site, _with(a.rig, profile=many[:-1])
    yield a.site, _with(a.rig, profile=())


def stops(a: Answer) -> Spoiled:
    """Each stop, each move of a grip and each length of rope to the grip 5 cm and 1 m off, left out, or
    one more."""
    for name in ("stops", "moved", "gripped"):
        many = getattr(a.rig, name, ())
        for i, at in enumerate(many[:8]):
            for by in (0.05, -0.05, 1.0):
                yield a.site, _with(a.rig, **{name: (*many[:i], at + by, *many[i + 1 :])})
            yield a.site, _with(a.rig, **{name: (*many[:i], *many[i + 1 :])})
        if many:
            yield a.site, _with(a.rig, **{name: (*many, many[-1] + 0.1)})


def efficiencies(a: Answer) -> Spoiled:
    """Each sheave's efficiency a little better, in the answer and in the block."""
    rig = a.rig
    if not isinstance(rig, HoldingLine):  # a holding line states none
        for i, eta in enumerate(rig.etas):
            for wrong in (min(eta + 0.03, 1.0), eta - 0.03):
                if wrong != eta:
                    yield a.site, _with(rig, etas=(*rig.etas[:i], wrong, *rig.etas[i + 1 :]))
    for h in rig.gear:
        if h.role == "block":
            yield _site_gear(a.site, h.item, _better), rig


def _better(piece: Owned) -> Owned:
    assert isinstance(piece.gear, Block)
    return replace(piece, gear=replace(piece.gear, eta=piece.gear.eta - 0.03))


def gear_hung_otherwise(a: Answer) -> Spoiled:
    """Each piece left out, hung twice, elsewhere, for another use, or another one of its kind."""
    many = a.rig.gear
    kinds = {p.name: type(p.gear) for p in a.site.gear}

    def put(i: int, new: Hung) -> tuple[Site, Rig]:
        return a.site, _with(a.rig, gear=(*many[:i], new, *many[i + 1 :]))

    for i, h in enumerate(many):
        yield a.site, _with(a.rig, gear=(*many[:i], *many[i + 1 :]))
        yield a.site, _with(a.rig, gear=(*many, h))
        yield put(i, replace(h, place=h.place + " x"))
        yield put(i, replace(h, role=Role.HOOK))
        # Bridle legs are listed at the load as a whole.
        if h.role != "bridle leg":
            yield put(i, replace(h, nodes=tuple(n + 1 for n in h.nodes)))
        for other in sorted(kinds):
            if other != h.item and kinds[other] is kinds.get(h.item):
                yield put(i, replace(h, item=other))
        if h.role == "strap":
            yield put(i, replace(h, how="choker" if h.how == "basket" else "basket"))


def knots_swapped(a: Answer) -> Spoiled:
    """Each knot or fitting for another of those that the site names or a rope has, by name alone and
    with strengths and margin made to fit it. Two that keep and eat the same are the same here."""
    known = {k.name: k for k in a.site.preferences.knots}
    for piece in a.site.gear:
        known |= {k.name: k for k in piece.ends if k is not None}
    for i, h in enumerate(a.rig.gear):
        if h.role not in ("end", "tie", "grip"):
            continue
        old = next((k for n, k in known.items() if h.how in (n, *_worded(n))), None)
        for name, knot in known.items():
            if old is None or knot.name == old.name:
                continue
            if (knot.keeps, knot.eats, knot.eats_diameters) == (
                old.keeps, old.eats, old.eats_diameters,
            ):  # fmt: skip
                continue
            new = replace(h, how=h.how.replace(old.name, name))
            gear = (*a.rig.gear[:i], new, *a.rig.gear[i + 1 :])
            yield a.site, _with(a.rig, gear=gear)
            share = knot.keeps / old.keeps
            parts = tuple(
                replace(c, capacity=c.capacity * share)
                if c.item == h.item and c.place == h.place and c.capacity is not None
                else c
                for c in a.rig.components
            )
            fitted = _fitted(_with(a.rig, gear=gear), parts)
            if fitted.margin >= 1.0 and knot.eats + knot.eats_diameters > 0.0:
                # As much rope as before, though the knot eats another length of it.
                yield a.site, fitted


def _worded(name: str) -> tuple[str, ...]:
    return f"{name}, round the trunk", f"{name}, on its hauling part"


def walk_otherwise(a: Answer) -> Spoiled:
    """Each place of the walk another anchor or height, the hitch another one, a place left out."""
    rig, site = a.rig, a.site
    for i, place in enumerate(rig.walk):
        if place.kind is not PlaceKind.ANCHOR:
            continue
        for other in site.anchors:
            if other.name != place.name and other.heights:
                new = Place(PlaceKind.ANCHOR, other.name, other.heights[0])
                yield site, _with(rig, walk=(*rig.walk[:i], new, *rig.walk[i + 1 :]))
        high = replace(place, height=place.height + 0.5)
        yield site, _with(rig, walk=(*rig.walk[:i], high, *rig.walk[i + 1 :]))
    yield site, _with(rig, walk=rig.walk[1:])
    yield site, _with(rig, attachment="tow ball")
    for hitch in site.load.hitches:
        if hitch.name != rig.attachment:
            yield site, _with(rig, attachment=hitch.name)


def unrated_otherwise(a: Answer) -> Spoiled:
    """A piece without a rating that is not named, one named that has a rating, one rated after all."""
    if isinstance(a.rig, HoldingLine):  # holding lines are of rated pieces only, and name none
        laid = {h.item for h in a.rig.gear if h.role is Role.PROTECTOR}  # nothing rates those
        for name in _items(a.rig):
            if name not in laid:
                yield _site_gear(a.site, name, lambda p: replace(p, unrated=True)), a.rig
        return
    conditions = getattr(a.rig, "if_stands", ())
    for i, c in enumerate(conditions):
        others = (*conditions[:i], *conditions[i + 1 :])
        yield a.site, _with(a.rig, if_stands=others)
        for change in ({"force": c.force / 3.0}, {"force": c.force * 3.0}, {"item": "the old log"}):
            yield a.site, _with(a.rig, if_stands=(*others, replace(c, **change)))
    yield a.site, _with(a.rig, unrated=(*a.rig.unrated, "the old shackle"))
    if a.rig.unrated:
        yield a.site, _with(a.rig, unrated=a.rig.unrated[1:])
    for name in _items(a.rig):
        piece = next((p for p in a.site.gear if p.name == name), None)
        if piece is not None and not piece.unrated and piece.gear not in (None,):
            none = getattr(piece.gear, "wll", None) is None and not isinstance(piece.gear, Rope)
            if not none:
                yield (
                    _site_gear(a.site, name, lambda p: replace(p, unrated=True)),
                    _ropes(
                        a.rig,
                        lambda p, n=name: replace(p, unrated=True) if p.name == n else p,  # type: ignore[misc]
                    ),
                )


def rope_otherwise(a: Answer) -> Spoiled:
    """A rope longer than owned in the answer; in site and answer shorter than needed; too thick."""
    rig = a.rig
    yield a.site, _with(rig, rope=replace(rig.rope, length=(rig.rope.length or 0.0) + 50.0))
    needed = getattr(rig, "main_rope", 0.0) or rig.rope_needed
    short = replace(rig.rope, length=needed - 0.05)
    yield _site_gear(a.site, rig.rope.name, lambda _: short), _with(rig, rope=short)
    assert isinstance(rig.rope.gear, Rope)
    if not any(h.role == "block" and h.nodes[0] < len(rig.walk) for h in rig.gear):
        return  # a thick rope that runs over nothing, with eyes spliced in, holds as well
    thick = replace(rig.rope, gear=replace(rig.rope.gear, diameter=0.2))
    yield _site_gear(a.site, rig.rope.name, lambda _: thick), _with(rig, rope=thick)


def obstacles(a: Answer) -> Spoiled:
    """A post on the line; no clearance at a crest where nothing protects it is in the tests by hand."""
    site, rig = a.site, a.rig
    name = next((p.name for p in rig.walk if p.kind is PlaceKind.ANCHOR), None)
    if name is None:
        return
    rows = rig.profile
    at = max(row.at for row in rows)
    start = _point(site, at) if not _turned(rig) else _point(site, min(row.at for row in rows))
    end = site.anchor(name).position
    x, y, z = ((p + q) / 2.0 for p, q in zip(start, end, strict=True))
    post = Obstacle(name="post", position=(x, y, z - 20.0), radius=1.0, top=60.0)
    yield replace(site, obstacles=(*site.obstacles, post)), rig


def _turned(rig: Rig) -> bool:
    return isinstance(rig, HoldingLine) and rig.way == "on"


def _point(site: Site, at: float) -> tuple[float, float, float]:
    for leg in site.legs:
        long = dist(leg.start, leg.end)
        if at <= long + 1e-9:
            x, y, z = (p + (q - p) * at / long for p, q in zip(leg.start, leg.end, strict=True))
            return x, y, z
        at -= long
    return site.legs[-1].end


def contacts(a: Answer) -> Spoiled:
    """Each place where the rope runs over an edge left out, twice, elsewhere; each of its figures off;
    something else lying there; all left out; one where there is none."""
    many = a.rig.contacts
    if many:
        yield a.site, _with(a.rig, contacts=())
    else:
        off = Contact(
            part=1, from_m=0.5, to_m=0.5, left_from=0.0, left_to=0.0, angle=0.1, friction=0.3,
            force=10.0, protector="a log", load_from=0.0, load_to=0.0,
        )  # fmt: skip
        yield a.site, _with(a.rig, contacts=(off,))
    for i, c in enumerate(many[:4]):

        def put(*new: Contact, i: int = i) -> tuple[Site, Rig]:
            return a.site, _with(a.rig, contacts=(*many[:i], *new, *many[i + 1 :]))

        yield put()
        yield put(c, c)
        yield put(replace(c, protector=c.protector + " x"))
        if c.owned is not None:
            yield put(replace(c, owned=None))
            slippery = replace(c.owned, gear=replace(c.owned.gear, friction=(0.01, 0.02)))
            yield put(replace(c, owned=slippery))
        yield put(replace(c, part=c.part + 1))
        yield put(replace(c, from_m=c.from_m + 0.2, to_m=c.to_m + 0.2))
        for name in ("left_from", "left_to", "load_from", "load_to"):
            yield put(replace(c, **{name: getattr(c, name) + 0.05}))
        for name in ("angle", "force", "shift", "friction"):
            yield put(replace(c, **{name: getattr(c, name) * 0.9}))


def laid_otherwise(a: Answer) -> Spoiled:
    """What lies on the edges that the rope runs over grips more or less, in site and answer; it is not
    there; a piece is shorter than what the rope sweeps over, and owned by none."""
    site, rig = a.site, a.rig
    if not rig.contacts:
        return
    rope = rig.rope.gear
    assert isinstance(rope, Rope)

    def rough(lies: Protector) -> Protector:
        mu = rubbing(lies, rope)
        return replace(lies, friction=(mu.low + 0.05, mu.high + 0.05))

    owned = {c.owned.name for c in rig.contacts if c.owned is not None}
    for name in owned:
        other = _site_gear(site, name, lambda p: replace(p, gear=rough(p.gear)))  # type: ignore[arg-type]
        lying = tuple(
            c if c.owned is None else replace(c, owned=replace(c.owned, gear=rough(c.owned.gear)))
            for c in rig.contacts
        )
        yield other, _with(rig, contacts=lying)
        mu = 0.05
        stated = tuple(
            c if c.owned is None else replace(c, friction=c.friction + mu) for c in lying
        )
        yield other, _with(rig, contacts=stated)
        for change in ({"length": 0.01}, {"covers": 0.0, "length": 0.1}):
            yield (
                _site_gear(site, name, lambda p, c=change: replace(p, gear=replace(p.gear, **c))),  # type: ignore[misc]
                rig,
            )
        gear = tuple(h for h in rig.gear if h.role is not Role.PROTECTOR)
        yield site, _with(rig, gear=gear)
        yield site, _with(rig, gear=gear, contacts=())
    if len(owned) < len(rig.contacts) and not owned:
        legs = tuple(
            replace(leg, protector=rough(leg.laid)) if leg.laid is not None else leg
            for leg in site.legs
        )
        yield replace(site, legs=legs), rig
        bare = tuple(replace(leg, edge_protected=False) for leg in site.legs)
        yield replace(site, legs=bare), rig
        yield replace(site, legs=bare), _with(rig, contacts=())


def made_otherwise(a: Answer) -> Spoiled:
    """What is stated of anchors that are made, and of a sling between two trees: each figure 10 % off, left
    out, made of other things; and in the site nothing to make them of, or made for another pull."""
    many = a.rig.made
    for i, made in enumerate(many):

        def put(new: ToMake, i: int = i) -> Rig:
            return _with(a.rig, made=(*many[:i], new, *many[i + 1 :]))

        yield a.site, _with(a.rig, made=(*many[:i], *many[i + 1 :]))
        slung = made.slung
        if slung is not None:
            for name in SLUNG:
                for by in (0.9, 1.1):
                    yield (
                        a.site,
                        put(
                            replace(made, slung=replace(slung, **{name: getattr(slung, name) * by}))
                        ),
                    )
            yield a.site, put(replace(made, slung=replace(slung, rope=f"{slung.rope} x")))
            for i, share in enumerate(slung.alone):
                wrong = None if share is not None else 1.0
                alone = (wrong, slung.alone[1]) if i == 0 else (slung.alone[0], wrong)
                yield a.site, put(replace(made, slung=replace(slung, alone=alone)))
            yield a.site, put(replace(made, slung=replace(slung, trees=slung.trees[::-1])))
            continue
        yield a.site, put(replace(made, rise=made.rise + 0.1))
        yield a.site, put(replace(made, spread=made.spread + 0.1))
        if made.way is not None:
            yield a.site, put(replace(made, way=made.way + 0.5))
        yield (
            a.site,
            put(replace(made, making=replace(made.making, minutes=made.making.minutes + 5.0))),
        )
        if a.site.anchor(made.anchor).uses:
            yield replace(a.site, stock=tuple((what, 0) for what, _ in a.site.stock)), a.rig
        stands = a.site.anchor(made.anchor).directions
        if stands is not None:
            steep = replace(stands, up=made.rise - 0.01)
            yield _site_anchor(a.site, made.anchor, steep), a.rig


def stands_otherwise(a: Answer) -> Spoiled:
    """A puller that may choose where it stands: elsewhere, another way, further; and each thing printed of
    that off."""
    rig, site = a.rig, a.site
    if not isinstance(rig, Setup) or rig.standing is None or rig.puller.stand is None:
        return
    puller, printed, stand = rig.puller, rig.standing, rig.puller.stand
    x, y, z = puller.position
    hx, hy, hz = puller.heading
    for wrong in (
        replace(puller, position=(x - hy, y + hx, z)),
        replace(puller, position=(x, y, z + 0.3)),
        replace(puller, heading=(-hx, -hy, -hz)),
        replace(puller, run=puller.run + 50.0),
        replace(puller, stand=replace(stand, along=stand.along + 0.5)),
        replace(puller, stand=None),
    ):
        yield site, _with(rig, puller=wrong)
    yield site, _with(rig, standing=None)
    for change in (
        {"along": printed.along + 0.2}, {"aside": printed.aside - 0.2}, {"run": printed.run * 0.9},
        {"heading": printed.heading + 0.1}, {"left": not printed.left}, {"spots": printed.spots + 2},
        {"refined": not printed.refined}, {"room": "area" if printed.room == "track" else "track"},
        {"faces": f"facing the {'start' if printed.faces.endswith('end of it') else 'end'} of it"},
        {"spot": (printed.spot[0] + 0.1, *printed.spot[1:])}, {"puller": f"{printed.puller} x"},
    ):  # fmt: skip
        yield site, _with(rig, standing=replace(printed, **change))
    for i, tape in enumerate(printed.taped):
        for key in ("distance", "at_end"):
            off = replace(tape, **{key: getattr(tape, key) + 0.2})
            taped = (*printed.taped[:i], off, *printed.taped[i + 1 :])
            yield site, _with(rig, standing=replace(printed, taped=taped))


SLUNG = ("legs", "height", "angle", "angle_least", "angle_most", "pull", "even", "tighter")


def _site_anchor(site: Site, name: str, stands: Directions) -> Site:
    """The site with an anchor that stands other pulls."""
    anchors = tuple(
        replace(anchor, directions=stands) if anchor.name == name else anchor  # type: ignore[type-var]
        for anchor in site.anchors
    )
    return replace(site, anchors=anchors)


KINDS: tuple[tuple[str, Callable[[Answer], Spoiled]], ...] = (
    ("capacity x 3", capacity_thrice),
    ("capacity x 3, margin made to fit", capacity_thrice_fitted),
    ("demand / 3", demand_third),
    ("demand / 3, margin and pull made to fit", demand_third_fitted),
    ("component left out or twice", component_left_out),
    ("component elsewhere", component_elsewhere),
    ("weakest and margin", weakest_misnamed),
    ("rating / 10 in the site", rating_tenth),
    ("place moved 1 m", places_moved),
    ("load and ground", ground_otherwise),
    ("stock reduced", stock_reduced),
    ("gear too small, short or long", too_small),
    ("figures of the answer", figures),
    ("rows of the profile", rows),
    ("stops and moves", stops),
    ("efficiencies", efficiencies),
    ("gear hung otherwise", gear_hung_otherwise),
    ("knots swapped", knots_swapped),
    ("walk and hitch", walk_otherwise),
    ("unrated pieces", unrated_otherwise),
    ("rope", rope_otherwise),
    ("a post in the way", obstacles),
    ("contacts", contacts),
    ("what lies on edges", laid_otherwise),
    ("anchors that are made or shared", made_otherwise),
    ("where the puller stands", stands_otherwise),
)
