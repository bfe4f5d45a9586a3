"""Prints purchases as listings and as JSON."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from catalogue.glossary import explained
from optimiser.jobs.buy.results import Item, Option, Purchases
from optimiser.jobs.stages.words import between
from optimiser.rig.conditions import as_json, in_words
from optimiser.rig.naming import run_of_ropes
from optimiser.rig.setup import names
from optimiser.rig.status import Status
from optimiser.search.buying.tackled import Tackles
from optimiser.search.buying.worth import worth
from optimiser.site.model import Site
from optimiser.telling import stages as staging
from optimiser.telling.detail import detail
from optimiser.telling.tables import miss_json, misses_listing, setup_json, unsearched_json
from shared.interrupt import cut_short
from shared.listing import Column, Kind, Listing, Where, plain
from shared.report import Block
from shared.units import Dimension, Rounding, show
from shared.words import counted

if TYPE_CHECKING:
    from optimiser.telling.worst_ends import Answer

STEPS = ("margin", *"0123456789")
"""How the goals of further steps of money begin."""
_TACKLES = {
    Tackles.COUNTED: "Tackle on tackle is counted.",
    Tackles.PARTLY: "Tackle on tackle was looked at in part only: with it less may do; "
    "`--compound` looks at all of it, however long it takes.",
    Tackles.MANY: "Tackle on tackle with anything new is NOT counted, there is much of it: `--compound` "
    "counts it, however long it takes.",
    Tackles.OFF: "Tackle on tackle is NOT counted.",
    Tackles.NONE: "There is no tackle on tackle: it takes two ropes, and a knot or hitch you tie that holds "
    "on one of them.",
}
_IF_STANDS = (
    "A second line that holds or steers the load is not bought for: `bankhaul rank --hold` looks at that "
    "with the gear owned."
)
_NO_MARGIN = 0.005
"""A difference of margin that nobody reads from the table."""
_LENGTH, _RATIO = Dimension.LENGTH, Dimension.RATIO

_OPTIONS = (
    Column(key="number", heading="no.", kind=Kind.COUNT),
    Column(key="goal", heading="what for"),
    Column(key="items", heading="buy"),
    Column(key="pieces", heading="pieces", kind=Kind.COUNT, yields=6),
    Column(key="cost_told", heading="cost", where=Where.PEOPLE),
    Column(key="cost", heading="cost", kind=_RATIO, where=Where.DATA),
    Column(key="margin", heading="margin", kind=_RATIO, rounding=Rounding.DOWN),
    Column(
        key="rope_needed",
        heading="rope needed",
        unit="m",
        kind=_LENGTH,
        rounding=Rounding.UP,
        yields=9,
    ),
    Column(key="resets", heading="resets", kind=Kind.COUNT, yields=8),
    Column(key="stages", heading="stages", kind=Kind.COUNT, yields=7),
    Column(key="weakest", heading="weakest then", yields=4),
    Column(key="made", heading="to be made on the spot", where=Where.UNDER),
    Column(key="if_stands", heading="only if", where=Where.UNDER),
    Column(key="against", heading="against no. 1", where=Where.UNDER),
    Column(key="unusual", heading="unusual", where=Where.UNDER),
    Column(key="run", heading="run of the rope", where=Where.UNDER),
    Column(key="reeving", heading="reeving", where=Where.DATA),
)


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
            return [("", text)]
        stages = _up_to(purchases.most_stages)
        text = (
            f"NO SETUP WORKS for {site.title} {stages}, not even with everything on the price list. "
            f"{_TACKLES[purchases.tackles]} {_IF_STANDS}"
        )
        return [
            ("", text),
            ("What stops it with everything on the list", misses_listing(purchases.misses, system)),
        ]
    title = f"What to buy for {site.title}"
    notes = [
        explained(("margin", "reset")),
        _plainer(purchases),
        _value(purchases),
        _proof(purchases),
        _prices(purchases),
        "`bankhaul buy --show N` spells option N out: what hangs where, what every piece carries.",
        "Only pieces with a stated rating are counted on, owned or new."
        if not any(option.if_stands for option in purchases.options)
        else "What is bought has a stated rating. What is marked UNRATED is counted on only on the "
        "condition beside it: find that out before anybody hauls.",
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
        ("", "\n".join(n for n in notes if n)),
    ]


def options_listing(purchases: Purchases, system: str = "metric") -> Listing:
    """One row an option, in the order of `Purchases`."""
    rows = tuple(
        {
            "number": number,
            "goal": names(option.goals),
            "items": _items(option.items),
            "pieces": option.pieces,
            "cost_told": money(option.cost, purchases.currency),
            "cost": option.cost,
            "margin": option.margin,
            "rope_needed": option.setup.rope_needed,
            "resets": option.resets,
            "stages": option.stages,
            "weakest": option.setup.weakest,
            "made": _made(option) or None,
            "if_stands": _condition(option, system) or None,
            "against": _against(option, purchases),
            "unusual": _unusual(option),
            "run": _run(option, system),
            "reeving": option.setup.reeving,
        }
        for number, option in enumerate(purchases.options, start=1)
    )
    return Listing(columns=_OPTIONS, rows=rows, empty="nothing on the list makes it work")


def shown(site: Site, option: Option) -> list[Block]:
    """One option spelt out: what is bought, then every stage and what is done between them."""
    cost = money(option.cost, site.preferences.currency)
    bought = ("To buy", f"{_items(option.items)}, for {cost}." if option.items else "Nothing.")
    made = [("To be made on the spot", f"{_counted_made(option)}.")] if option.made else []
    if option.plan is None:
        return [bought, *made, *detail(site, option.setup)]
    plan = option.plan
    # What is bought is there to hold the load with, too.
    site = replace(site, gear=(*site.gear, *option.pieces_bought))
    condition = _condition(option, site.preferences.units)
    blocks: list[Block] = [bought, *made, *([("", f"{condition}.")] if condition else [])]
    for index, (setup, reach) in enumerate(zip(plan.stages, plan.reaches, strict=True)):
        if index:
            text = between(plan, index - 1, site.preferences.units)
            blocks.append((f"Between stage {index} and stage {index + 1}", text))
        blocks += staging.stage(site, setup, reach)
    return blocks


def purchases_json(purchases: Purchases) -> dict[str, Any]:
    """All options as one object, ready for JSON: SI, full precision."""
    record: dict[str, Any] = {
        "options": [
            option_json(option) | {"against_first": _difference(option, purchases)}
            for option in purchases.options
        ],
        "needed": purchases.needed,
        "margin_wanted": purchases.wanted,
        "currency": purchases.currency,
        "offered": purchases.offered,
        "placeholder_prices": purchases.placeholders,
        "status": str(purchases.status),
        "proven": purchases.conclusive,
        "could_reach": unsearched_json(purchases.unsearched),
        "most_stages": purchases.most_stages,
        "proven_in_stages": purchases.staged,
        "plainest_proven": purchases.plainest,
        "plainest_within": purchases.within,
        "further_steps_complete": purchases.further,
        "tackle_on_tackle": str(purchases.tackles),
        "rules": list(purchases.rules),
        "misses": [miss_json(miss) for miss in purchases.misses],
    }
    cleaned: dict[str, Any] = plain(record)
    return cleaned


def option_json(option: Option, *, full: bool = False) -> dict[str, Any]:
    """One option; `full` adds components and the pull along the path."""
    return {
        "goals": list(option.goals),
        "items": [
            {
                "item": item.id,
                "name": item.name,
                "count": item.count,
                "price": item.price,
                "placeholder": item.placeholder,
            }
            for item in option.items
        ],
        "made": [
            {"item": piece.id, "name": piece.name, "count": piece.count} for piece in option.made
        ],
        "cost": option.cost,
        "pieces": option.pieces,
        "stages": option.stages,
        "resets": option.resets,
        "margin": option.margin,
        "proven": option.proven,
        "if_stands": as_json(option.if_stands),
        "setup_proven_best": option.best,
        "unusual": sorted(option.unusual),
        "setup": setup_json(option.setup, full=full),
        "stage_setups": []
        if option.plan is None
        else [setup_json(setup, full=full) for setup in option.plan.stages],
    }


def money(amount: float, currency: str) -> str:
    """An amount with its label: "86.50 EUR"."""
    text = f"{amount:,.2f}".removesuffix(".00")
    return f"{text} {currency}".strip()


def _items(items: tuple[Item, ...]) -> str:
    return names([f"{item.count} x {item.id}" for item in items]) or "nothing"


def _counted_made(option: Option) -> str:
    return names([f"{piece.count} × {piece.name} ({piece.id})" for piece in option.made])


def _made(option: Option) -> str:
    """What has to be made on the spot; "" for nothing."""
    return f"To be made on the spot: {_counted_made(option)}." if option.made else ""


def _run(option: Option, system: str) -> str:
    setups = (option.setup,) if option.plan is None else option.plan.stages
    lines = [run_of_ropes(setup, system) for setup in setups]
    if len(lines) == 1:
        return lines[0][:1].upper() + lines[0][1:] + "."
    return "\n".join(f"Stage {i}: {text}." for i, text in enumerate(lines, start=1))


def _condition(option: Option, system: str) -> str:
    """On what it depends that has no rating; "" where all is rated."""
    text = in_words(option.if_stands, system)
    return f"UNRATED: only {text}" if text else ""


def _needed(purchases: Purchases, system: str) -> str:
    wanted = show(purchases.wanted, _RATIO)
    nothing = next((option for option in purchases.options if not option.items), None)
    if nothing is not None and nothing.if_stands:
        stages = (
            "" if nothing.stages == 1 else f", and the load is hauled in {nothing.stages} stages"
        )
        return (
            f"NOTHING NEEDS TO BE BOUGHT {in_words(nothing.if_stands, system)}{stages}. That is UNRATED: "
            "nobody knows yet."
        )
    if not purchases.needed:
        return f"NOTHING NEEDS TO BE BOUGHT: the gear owned reaches the margin wanted ({wanted})."
    free = next((option for option in purchases.options if not option.items), None)
    if free is None:
        return f"The gear owned does not reach the margin wanted ({wanted})."
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
        more = show(best.margin - base.margin, _RATIO, rounding=Rounding.DOWN)
        lines.append(
            f"Most margin for the money: {_buying(best, purchases)} brings {more} more margin."
        )
    lines += _saved(purchases, base, dearer, "stage", lambda option: option.stages)
    halved = worth().next_resets(base.resets)
    less = [option for option in dearer if halved is not None and option.resets <= halved]
    lines += _saved(purchases, base, less, "reset", lambda option: option.resets)
    return "\n".join(lines)


def _difference(option: Option, purchases: Purchases) -> dict[str, float] | None:
    """What an option costs and brings more than the first one; None for that one itself."""
    first = purchases.options[0]
    if option is first:
        return None
    return {
        "cost": round(option.cost - first.cost, 2),
        "pieces": option.pieces - first.pieces,
        "margin": option.margin - first.margin,
        "resets": option.resets - first.resets,
        "stages": option.stages - first.stages,
    }


def _against(option: Option, purchases: Purchases) -> str | None:
    """What an option brings for its money, compared with the first one."""
    apart = _difference(option, purchases)
    if apart is None:
        return None
    spent = apart["cost"]
    price = money(abs(spent), purchases.currency)
    cost = "the same money as" if not spent else f"{price} {'more' if spent > 0 else 'less'} than"
    brings = [
        f"{show(abs(apart['margin']), _RATIO, rounding=Rounding.DOWN)} "
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
            f"The least money is {money(cheapest.cost, purchases.currency)}, for {_items(cheapest.items)}; "
            f"plainer, at {money(first.cost, purchases.currency)}: {_items(first.items)}."
        )
    upto = money(purchases.within, purchases.currency)
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
    return f"{_items(option.items)} for {money(option.cost, purchases.currency)}"


def _at_least(purchases: Purchases) -> str:
    """What may still be found costs so much, as the end of a sentence; "" where that is not known."""
    rest = purchases.unsearched
    if rest is None or not rest.cost:
        return ""
    least = money(rest.cost, purchases.currency)
    return f"; in one stage with a single line nothing does that costs less than {least}"


def _up_to(stages: int) -> str:
    return "in one stage" if stages == 1 else f"in up to {stages} stages"


def _proof(purchases: Purchases) -> str:
    looked = f"{counted(purchases.offered, 'item')} that no other on the list makes pointless"
    rules = (
        f"under the rules: {names(purchases.rules)}" if purchases.rules else "with every rule off"
    )
    stages, why = _up_to(purchases.most_stages), cut_short()
    if purchases.status is Status.PROVEN:
        text = f"Proven: nothing less hauls it {stages}, among {looked}, {rules}."
    elif purchases.proven:
        text = (
            f"Proven the least in one stage, among {looked}, {rules}. NOT proven {stages} ({why}): "
            "something cheaper may exist; `--time-limit 300` gives it five minutes."
        )
    else:
        text = f"NOT proven ({why}): something cheaper may exist among {looked}, {rules}"
        text += f"{_at_least(purchases)}."
    if purchases.joining:
        text += (
            " A line is one rope; where none of one piece does, two that are joined, or one lengthened by a "
            "strap or chain, owned or new."
        )
    else:
        text += " No rope is joined to another or lengthened."
    if all(option.items for option in purchases.options):
        text += f" {_TACKLES[purchases.tackles]}"
    if any(option.goals[0].startswith(STEPS) for option in purchases.options):
        text += (
            " Steps of margin and resets are for one stage, with ropes of one piece; tackle on tackle "
            "counts in them only where no single line has them."
        )
    if not purchases.further:
        text += " Further steps of money were not all looked at: they would take longer."
    if not all(option.best for option in purchases.options):
        text += " With what is bought a better setup than the one shown may exist."
    return text


def _prices(purchases: Purchases) -> str:
    if not purchases.placeholders:
        return ""
    return (
        "PLACEHOLDER PRICES: round figures that belong to nobody, for comparing only. Give your own "
        "list with --prices FILE."
    )
