"""Prints purchases as listings and as JSON."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from catalogue.glossary import explained
from optimiser.jobs.buy.results import AnyOption, Made, Option, Purchases
from optimiser.jobs.stages.words import between
from optimiser.rig import where_it_stands
from optimiser.rig.conditions import in_words as conditions_in_words
from optimiser.rig.naming import run_of_ropes
from optimiser.rig.setup import Setup, names
from optimiser.rig.status import Status
from optimiser.rig.where_it_stands import sentence as in_full
from optimiser.search.buying.worth import worth
from optimiser.site.model import Site
from optimiser.telling import stages as staging
from optimiser.telling.bought import with_anchors
from optimiser.telling.bought.in_common import (
    BOUGHT,
    FURTHER_LEFT,
    LOOKED_AT,
    OFFERED,
    PAID,
    PROVEN_LEAST,
    TACKLES,
    TO_BUY,
    among,
    lent_note,
    placeholder_note,
    rating_note,
    up_to,
)
from optimiser.telling.bought.item_words import money, purchase_in_short
from optimiser.telling.bought.where_from import bought_for, shop_by_shop
from optimiser.telling.bought.with_anchors import DRIVEN, TIED
from optimiser.telling.detail import detail
from optimiser.telling.fields.common import (
    COUNT,
    DOWN,
    FLAG,
    MARGIN,
    MONEY,
    NOTATION,
    RATIO,
    RESETS,
    ROPE_NEEDED,
    TEXT,
    TEXTS,
    WEAKEST,
)  # fmt: skip
from optimiser.telling.fields.several import (
    COULD_REACH,
    IF_STANDS,
    PROVEN,
    STATUS,
    UNSEARCHED,
)
from optimiser.telling.hold import brief
from optimiser.telling.tables import MISS, SETUP, SETUP_IN_FULL, misses_listing
from shared.columns import Column, Many, Of, Record, Where
from shared.interrupt import cut_short
from shared.listing import Listing
from shared.report import Block
from shared.units import show

if TYPE_CHECKING:
    from optimiser.telling.worst_ends import Answer

STEPS = ("margin", *"0123456789")
"""How the goals of further steps of money begin."""
_IF_STANDS = "`bankhaul buy --hold` buys for a second line that holds or steers the load, too."
_NO_MARGIN = 0.005
"""A difference of margin that nobody reads from the table."""
MADE: Record[Made] = Record("made", "some equal pieces to make on the spot", (
    Column("item", lambda m: m.id, TEXT, "id in the catalogue"),
    Column("name", lambda m: m.name, TEXT, "what it is"),
    Column("count", lambda m: m.count, COUNT, "how many"),
))  # fmt: skip

APART: Record[Mapping[str, float]] = Record("apart", "what an option costs and brings more than the first", (
    Column("cost", kind=MONEY, means="money more"),
    Column("pieces", kind=COUNT, means="pieces more"),
    Column("margin", kind=RATIO, means="margin more"),
    Column("resets", kind=COUNT, means="resets more"),
    Column("stages", kind=COUNT, means="stages more"),
))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Offer:
    """An option among those of an answer."""

    number: int
    option: Option
    among: Purchases

    @property
    def setups(self) -> tuple[Setup, ...]:
        """The setups of several stages."""
        return () if self.option.plan is None else self.option.plan.stages

    @property
    def apart(self) -> Mapping[str, float] | None:
        """What it costs and brings more than the first one; None for that one itself."""
        first, one = self.among.options[0], self.option
        if one is first:
            return None
        return {
            "cost": round(one.cost - first.cost, 2),
            "pieces": one.pieces - first.pieces,
            "margin": one.margin - first.margin,
            "resets": one.resets - first.resets,
            "stages": one.stages - first.stages,
        }


PART: Record[Offer] = Record("job_done_alone", "what a purchase makes of a job", (
    Column("site", lambda r: r.among.name, TEXT, "file of the site"),
    Column("stages", lambda r: r.option.stages, COUNT, "stages the load is hauled in"),
    RESETS.of(lambda r: r.option.resets),
    MARGIN.of(lambda r: r.option.margin),
))  # fmt: skip

OFFER: Record[Offer] = Record("options", "one purchase and the best that it makes possible", (
    *BOUGHT,
    Column("made", lambda r: r.option.made, Many(MADE), "what to make on the spot"),
    *PAID,
    MARGIN.of(lambda r: r.option.margin),
    ROPE_NEEDED.of(lambda r: r.option.setup.rope_needed, yields=9, where=Where.LISTED),
    RESETS.of(lambda r: r.option.resets, yields=8),
    Column("stages", lambda r: r.option.stages, COUNT, "stages the load is hauled in", "stages", yields=7),
    WEAKEST.of(lambda r: r.option.setup.weakest, heading="weakest then", yields=4, where=Where.LISTED),
    PROVEN_LEAST,
    Column("if_stands", lambda r: r.option.if_stands, Many(IF_STANDS), "the conditions for it to hold"),
    Column("setup_proven_best", lambda r: r.option.best, FLAG, "whether it makes no better setup possible"),
    Column("unusual", lambda r: sorted(r.option.unusual), TEXTS, "what makes it less plain"),
    TO_BUY,
    Column("made", say=lambda r, _: to_make(r.option) or None, heading="to be made on the spot",
           where=Where.NOTE),
    Column("if_stands", say=lambda r, system: on_condition(r.option, system) or None, heading="only if",
           where=Where.NOTE),
    Column("against", say=lambda r, _: _against(r), heading="against no. 1", where=Where.NOTE),
    Column("unusual", say=lambda r, _: _unusual(r.option), heading="unusual", where=Where.NOTE),
    Column("run", say=lambda r, system: run_in_words(r.option, system), heading="run of the rope",
           where=Where.NOTE),
    Column("stands", say=lambda r, system: stands(r.option, system) or None, heading="where it stands",
           where=Where.NOTE),
    NOTATION.of(lambda r: r.option.setup.reeving),
    Column("setup", lambda r: r.option.setup, SETUP, "the setup; of several stages that of the least margin"),
    Column("stage_setups", lambda r: r.setups, Many(SETUP), "the setups of several stages"),
    Column("sites", lambda r: (r,), Many(PART), "what it makes of the job"),
    Column("against_first", lambda r: r.apart, APART, "what it costs and brings more than the first",
           none=True),
))  # fmt: skip

_FULL: Mapping[str, Of] = {"setup": SETUP_IN_FULL, "stage_setups": Many(SETUP_IN_FULL)}
OFFER_IN_FULL: Record[Offer] = Record("option_in_full", OFFER.means, tuple(
    replace(column, kind=_FULL.get(column.key, column.kind))
    for column in OFFER.columns if column.key != "against_first"
))  # fmt: skip

PURCHASES: Record[Purchases] = Record("purchases", "what to buy so that the haul works", (
    Column("options", lambda p: _offers(p), Many(OFFER), "the purchases worth naming"),
    Column("needed", lambda p: p.needed, FLAG, "whether the gear owned does not do in one stage"),
    Column("margin_wanted", lambda p: p.wanted, RATIO, "the margin wanted"),
    *OFFERED,
    Column("status", lambda p: p.status, Status, STATUS),
    Column("proven", lambda p: p.conclusive, FLAG, PROVEN),
    Column("could_reach", lambda p: p.unsearched, UNSEARCHED, COULD_REACH, none=True),
    Column("most_stages", lambda p: p.most_stages, COUNT, "stages there may be"),
    Column("proven_in_stages", lambda p: p.staged, FLAG, "whether the least is so in those stages"),
    Column("plainest_proven", lambda p: p.plainest, FLAG, "whether nothing plainer exists within that money"),
    Column("plainest_within", lambda p: p.within, MONEY, "up to which the plainest comes first", none=True),
    *LOOKED_AT,
    Column("with_pickets", lambda p: p.driven, DRIVEN, "what to buy where somebody drives pickets besides",
           none=True),
    Column("with_sling", lambda p: p.tied, TIED, "what to buy where two trees share the pull of a sling",
           none=True),
    Column("misses", lambda p: p.misses, Many(MISS), "what stops it with everything on the list"),
))  # fmt: skip

purchases_json = PURCHASES.json


def report(
    site: Site, purchases: Purchases, measured: "Sequence[Sequence[Answer]]" = ()
) -> list[Block]:
    """The options, what they prove, and whose prices these are. `measured`: of each option what the readings
    of the site leave open, stage by stage."""
    system = site.preferences.units
    if not purchases.options:
        if purchases.status is Status.UNDECIDED:
            text = (
                f"NOT FINISHED: nothing to buy found yet that makes {site.title} work. NOT proven "
                f"({cut_short()}): something may exist{_at_least(purchases)}. {_IF_STANDS}"
            )
            return [("", text), *with_anchors.blocks(purchases, system)]
        stages = up_to(purchases.most_stages)
        text = (
            f"NO SETUP WORKS for {site.title} {stages}, not even with everything on the price list. "
            f"{TACKLES[purchases.tackles]} {_IF_STANDS}"
        )
        return [
            ("", text),
            *with_anchors.blocks(purchases, system),
            ("What stops it with everything on the list", misses_listing(purchases.misses, system)),
        ]
    title = f"What to buy for {site.title}"
    notes = [
        explained(("margin", "reset")),
        _plainer(purchases),
        _value(purchases),
        _proof(purchases),
        where_it_stands.note(site),
        placeholder_note(purchases.placeholders),
        lent_note(purchases.options),
        "`bankhaul buy --show N` spells option N out: what hangs where, what every piece carries.",
        rating_note(conditional=any(option.if_stands for option in purchases.options)),
    ]
    listed = options_listing(purchases, system)
    if measured:
        from optimiser.telling.worst_ends import with_verdicts  # only where there are readings

        listed = with_verdicts(listed, measured, system)
    answered = _needed(purchases, system)
    above: list[Block] = [("", answered)] if answered else []
    return [
        *above,
        (title, listed),
        *with_anchors.blocks(purchases, system),
        *shop_by_shop(purchases.options, purchases.currency, system),
        ("", "\n".join(n for n in notes if n)),
    ]


def options_listing(purchases: Purchases, system: str = "metric") -> Listing:
    """One row an option, in the order of `Purchases`."""
    empty = "nothing on the list makes it work"
    return Listing.of(OFFER, _offers(purchases), system, empty=empty)


def _offers(purchases: Purchases) -> Iterator[Offer]:
    for number, option in enumerate(purchases.options, start=1):
        yield Offer(number, option, purchases)


def shown(site: Site, option: Option, currency: str = "") -> list[Block]:
    """One option spelt out: what is got, then every stage and what is done between them."""
    bought = ("What to get", bought_for(option, currency, site.preferences.units))
    made = [("To be made on the spot", f"{_counted_made(option)}.")] if option.made else []
    if option.plan is None:
        return [bought, *made, *detail(site, option.setup)]
    plan = option.plan
    # What is bought is there to hold the load with, too.
    site = replace(site, gear=(*site.gear, *option.pieces_bought))
    condition = on_condition(option, site.preferences.units)
    blocks: list[Block] = [bought, *made, *([("", f"{condition}.")] if condition else [])]
    for index, (setup, reach) in enumerate(zip(plan.stages, plan.reaches, strict=True)):
        if index:
            text = between(plan, index - 1, site.preferences.units)
            blocks.append((f"Between stage {index} and stage {index + 1}", text))
        blocks += staging.stage(site, setup, reach)
    return blocks


def _counted_made(option: AnyOption) -> str:
    return names([f"{piece.count} × {piece.name} ({piece.id})" for piece in option.made])


def to_make(option: AnyOption) -> str:
    """What has to be made on the spot; "" for nothing."""
    return f"To be made on the spot: {_counted_made(option)}." if option.made else ""


def run_in_words(option: Option, system: str) -> str:
    """How the ropes run, stage by stage, with the second lines that a haul must not do without."""
    lines = [
        " ".join([f"{run_of_ropes(s, system)}.", *(brief(line, system) for line in s.holding)])
        for s in option.setups
    ]
    if len(lines) == 1:
        return lines[0][:1].upper() + lines[0][1:]
    return "\n".join(f"Stage {i}: {text}" for i, text in enumerate(lines, start=1))


def stands(option: Option, system: str) -> str:
    """Where whatever pulls is to stand, stage by stage; "" where that is not for the search to say."""
    each = [in_full(s.standing, system) if s.standing is not None else "" for s in option.setups]
    if len(each) == 1:
        return each[0]
    return "\n".join(f"Stage {i}: {text}" for i, text in enumerate(each, start=1) if text)


def on_condition(option: AnyOption, system: str) -> str:
    """On what it depends that has no rating; "" where all is rated."""
    text = conditions_in_words(option.if_stands, system)
    return f"UNRATED: only {text}" if text else ""


def _needed(purchases: Purchases, system: str) -> str:
    wanted = show(purchases.wanted, RATIO)
    nothing = next((option for option in purchases.options if not option.items), None)
    if nothing is not None and nothing.if_stands:
        stages = (
            "" if nothing.stages == 1 else f", and the load is hauled in {nothing.stages} stages"
        )
        condition = conditions_in_words(nothing.if_stands, system)
        return f"NOTHING NEEDS TO BE BOUGHT {condition}{stages}. That is UNRATED: nobody knows yet."
    if not purchases.needed:
        return f"NOTHING NEEDS TO BE BOUGHT: the gear owned reaches the margin wanted ({wanted})."
    free = next((option for option in purchases.options if not option.items), None)
    if free is None:
        text = f"The gear owned does not reach the margin wanted ({wanted})."
        return f"{text}{_borrowed(purchases)}"
    made = f": what is made on the spot does it, {_counted_made(free)}" if free.made else ""
    if free.stages == 1 and made:
        return (
            f"NOTHING NEEDS TO BE BOUGHT{made}. With that the gear owned reaches the margin wanted "
            f"({wanted}), without it it does not."
        )
    if free.stages == 1:
        return (
            "NOTHING NEEDS TO BE BOUGHT: joined or lengthened, the ropes owned reach the margin wanted "
            f"({wanted})."
        )
    return (
        f"NOTHING NEEDS TO BE BOUGHT if the load is hauled in {free.stages} stages{made}: the gear owned "
        f"then reaches the margin wanted ({wanted}). In one stage it does not."
    )


def _borrowed(purchases: Purchases) -> str:
    """That nothing has to be bought with what is lent, as a further sentence; "" where it has."""
    for number, option in enumerate(purchases.options, start=1):
        if not option.bought:
            return f" With what is lent nothing needs to be bought: no. {number}."
    return ""


def _value(purchases: Purchases) -> str:
    """What improves most per unit of money, where nothing has to be bought."""
    base = next((option for option in purchases.options if not option.items), None)
    if base is None:
        return ""
    dearer = [option for option in purchases.options if option.cost > 0]
    lines = []
    gains = [o for o in dearer if o.margin >= base.margin + worth().margin - 1e-9]
    if gains:
        best = max(gains, key=lambda o: ((o.margin - base.margin) / o.cost, -o.cost))
        more = show(best.margin - base.margin, RATIO, rounding=DOWN)
        lines.append(
            f"Most margin for the money: {_buying(best, purchases)} brings {more} more margin."
        )
    lines += _saved(purchases, base, dearer, "stage", lambda option: option.stages)
    halved = worth().next_resets(base.resets)
    less = [option for option in dearer if halved is not None and option.resets <= halved]
    lines += _saved(purchases, base, less, "reset", lambda option: option.resets)
    return "\n".join(lines)


def _against(offer: Offer) -> str | None:
    """What an option brings for its money, compared with the first one."""
    apart = offer.apart
    if apart is None:
        return None
    spent = apart["cost"]
    nobodys = offer.option.placeholder or offer.among.options[0].placeholder
    price = money(abs(spent), offer.among.currency, placeholder=nobodys)
    cost = "the same money as" if not spent else f"{price} {'more' if spent > 0 else 'less'} than"
    brings = [
        f"{show(abs(apart['margin']), RATIO, rounding=DOWN)} "
        f"{'more' if apart['margin'] > 0 else 'less'} margin"
        if abs(apart["margin"]) >= _NO_MARGIN
        else "",
        *(_counted(int(apart[f"{what}s"]), what) for what in ("piece", "reset", "stage")),
    ]
    return f"For {cost} no. 1: {names([text for text in brings if text]) or 'otherwise the same'}."


def _counted(more: int, what: str) -> str:
    if not more:
        return ""
    return f"{abs(more)} {what}{'' if abs(more) == 1 else 's'} {'more' if more > 0 else 'fewer'}"


def _unusual(option: Option) -> str | None:
    """What makes an option less plain, and why it does."""
    reasons = worth().reasons
    sentences = [f"{kind.capitalize()}: {reasons[kind]}." for kind in sorted(option.unusual)]
    return " ".join(sentences) or None


def _plainer(purchases: Purchases) -> str:
    """The least money by name where something plainer stands before it, and what plainer means."""
    if purchases.within is None:
        return ""
    first = purchases.options[0]
    sentences = []
    cheapest = min(purchases.options, key=lambda option: option.cost)
    if cheapest is not first:
        sentences.append(
            f"The least money is {_cost(cheapest, purchases)}, for {purchase_in_short(cheapest)}; "
            f"plainer, at {_cost(first, purchases)}: {purchase_in_short(first)}."
        )
    upto = money(purchases.within, purchases.currency, placeholder=cheapest.placeholder)
    sentences.append(
        f"Plainer is what takes fewer unusual things ({names(list(worth().reasons))}), then fewer stages, "
        f"pieces and resets; such purchases come first up to a fifth above the least money ({upto})."
    )
    if not purchases.plainest:
        sentences.append(f"NOT proven ({cut_short()}) to be the plainest.")
    elif first.stages > 1:
        sentences.append("In several stages pieces and resets are not made fewer.")
    return " ".join(sentences)


def _saved(
    purchases: Purchases,
    base: Option,
    dearer: list[Option],
    what: str,
    count: Callable[[Option], int],
) -> list[str]:
    saving = [option for option in dearer if count(option) < count(base)]
    if not saving:
        return []
    best = max(saving, key=lambda o: ((count(base) - count(o)) / o.cost, -o.cost))
    fewer = count(base) - count(best)
    saved = f"{fewer} {what}" + ("" if fewer == 1 else "s")
    return [f"Most {what}s saved for the money: {_buying(best, purchases)} saves {saved}."]


def _buying(option: Option, purchases: Purchases) -> str:
    return f"{purchase_in_short(option)} for {_cost(option, purchases)}"


def _cost(option: Option, purchases: Purchases) -> str:
    return money(option.cost, purchases.currency, placeholder=option.placeholder)


def _at_least(purchases: Purchases) -> str:
    """What may still be found costs so much, as the end of a sentence; "" where that is not known."""
    rest = purchases.unsearched
    if rest is None or not rest.cost:
        return ""
    least = money(rest.cost, purchases.currency, placeholder=purchases.placeholders)
    return f"; in one stage with a single line nothing does that costs less than {least}"


def _proof(purchases: Purchases) -> str:
    over = among(purchases.offered, purchases.rules)
    stages, why = up_to(purchases.most_stages), cut_short()
    if purchases.status is Status.PROVEN:
        text = f"Proven: nothing less hauls it {stages}, {over}."
    elif purchases.proven:
        text = (
            f"Proven the least in one stage, {over}. NOT proven {stages} ({why}): "
            "something cheaper may exist; `--time-limit 300` gives it five minutes."
        )
    else:
        text = f"NOT proven ({why}): something cheaper may exist {over}"
        text += f"{_at_least(purchases)}."
    if purchases.joining:
        text += (
            " A line is one rope; where none of one piece does, two that are joined, or one lengthened by a "
            "strap or chain, owned or new."
        )
    else:
        text += " No rope is joined to another or lengthened."
    if all(option.items for option in purchases.options):
        text += f" {TACKLES[purchases.tackles]}"
    if any(option.goals[0].startswith(STEPS) for option in purchases.options):
        text += (
            " Steps of margin and resets are for one stage, with ropes of one piece; tackle on tackle "
            "counts in them only where no single line has them."
        )
    if not purchases.further:
        text += FURTHER_LEFT
    if not all(option.best for option in purchases.options):
        text += " With what is bought a better setup than the one shown may exist."
    return text
