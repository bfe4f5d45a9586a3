"""Options worth printing: what is printed, what is left out, and what is never counted on."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from catalogue.book import load_catalogue
from catalogue.gear import Block, Chain, MadeTo, Rope, Strap, Termination
from catalogue.prices import NEW, PricedItem, load_prices, merge_prices
from optimiser.jobs.buy.goals import FEWEST_PIECES, LEAST_MONEY, NOTHING
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.buy.shown import Shown
from optimiser.jobs.question import BuyQuestion, RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.gear.kit import kit_of
from optimiser.search.stock.offers import offers, owned_with
from optimiser.site.model import Site
from tests.generated import HOME, made_up
from tests.long import rare


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(HOME, 2)


def with_rope(site: Site, length: float) -> Site:
    gear = tuple(replace(p, length=length) if isinstance(p.gear, Rope) else p for p in site.gear)
    return replace(site, gear=gear)


def ropes(site: Site, *lengths: float, **fields: object) -> dict[str, PricedItem]:
    """The owner's own kind of rope for sale, a unit of money a metre."""
    rope = next(p.gear for p in site.gear if isinstance(p.gear, Rope))
    named = {f"rope {metres:g}": metres for metres in lengths}
    return {
        id: replace(
            PricedItem(id=id, gear=replace(rope, id=id, name=id), price=metres, length=metres),
            **fields,  # type: ignore[arg-type]
        )
        for id, metres in named.items()
    }


def bought(site: Site, items: Mapping[str, PricedItem]) -> list[tuple[tuple[str, int], ...]]:
    found = buy(site, BuyQuestion(most_stages=1, steps=0, explain=False), items=items)
    return [tuple((i.id, i.count) for i in option.items) for option in found.options]


def test_the_shortest_rope_that_does_is_bought_and_no_longer_one(site: Site) -> None:
    short = with_rope(site, 12.0)
    best = rank(site, RankQuestion(compound=False, top=1, by=("rope",), explain=False)).setups[0]
    longest = max(p.gear.length for p in site.gear if isinstance(p.gear, Strap | Chain))
    too_short = best.rope_needed - longest - 1.0  # with a strap at its end too
    items = ropes(site, too_short, best.rope_needed + 2.0, best.rope_needed + 20.0)
    assert bought(short, items) == [((f"rope {best.rope_needed + 2.0:g}", 1),)]


def test_a_rope_that_an_owned_strap_makes_long_enough_is_bought_and_no_longer_one(
    site: Site,
) -> None:
    short = with_rope(site, 12.0)
    best = rank(site, RankQuestion(compound=False, top=1, by=("rope",), explain=False)).setups[0]
    items = ropes(site, best.rope_needed - 1.0, best.rope_needed + 2.0)
    found = buy(short, BuyQuestion(most_stages=1, steps=0, explain=False), items=items)

    least = next(option for option in found.options if LEAST_MONEY in option.goals)
    assert [(i.id, i.count) for i in least.items] == [(f"rope {best.rope_needed - 1:g}", 1)]
    assert least.setup.rope.joined is not None
    assert found.proven


