"""Defines what buying answers, as frozen values."""

from dataclasses import dataclass, field

from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.proposed import Pickets, TiedSling
from optimiser.jobs.stages.results import Plan
from optimiser.rig.conditions import together
from optimiser.rig.setup import IfStands, LoweringSetup, Miss, Setup
from optimiser.rig.status import Status, Unsearched
from optimiser.search.buying.tackled import Tackles
from optimiser.search.buying.worth import Unusual
from optimiser.site.model import Owned


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """Some equal pieces to be bought, or to be `lent`. `id`: in the price list; `gear`: what site files call
    it, `length` [m] where it is cut to length. `price` is for one, or the fee for one that is lent; a
    `placeholder` price is nobody's; `written`: the price and its currency as stated, where `price` is in
    another one. `shop`: who sells or lends it, "" where nobody is named."""

    id: str
    gear: str
    name: str
    length: float | None
    count: int
    price: float
    placeholder: bool
    lent: bool = False
    shop: str = ""
    written: tuple[float, str] | None = None

    @property
    def cost(self) -> float:
        """Of all of them together."""
        return self.price * self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class AtShop:
    """What of a purchase comes from one shop, or is lent by one lender."""

    shop: str
    lent: bool
    items: tuple[Item, ...]

    @property
    def cost(self) -> float:
        return round(sum(item.cost for item in self.items), 2)

    @property
    def placeholder(self) -> bool:
        """Whether some of the prices are nobody's."""
        return any(item.placeholder for item in self.items)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """Some equal pieces that are made on the spot, to lay on an edge: `id`, `name` of their kind."""

    id: str
    name: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """What is bought or borrowed. `goals`: what it is the least for, in words. `proven`: nothing cheaper (or
    fewer) does."""

    goals: tuple[str, ...]
    items: tuple[Item, ...]
    proven: bool

    @property
    def bought(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if not item.lent)

    @property
    def lent(self) -> tuple[Item, ...]:
        """What goes back."""
        return tuple(item for item in self.items if item.lent)

    @property
    def cost(self) -> float:
        """Fees of what is lent included."""
        return round(sum(item.cost for item in self.items), 2)

    @property
    def placeholder(self) -> bool:
        """Whether some of the prices are nobody's."""
        return any(item.placeholder for item in self.items)

    @property
    def pieces(self) -> int:
        """To buy and to borrow."""
        return sum(item.count for item in self.items)

    @property
    def by_shop(self) -> tuple[AtShop, ...]:
        """What comes from where: shops by name, then lenders."""
        marks = sorted({(item.lent, item.shop) for item in self.items})
        return tuple(
            AtShop(
                shop=shop,
                lent=lent,
                items=tuple(i for i in self.items if (i.lent, i.shop) == (lent, shop)),
            )
            for lent, shop in marks
        )

    @property
    def counts(self) -> tuple[tuple[str, int], ...]:
        """How many of each item, by its id: alike in equal purchases."""
        return tuple(sorted((item.id, item.count) for item in self.items))


@dataclass(frozen=True, slots=True, kw_only=True)
class WithSetups(Purchase):
    """One purchase, and what it makes possible in one stage or more. `best`: that is proven the best that it
    makes possible. `pieces_bought`: the items as gear, which the setups name. `made`: what has to be made on
    the spot besides; it costs nothing, and is among no pieces."""

    best: bool = True
    pieces_bought: tuple[Owned, ...] = ()
    made: tuple[Made, ...] = ()

    @property
    def setups(self) -> tuple[Setup, ...] | tuple[LoweringSetup, ...]:
        """Of every stage."""
        raise NotImplementedError

    @property
    def if_stands(self) -> tuple[IfStands, ...]:
        """What the owner's unrated pieces would have to stand for it to hold; empty: all is rated."""
        return together(self.setups)

    @property
    def stages(self) -> int:
        return len(self.setups)


