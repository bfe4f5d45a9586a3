"""Lists what is for sale as pieces a rig can use, without those another one makes pointless.

A piece is pointless where another costs no more, never runs out, and is at least as good in every
property that matters at this site: rating, fit, length, and what it loses by friction (where it must be
the same, for a better sheave may raise the pull on what lies behind it).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from catalogue.gear import (
    AnyGear,
    Block,
    Chain,
    Needs,
    Protector,
    Rope,
    Shackle,
    Strap,
    Termination,
)
from catalogue.prices import NEW, PricedItem
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.gear.kit import (
    Kit,
    Trunk,
    rope_capacity,
    round_trunk,
    stands,
    trunk_of,
)
from optimiser.rig.gear.made import MOST_LAID
from optimiser.site.model import Owned, Site, is_of, is_strap


@dataclass(frozen=True, slots=True)
class Offer:
    """A piece that can be bought, at most `most` of it. `price` is what is minimised: money, or something
    else that counts (see `optimiser.search.buying.least`); the shop's price is the item's."""

    piece: Owned
    item: PricedItem
    most: int

    @property
    def name(self) -> str:
        return self.piece.name

    @property
    def price(self) -> float:
        return self.piece.price or 0.0

    def counted(self, price: float) -> "Offer":
        """The same offer at another price."""
        return replace(self, piece=replace(self.piece, price=price))


def offers(site: Site, items: Iterable[PricedItem]) -> tuple[Offer, ...]:
    """Everything for sale that is rated and of use at this site, cheapest first."""
    return offers_for((site,), items)


def offers_for(
    sites: Sequence[Site], items: Iterable[PricedItem], *, eased: bool = False
) -> tuple[Offer, ...]:
    """Everything for sale that is rated and of use at any of the sites, cheapest first. What is bought once
    serves at all of them, so a piece is pointless only where one other piece is as good at every site.
    `eased`: a rope may be eased round a trunk, where it counts how it grips."""
    found = [offer for item in items if (offer := _offer(sites, item)) is not None]
    found.sort(key=lambda o: (o.price, o.name, o.item.shop))
    at = [(site, _trunks(site)) for site in sites]
    out: list[Offer] = []

    def pointless(offer: Offer, other: Offer) -> bool:
        return (not eased or _grips_alike(other.piece, offer.piece)) and all(
            _as_good(other, offer, trunks, site) and never_runs_out(other, site)
            for site, trunks in at
        )

    for offer in found:
        if not any(_useful(offer, trunks, site) for site, trunks in at):
            continue
        alike = [o for o in out if type(o.piece.gear) is type(offer.piece.gear)]
        if not any(pointless(offer, other) for other in alike):
            worse = [other for other in alike if pointless(other, offer)]
            out = [other for other in out if other not in worse]
            out.append(offer)
    return tuple(_under_own_names(out, {piece.name for site in sites for piece in site.gear}))


def _under_own_names(some: Iterable[Offer], taken: set[str]) -> Iterator[Offer]:
    """Offers with names that nothing else has: `taken` are those of the gear owned, and two shops may sell
    the same."""
    for offer in some:
        name = offer.name
        while name in taken:
            name = f"another {name}"
        taken.add(name)
        yield replace(offer, piece=replace(offer.piece, name=name))


def of_use(gear: AnyGear, site: Site) -> int:
    """As many of a thing as a rig may have, in one rope or in two."""
    sheaves = site.preferences.most_sheaves
    hitches = 2 if site.load.may_bridle else 0
    if isinstance(gear, Rope):  # two of one kind may be joined, or one be a sling between two trees
        bends = any(k.joins_ropes and k.tied and not k.for_wire for k in site.preferences.knots)
        return 2 if (bends or site.has_shared) and gear.knottable else 1
    if isinstance(gear, Protector):
        return MOST_LAID
    if isinstance(gear, Strap | Chain):
        return sheaves + 2 + hitches  # both standing ends, and the legs of a bridle
    return sheaves + (4 + hitches if isinstance(gear, Shackle) else 0)  # four ends


def never_runs_out(offer: Offer, site: Site) -> bool:
    """Whether there is as much of an offer as any rig can use: then nothing that is worse is of use beside
    it. Two ropes, joined or one on the other or one of them a sling, may be different ones."""
    if isinstance(offer.piece.gear, Rope):
        return not site.has_shared and not any(
            k.joins_ropes or k.grips_rope for k in site.preferences.knots
        )
    return offer.most >= of_use(offer.piece.gear, site)


def owned_with(site: Site, bought: Iterable[tuple[Offer, int]], *, loose: bool = False) -> Kit:
    """The rated pieces of the owner (`loose`: all of them) and what is bought, with the knots that are
    worth tying."""
    extra = [replace(offer.piece, count=many) for offer, many in bought if many > 0]
    merged = sorted((*site.gear, *extra), key=lambda piece: piece.name)
    whole = Kit(tuple(merged), worthwhile(site.preferences.knots))
    return whole if loose else whole.rated_only


def worthwhile(knots: Sequence[Termination]) -> tuple[Termination, ...]:
    """The knots that no other one beats in all that matters, and those that join ropes or hold on
    one."""
    kept = [k for k in knots if k.tied and (k.joins_ropes or k.grips_rope or k.in_bight)]
    usable = [k for k in knots if k.tied and k.ends_rope]
    out: list[Termination] = []
    for knot in usable:
        if not any(_ties_as_well(other, knot) for other in out):
            out = [other for other in out if not _ties_as_well(knot, other)]
            out.append(knot)
    return (*out, *(k for k in kept if k not in out))


def _ties_as_well(a: Termination, b: Termination) -> bool:
    same = a.for_wire == b.for_wire and a.made_to >= b.made_to
    anywhere = a.needs is Needs.BIGHT or b.needs is Needs.FREE_END
    goes_on = a.turns <= b.turns and a.least_trunk <= b.least_trunk
    eaten = a.eats_diameters <= b.eats_diameters and a.eats <= b.eats
    return same and anywhere and goes_on and eaten and a.keeps >= b.keeps


def _offer(sites: Sequence[Site], item: PricedItem) -> Offer | None:
    """The item as an offer; None where no site can count on it."""
    gear = item.gear
    if not item.for_sale or not isinstance(
        gear, Rope | Block | Shackle | Strap | Chain | Protector
    ):
        return None
    useful = max(of_use(gear, site) for site in sites)
    most = useful if item.stock is None else min(useful, item.stock)
    how = "lent" if item.lent else "new" if item.condition == NEW else "bought"
    piece = Owned(
        name=f"{how} {item.called}",
        gear=gear,
        count=most,
        condition=item.condition,
        length=item.length if isinstance(gear, Rope) else None,
        price=item.price,
    )
    rated = stands(piece) is not None or isinstance(gear, Protector)  # nothing hangs on that
    return Offer(piece, item, most) if most > 0 and rated else None


def _trunks(site: Site) -> tuple[Trunk, ...]:
    """What a strap may have to go round."""
    return tuple(sorted({trunk_of(a) for a in site.anchors if a.girth is not None}))


def _ways(
    strap: Owned[Strap | Chain], trunks: Sequence[Trunk]
) -> Iterator[list[tuple[float, float]]]:
    """For each trunk, (capacity, standoff) of each way round it."""
    for trunk in trunks:
        yield [(h.capacity or 0.0, h.standoff) for h in round_trunk(strap, trunk)]


def _useful(offer: Offer, trunks: Sequence[Trunk], site: Site) -> bool:
    """False for a strap that goes round nothing here."""
    strap = offer.piece
    if not is_strap(strap):
        return True
    return site.load.may_bridle or any(ways for ways in _ways(strap, trunks))


def _as_good(a: Offer, b: Offer, trunks: Sequence[Trunk], site: Site) -> bool:
    """Whether buying `a` is never worse than buying `b`."""
    one, two = a.piece.gear, b.piece.gear
    if a.price > b.price:
        return False
    if isinstance(one, Shackle) and isinstance(two, Shackle):
        return (
            _stands(a) >= _stands(b)
            and one.pin_diameter <= two.pin_diameter
            and one.length <= two.length
        )
    if isinstance(one, Block) and isinstance(two, Block):
        return _stands(a) >= _stands(b) and _block(one, two)
    if is_of(a.piece, Rope) and is_of(b.piece, Rope):
        return _rope(a.piece, b.piece)
    if isinstance(one, Protector) and isinstance(two, Protector):
        return _protector(one, two, site.preferences.clearance)
    if is_strap(a.piece) and is_strap(b.piece):
        return type(one) is type(two) and _strap(a.piece, b.piece, trunks)
    return False


def _strap(one: Owned[Strap | Chain], two: Owned[Strap | Chain], trunks: Sequence[Trunk]) -> bool:
    if abs(one.gear.length - two.gear.length) > 1e-9 or _stands(one) < _stands(two):
        return False  # as a leg of a bridle the length itself counts
    return all(
        all(any(c >= cap and s <= off for c, s in mine) for cap, off in theirs)
        for mine, theirs in zip(_ways(one, trunks), _ways(two, trunks), strict=True)
    )


def _stands(thing: Offer | Owned) -> float:
    """What a piece for sale stands in its condition, N."""
    return stands(thing.piece if isinstance(thing, Offer) else thing) or 0.0


def _block(one: Block, two: Block) -> bool:
    eye = one.eye is None or (two.eye is not None and one.eye >= two.eye)
    size = one.rope_least <= two.rope_least and one.rope_most >= two.rope_most
    return (
        one.eta == two.eta
        and eye
        and size
        and one.sheaves >= two.sheaves
        and one.sheave_diameter >= two.sheave_diameter
        and one.length <= two.length
    )


def _protector(one: Protector, two: Protector, clearance: float) -> bool:
    """Whether one kind does what another does where ropes run over it: they rub alike there and lie as high,
    and no more pieces of it are needed. `clearance`: m, that a rope keeps from the ground anyway."""
    alike = (one.surface, one.friction) == (two.surface, two.friction)
    high = max(one.clearance, clearance) == max(two.clearance, clearance)
    return alike and high and one.length >= two.length and one.covers >= two.covers


def _grips_alike(a: Owned, b: Owned) -> bool:
    """Whether two pieces hold alike where a rope is eased round a trunk."""
    if not (is_of(a, Rope) and is_of(b, Rope)):
        return True
    return grip_of(a.gear) == grip_of(b.gear)


def _rope(a: Owned[Rope], b: Owned[Rope]) -> bool:
    one, two = a.gear, b.gear
    return (
        one.diameter == two.diameter
        and (one.knottable, one.is_wire) == (two.knottable, two.is_wire)
        and one.least_bend_ratio <= two.least_bend_ratio
        and (a.length or 0.0) >= (b.length or 0.0)
        and (rope_capacity(a) or 0.0) >= (rope_capacity(b) or 0.0)
    )
