"""Defines limits that are ratings: what pieces of one family, the anchors and the pullers stand or
give."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import ceil, inf

from catalogue.gear import AnyGear, Rope
from catalogue.pullers import PulledBy
from optimiser.jobs.lower.build import build
from optimiser.jobs.lower.words import newtons
from optimiser.jobs.why.cures.smallest import in_place_of, such_as
from optimiser.jobs.why.job import Job
from optimiser.rig.components import components
from optimiser.rig.forces.holders import HAND
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit
from optimiser.rig.setup import Change, Component, Miss, Role, names
from optimiser.rig.walk import Walk
from optimiser.site.model import Owned, Puller, Site
from shared.units import Dimension, Rounding, show
from shared.words import with_the

NEXT_TO_NOTHING = 10.0
"""N·m or N that an anchor which stands nothing at all counts as standing, so that a factor can move it."""


@dataclass(frozen=True)
class Rating:
    """What pieces of one family stand: `takes` picks their components, `scaled` moves their rating."""

    name: str
    takes: Callable[[Component, Job], bool]
    scaled: Callable[[Job, float], Job]
    cure: Callable[[Component, float, Job], Change]
    known: Callable[[Component, Job], Component] = lambda part, job: part
    """The component with what it really stands, where `scaled` starts from more."""
    there: Callable[[Job], bool] = lambda job: True
    """Whether a job has any such thing."""

    def applies(self, job: Job) -> bool:
        return self.there(job)

    def relaxed(self, job: Job, factor: float) -> Job:
        return self.scaled(job, factor)

    def _short(self, job: Job, filled: Filled, factor: float) -> list[tuple[float, Component]]:
        """Pieces that do not do, the worst first: (need / have, component with its real capacity)."""
        return self.short_of(loaded(filled), job, factor)

    def short_of(
        self, parts: Iterable[Component], job: Job, factor: float
    ) -> list[tuple[float, Component]]:
        """The same of any components: those whose capacity is `factor` times what there really is."""
        out = []
        for part in parts:
            if part.capacity is not None and self.takes(part, job):
                real = replace(part, capacity=part.capacity / factor)
                need = job.floor / real.margin
                if need > 1.0 + 1e-9:
                    out.append((need, real))
        worst: dict[tuple[str, str], tuple[float, Component]] = {}
        ropes = {p.name for p in job.kit.ropes}
        for need, part in sorted(out, key=lambda e: (-e[0], e[1].name)):
            # Of a rope the weakest place counts: another rope serves them all.
            place = "" if part.item in ropes else part.place
            worst.setdefault((part.item, place), (need, part))
        return list(worst.values())

    def needs(self, job: Job, filled: Filled, factor: float) -> float:
        return max((need for need, _ in self._short(job, filled, factor)), default=1.0)

    def _cure(
        self, part: Component, need: float, job: Job, filled: Filled, factor: float
    ) -> Change:
        """The cure of one piece, with a kind that can be bought where there is one. `factor`: by which the
        pieces of `filled` are stronger than they are."""
        change = self.cure(part, need, job)
        found = in_place_of(filled, part.item, need / factor)
        return replace(change, text=f"{change.text}{such_as(found)}") if change.text else change

    def miss(self, job: Job, filled: Filled, factor: float) -> Miss:
        short = self._short(job, filled, factor)
        known = [self.known(part, job) for _, part in short]
        text = "; ".join(overload(part, job.floor, job.units) for part in known)
        changes = [self._cure(part, need, job, filled, factor) for need, part in short]
        # Where one of them has no cure that anybody could bring about, the rig has none.
        wording = names(list(dict.fromkeys(change.text for change in changes)))
        wording = wording if all(change.text for change in changes) else ""
        return Miss(
            walk=walk_of(filled),
            limit=self.name,
            text=text,
            short_by=inf if any(part.capacity == 0.0 for part in known) else short[0][0],
            change=replace(changes[0], text=wording),
        )


def overload(part: Component, floor: float, units: str) -> str:
    """A piece that carries more than it stands, in words."""
    dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
    demand = show(part.demand, dimension, units, Rounding.UP)
    at = show(part.at, Dimension.LENGTH, units)
    stands = show(part.rating, dimension, units, Rounding.DOWN)
    text = f"{part.name} carries {demand} with the load at {at}; it stands {stands}"
    if part.role in (Role.PULLER, Role.HOLDER):
        who, does = part.item, "pull" if part.role is Role.PULLER else "hold"
        if who == HAND:
            who, demand = "the hand", newtons(part.demand, units)
            stands = newtons(part.rating, units, Rounding.DOWN)
        text = (
            f"{who} would have to {does} {demand} with the load at {at}; {stands} is what is there"
        )
    return text if floor <= 1.0 else f"{text}, and margin {floor:g} is wanted"


def loaded(filled: Filled) -> tuple[Component, ...]:
    """All that the setup loads; of one that lets down with the hand or the puller that holds."""
    held = filled.variant.row.held is not None
    return build(filled, rank=1, hand_source="site").components if held else components(filled)


def walk_of(filled: Filled) -> Walk:
    """The setup's walk."""
    row = filled.variant.row
    return row.scene.walk(row.numbers)