@dataclass(frozen=True, slots=True, kw_only=True)
class Option(WithSetups):
    """One purchase and the best setup that it makes possible.

    `plan`: the stages where it is hauled in more than one; then `setup` is the one of the least margin.
    `unusual`: what makes it less plain (`optimiser.search.buying.worth`).
    """

    setup: Setup
    plan: Plan | None = None
    unusual: frozenset[Unusual] = frozenset()

    @property
    def setups(self) -> tuple[Setup, ...]:
        """The setup, or those of all stages."""
        return (self.setup,) if self.plan is None else self.plan.stages

    @property
    def resets(self) -> int:
        return self.setup.resets if self.plan is None else self.plan.resets

    @property
    def margin(self) -> float:
        return self.setup.margin  # of the weakest stage

    @property
    def plainness(self) -> tuple[int, int, int, int, float]:
        """Less is plainer: kinds of unusual things, stages, pieces, resets, money."""
        return len(self.unusual), self.stages, self.pieces, self.resets, self.cost


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionDown(WithSetups):
    """One purchase and the way down that it makes possible. `answer`: its one hold for the whole way, or its
    stages."""

    answer: Lowering

    @property
    def setups(self) -> tuple[LoweringSetup, ...]:
        """The hold for the whole way, or those of all stages, from the top down."""
        return self.answer.setups[:1] or self.answer.stages

    @property
    def resets(self) -> int:
        """New grips in all stages, and one for every change of stage."""
        return sum(setup.resets for setup in self.setups) + self.stages - 1

    @property
    def margin(self) -> float:
        """Of the weakest stage."""
        return min(setup.margin for setup in self.setups)


AnyOption = Option | OptionDown
"""What a purchase makes of a job."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Driven:
    """A purchase that does where somebody drives pickets besides, which its price leaves out."""

    pickets: Pickets
    option: Option


@dataclass(frozen=True, slots=True, kw_only=True)
class Tied:
    """A purchase that does where two trees share the pull of a sling between them. A rope or shackle for it
    that is not owned is among what is bought."""

    sling: TiedSling
    option: Option


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchases:
    """All options worth naming: the plainest first among those for not much more than the least money, then
    the others, cheapest first.

    `needed`: the owned gear does not do in one stage. `offered`: items that were looked at.
    `proven`: the least in one stage is the least, or nothing does in any number of stages; never beside
    options of which none is proven. `staged`: the least in up to `most_stages` is.
    `further`: further steps were looked for to the end. `tackles`: how far tackle on tackle was looked at.
    `unsearched`: what it costs at least in one stage with a single line, where the least is not proven; None
    where that is not known.
    `plainest`: nothing plainer exists within `within` money (None where nothing is bought).
    `driven`: a purchase that costs less, or does where none of these does, with pickets driven; None where
    none was found. `tied`: the same with a sling between two trees. `misses`: what stops it where even the
    whole list does not do. `name`: what the job is called.
    """

    options: tuple[Option, ...]
    needed: bool
    wanted: float  # margin
    currency: str
    offered: int
    placeholders: bool
    proven: bool
    further: bool
    tackles: Tackles
    rules: tuple[str, ...]
    most_stages: int = 1
    staged: bool = True
    plainest: bool = True
    within: float | None = None
    joining: bool = True  # ropes may be joined or lengthened
    driven: Driven | None = None
    tied: Tied | None = None
    misses: tuple[Miss, ...] = field(default=())
    unsearched: Unsearched | None = None
    name: str = ""

    @property
    def status(self) -> Status:
        """Of the least in up to `most_stages`."""
        settled = self.proven and (self.staged or self.most_stages == 1)
        return Status.of(found=bool(self.options), settled=settled)

    @property
    def conclusive(self) -> bool:
        """Whether it is proven what is answered: that the first option is the least, or, beside no option,
        that nothing on the list does in any number of stages requested."""
        return self.proven and (bool(self.options) or self.staged)

    def __len__(self) -> int:
        return len(self.options)