def test_where_no_time_is_left_to_rank_it_the_rig_that_it_was_found_with_is_shown(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With its rope lengthened by a strap: the re-check knows what the rope is put together of."""
    short = with_rope(site, 12.0)
    best = rank(site, RankQuestion(compound=False, top=1, by=("rope",), explain=False)).setups[0]
    items = ropes(site, best.rope_needed - 1.0)
    monkeypatch.setattr(Shown, "best", lambda *_args, **_words: (None, True))
    found = buy(short, BuyQuestion(most_stages=1, steps=0, explain=False), items=items)

    least = next(option for option in found.options if LEAST_MONEY in option.goals)
    assert least.setup.rope.joined is not None
    assert not least.best


def test_what_is_not_for_sale_or_out_of_stock_is_not_offered(site: Site) -> None:
    short = with_rope(site, 12.0)
    assert bought(short, ropes(site, 90.0)) == [(("rope 90", 1),)]
    assert bought(short, ropes(site, 90.0, for_sale=False)) == []
    assert bought(short, ropes(site, 90.0, stock=0)) == []


def test_an_unrated_thing_is_never_offered(site: Site) -> None:
    items = ropes(site, 90.0)
    loose = {}
    for id, item in items.items():
        assert isinstance(item.gear, Rope)
        loose[id] = replace(item, gear=replace(item.gear, mbs=None, wll=None))
    assert bought(with_rope(site, 12.0), loose) == []


def test_a_rated_rope_is_offered_in_place_of_an_unrated_one(site: Site) -> None:
    loose = replace(
        site,
        gear=tuple(replace(p, unrated=True) if isinstance(p.gear, Rope) else p for p in site.gear),
    )
    found = buy(loose, BuyQuestion(most_stages=1, steps=0), items=ropes(site, 90.0))
    assert found.needed
    on_condition, option = found.options
    assert on_condition.goals == (NOTHING,)
    assert [one.item for one in on_condition.if_stands] == [
        p.name for p in loose.gear if isinstance(p.gear, Rope)
    ]
    assert [item.id for item in option.items] == ["rope 90"]
    assert not option.setup.unrated
    assert not option.if_stands


def test_a_heavier_strap_replaces_the_weakest_piece(site: Site) -> None:
    """Straps too weak for anything: one strong strap a place is bought, not a second weak one."""
    weak = replace(
        site,
        gear=tuple(
            replace(p, gear=replace(p.gear, wll=50.0)) if isinstance(p.gear, Strap) else p
            for p in site.gear
        ),
    )
    found = buy(weak, BuyQuestion(most_stages=1, steps=0, explain=False))
    money = next(option for option in found.options if LEAST_MONEY in option.goals)
    assert money.items
    assert all(load_prices()[item.id].gear.wll for item in money.items)
    straps = [item for item in money.items if isinstance(load_prices()[item.id].gear, Strap)]
    used = {h.item for h in money.setup.gear if h.role == "strap"}
    assert used
    assert used <= {f"new {item.id}" for item in straps}


def test_nothing_needs_to_be_bought_and_what_more_money_brings_is_dearer_and_better(
    site: Site,
) -> None:
    found = buy(site, BuyQuestion(most_stages=1, steps=2, explain=False))
    assert not found.needed
    first, *more = found.options
    assert first.goals == (NOTHING,)
    assert first.cost == 0.0
    last = first
    for option in more:
        assert option.cost > last.cost
        assert option.margin > first.margin or option.resets < first.resets
        last = option


def test_an_option_is_one_that_the_ranking_gives_with_those_pieces(site: Site) -> None:
    short = with_rope(site, 12.0)
    for option in buy(
        short, BuyQuestion(most_stages=1, steps=0, explain=False), items=ropes(site, 70.0, 90.0)
    ).options:
        extra = [
            replace(piece.piece, count=item.count)
            for item in option.items
            for piece in offers(short, ropes(site, 70.0, 90.0).values())
            if piece.item.id == item.id
        ]
        again = rank_hauls(
            short, RankQuestion(compound=False, explain=False), kit=kit_of(short, extra)
        ).setups
        assert option.setup.reeving == again[0].reeving
        assert option.margin == pytest.approx(again[0].margin)
        assert option.margin >= short.preferences.margin_wanted


def test_the_whole_list_does_not_make_a_tree_stronger() -> None:
    site = made_up(replace(HOME, regime="anchor"), 1)
    feeble = replace(
        site,
        anchors=tuple(
            replace(a, strength=replace(a.strength, capacity=50.0))  # type: ignore[type-var]
            for a in site.anchors
        ),
    )
    found = buy(feeble, BuyQuestion(most_stages=1, steps=0))
    assert found.proven
    assert not found.options
    assert {miss.limit for miss in found.misses} & {"strength of an anchor"}


def test_a_pointless_offer_is_left_out(site: Site) -> None:
    block = next(p.gear for p in site.gear if isinstance(p.gear, Block))
    good = PricedItem(id="good", gear=block, price=10.0)
    dearer = replace(good, id="dearer", price=11.0)
    weaker = replace(good, id="weaker", gear=replace(block, wll=(block.wll or 0.0) / 2.0))
    cheaper = replace(weaker, id="cheaper", price=9.0)
    scarce = replace(good, id="scarce", price=5.0, stock=1)
    left = offers(site, [dearer, weaker, cheaper, good, scarce])
    assert [offer.item.id for offer in left] == ["scarce", "cheaper", "good"]


def test_what_may_run_out_makes_nothing_pointless(site: Site) -> None:
    """The better block costs less, but there are two of it, and a rig may turn the rope more often."""
    block = next(p.gear for p in site.gear if isinstance(p.gear, Block))
    better = PricedItem(id="better", gear=block, price=10.0, stock=2)
    worse = replace(better, id="worse", price=11.0)

    assert [o.item.id for o in offers(site, [better, worse])] == ["better", "worse"]
    enough = replace(better, stock=site.preferences.most_sheaves)
    assert [o.item.id for o in offers(site, [enough, worse])] == ["better"]


def test_of_two_ropes_the_worse_one_is_kept_where_both_may_be_used(site: Site) -> None:
    """A bend joins them; where no knot does, one rope is all there is, and the better one does."""
    better, worse = ropes(site, 60.0)["rope 60"], replace(ropes(site, 50.0)["rope 50"], price=70.0)
    knots = tuple(k for k in site.preferences.knots if not (k.joins_ropes or k.grips_rope))
    bend = replace(knots[0], id="bend", made_to=frozenset({MadeTo.ROPE_END}))

    def with_knots(*those: Termination) -> Site:
        return replace(site, preferences=replace(site.preferences, knots=those))

    assert [o.item.id for o in offers(with_knots(*knots), [better, worse])] == ["rope 60"]
    assert len(offers(with_knots(*knots, bend), [better, worse])) == 2


def test_prices_are_placeholders_until_the_user_gives_a_list(site: Site, tmp_path: Path) -> None:
    assert buy(site, BuyQuestion(most_stages=1, steps=0, explain=False)).placeholders
    path = tmp_path / "own.csv"
    path.write_text("gear,length,price\npolyester-12,100 m,50\n", encoding="utf-8")
    own = {
        id: item for id, item in merge_prices(load_prices(), path).items() if not item.placeholder
    }
    assert not buy(site, BuyQuestion(most_stages=1, steps=0, explain=False), items=own).placeholders


def test_owned_gear_comes_first_at_no_cost(site: Site) -> None:
    kit = owned_with(site, [(offer, 1) for offer in offers(site, load_prices().values())[:3]])
    assert [p.price for p in kit.pieces if p.price is None] == [None] * len(site.gear)


@rare
def test_fewest_pieces_are_never_more_than_those_of_least_money(site: Site) -> None:
    bare = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Block | Rope)))
    found = buy(bare, BuyQuestion(most_stages=1, steps=0, explain=False))
    by_goal = {goal: option for option in found.options for goal in option.goals}
    assert by_goal[LEAST_MONEY].cost <= by_goal[FEWEST_PIECES].cost
    assert by_goal[FEWEST_PIECES].pieces <= by_goal[LEAST_MONEY].pieces


def test_a_worn_piece_for_nothing_makes_no_sound_one_pointless(site: Site) -> None:
    """A shackle that is lent worn stands less than the same one new, so both stay on offer; lent as good as
    new for nothing it makes the one in the shop pointless."""
    shackle = load_catalogue().gear["shackle-13"]
    new = PricedItem(id="in the shop", gear=shackle, price=6.0)
    worn = load_catalogue().conditions["worn"]
    lent = PricedItem(id="lent", gear=shackle, price=0.0, lent=True, condition=worn)

    assert [o.item.id for o in offers(site, (new, lent))] == ["lent", "in the shop"]
    assert [o.item.id for o in offers(site, (new, replace(lent, condition=NEW)))] == ["lent"]