# ---- families of pieces ---------------------------------------------------------------------------


def _stronger(piece: Owned, factor: float) -> Owned:
    gear: AnyGear = piece.gear
    if gear.wll is not None:
        gear = replace(gear, wll=gear.wll * factor)
    if isinstance(gear, Rope) and gear.mbs is not None:
        gear = replace(gear, mbs=gear.mbs * factor)
    return replace(piece, gear=gear)


def with_pieces(job: Job, changed: Callable[[Owned], Owned]) -> Job:
    """The job with every piece changed."""
    return replace(job, kit=Kit(tuple(changed(p) for p in job.kit.pieces), job.kit.knots))


def family(name: str, article: str, *kinds: type) -> Rating:
    def takes(part: Component, job: Job) -> bool:
        return any(p.name == part.item and isinstance(p.gear, kinds) for p in job.kit.pieces)

    def scaled(job: Job, factor: float) -> Job:
        return with_pieces(job, lambda p: _stronger(p, factor) if isinstance(p.gear, kinds) else p)

    def cure(part: Component, need: float, job: Job) -> Change:
        piece = next(p for p in job.kit.pieces if p.name == part.item)
        gear = piece.gear
        sound = piece.condition.keeps * need
        if isinstance(gear, Rope) and gear.mbs is not None:
            strength = gear.mbs * sound
            shown = show(strength, Dimension.FORCE, job.units, Rounding.UP)
            text = f"a rope in place of {piece.name} with a breaking strength of {shown} when new"
            return Change(text=text, amount=strength - gear.mbs, unit="N")
        strength = (gear.wll or 0.0) * sound
        shown = show(strength, Dimension.FORCE, job.units, Rounding.UP)
        text = f"{article} with a WLL of {shown} or more in place of {piece.name} at {part.place}"
        if isinstance(gear, Rope):
            text = f"a rope with a WLL of {shown} or more in place of {piece.name}"
        return Change(text=text, amount=strength - (gear.wll or 0.0), unit="N")

    return Rating(name=name, takes=takes, scaled=scaled, cure=cure)


def load_hitch() -> Rating:
    def scaled(job: Job, factor: float) -> Job:
        hitches = tuple(
            replace(h, rating=None if h.rating is None else h.rating * factor)
            for h in job.site.load.hitches
        )
        return replace(job, site=replace(job.site, load=replace(job.site.load, hitches=hitches)))

    def cure(part: Component, need: float, job: Job) -> Change:
        strength = part.rating * need
        shown = show(strength, Dimension.FORCE, job.units, Rounding.UP)
        text = f"take hold of the load at a point that stands {shown} (now {part.item})"
        return Change(text=text, amount=strength - part.rating, unit="N")

    return Rating(
        name="hitch of the load",
        takes=lambda part, job: part.role is Role.HITCH,
        scaled=scaled,
        cure=cure,
    )


def puller_hitch() -> Rating:
    def scaled(job: Job, factor: float) -> Job:
        return with_pullers(
            job,
            lambda p: replace(
                p, hitch_rating=None if p.hitch_rating is None else p.hitch_rating * factor
            ),
        )

    def cure(part: Component, need: float, job: Job) -> Change:
        strength = part.rating * need
        shown = show(strength, Dimension.FORCE, job.units, Rounding.UP)
        text = f"make the line fast to a point of {with_the(part.item)} that stands {shown}"
        return Change(text=text, amount=strength - part.rating, unit="N")

    return Rating(
        name="hitch of the puller",
        takes=lambda part, job: part.role is Role.PULLER_HITCH,
        scaled=scaled,
        cure=cure,
    )


def with_pullers(job: Job, changed: Callable[[Puller], Puller]) -> Job:
    return replace(job, site=replace(job.site, pullers=tuple(changed(p) for p in job.site.pullers)))


def pull() -> Rating:
    def times(value: float | None, factor: float) -> float | None:
        return None if value is None else value * factor

    def scaled(job: Job, factor: float) -> Job:
        return with_pullers(
            job,
            lambda p: replace(
                p,
                limit=p.limit * factor,
                weight=times(p.weight, factor),
                driven_weight=times(p.driven_weight, factor),
            ),
        )

    def cure(part: Component, need: float, job: Job) -> Change:
        wanted = part.rating * need
        shown = show(wanted, Dimension.FORCE, job.units, Rounding.UP)
        puller = next(p for p in job.site.pullers if p.name == part.item)
        text = _stronger_puller(puller, need, shown, job.units)
        return Change(text=text, amount=wanted - part.rating, unit="N")

    return Rating(
        name="pull of the puller",
        takes=lambda part, job: part.role in (Role.PULLER, Role.HOLDER) and part.item != HAND,
        scaled=scaled,
        cure=cure,
    )


def hold() -> Rating:
    """What the hand behind the turns gives, where the load is let down."""

    def scaled(job: Job, factor: float) -> Job:
        hand = job.line.hand
        most = None if hand is None else replace(hand, most=hand.most * factor)
        return replace(job, line=replace(job.line, hand=most))

    def cure(part: Component, need: float, job: Job) -> Change:
        wanted = part.rating * need
        shown = newtons(wanted, job.units)
        text = (
            f"{shown} in the hand, such as with a second person on the rope (`bankhaul lower --hold "
            f'"{shown}"`)'
        )
        return Change(text=text, amount=wanted - part.rating, unit="N")

    return Rating(
        name="hold of the hand",
        takes=lambda part, job: part.role is Role.HOLDER and part.item == HAND,
        scaled=scaled,
        cure=cure,
        there=lambda job: job.line.hand is not None,
    )


MOST_PEOPLE = 20
"""Most people on one rope: more do not find room, so that is no cure (choice)."""
MOST_DRIVEN = 4e5
"""N on driven wheels, about 40 t: nobody brings a heavier vehicle for this (choice)."""


def _stronger_puller(puller: Puller, need: float, amount: str, units: str) -> str:
    """What pulls `need` times as much, as something that can be brought; "" where nothing is."""
    if puller.kind is PulledBy.PEOPLE:
        there = next((f.value for f in puller.limit_factors if f.name == "people"), 1.0)
        wanted = ceil(there * need - 1e-9)
        if wanted > MOST_PEOPLE:
            return ""
        more = wanted - round(there)
        return f"{more} more {'person' if more == 1 else 'people'} on the rope ({wanted} in all)"
    if puller.kind is PulledBy.HAND_WINCH:
        return f"a hand winch that pulls {amount} in place of {puller.name}"
    if puller.driven_weight is None:
        return f"a vehicle that pulls {amount} in place of {puller.name}"
    driven = puller.driven_weight * need
    if driven > MOST_DRIVEN:
        return ""
    weight = show(driven, Dimension.WEIGHT, units, Rounding.UP)
    return (
        f"a vehicle that pulls {amount} there in place of {puller.name}: {weight} on its driven wheels, "
        "or better grip under them"
    )


def anchors() -> Rating:
    def scaled(job: Job, factor: float) -> Job:
        return replace(job, site=with_anchors(job.site, factor))

    def cure(part: Component, need: float, job: Job) -> Change:
        dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
        wanted = part.rating * need
        shown = show(wanted, dimension, job.units, Rounding.UP)
        text = f"an anchor that stands {shown} in place of {part.item}"
        stem = thicker_stem(job.site, part.item, wanted)
        if stem is not None:
            thick = f"{ceil(100 * stem - 1e-6)} cm"
            if job.units != "metric":
                thick = show(stem, Dimension.SIZE, job.units, Rounding.UP)
            text += f", such as a sound tree of its kind {thick} thick"
        return Change(text=text, amount=wanted - part.rating, unit=part.unit)

    def known(part: Component, job: Job) -> Component:
        return replace(part, capacity=job.site.anchor(part.item).strength.capacity)

    return Rating(
        known=known,
        name="strength of an anchor",
        takes=lambda part, job: part.role is Role.ANCHOR,
        scaled=scaled,
        cure=cure,
    )


THICKEST = 1.0
"""m: thicker trees are not looked for."""


def thicker_stem(site: Site, name: str, wanted: float) -> float | None:
    """The diameter, m in whole centimetres, at which a tree of the site, else as it is, would stand a moment;
    None where no thickness does, or it is no tree of a site file."""
    if site.origin is None:
        return None
    part = next((t for t in site.origin.document.tree if t.name == name), None)
    if part is None:
        return None
    for centimetres in range(15, round(100 * THICKEST) + 1):
        found = part.strength_at(centimetres / 100.0, site.origin.corner)
        if found is not None and found >= wanted:
            return centimetres / 100.0
    return None


def with_anchors(site: Site, factor: float) -> Site:
    out = []
    for anchor in site.anchors:
        known = anchor.strength.capacity
        strength = replace(
            anchor.strength,
            capacity=None if known is None else max(known, NEXT_TO_NOTHING) * factor,
        )
        out.append(replace(anchor, strength=strength))  # type: ignore[type-var]
    return replace(site, anchors=tuple(out))
