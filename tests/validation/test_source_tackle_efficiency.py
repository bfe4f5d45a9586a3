"""Wire rope manual, pocket books and measured tackles: friction of sheaves in a row."""

from collections.abc import Iterator

from optimiser.mechanics.line.tackle import (
    fast_line_factor,
    linear_pull,
    parallel_advantage,
    parts_for_linear,
    tensions,
    useful_work,
)
from optimiser.mechanics.published import number
from tests.validation.checks import Check, printed, share, worked_example

PLAIN = number("tackle", "plain_bearing").value
ROLLING = number("tackle", "rolling_bearing").value


@worked_example("wire-rope-manual", "p. 86")
def test_static_line_pull() -> Iterator[Check]:
    """6,000 lb on 4 parts, standing still."""
    yield Check(
        quantity="fast line",
        published=1500.0,
        ours=6000.0 / parallel_advantage(eta=1.0, parts=4),
        unit="lbf",
        tolerance=printed(1500.0, 1.0),
        why="printed to 1 lbf",
    )


@worked_example("wire-rope-manual", "p. 88")
def test_four_parts_and_two_lead_sheaves() -> Iterator[Check]:
    """6,000 lb on 4 parts with plain bearings, then over 2 more lead sheaves."""
    four = 1.0 / parallel_advantage(eta=1.0 / PLAIN, parts=4)
    six = 1.0 / parallel_advantage(eta=1.0 / PLAIN, parts=4, sheaves=6)
    yield Check(
        quantity="fast line factor, 4 parts",
        published=0.309,
        ours=four,
        unit="",
        tolerance=printed(0.309, 0.001),
        why="printed to 0.001",
    )
    yield Check(
        quantity="the same by the closed form",
        published=0.309,
        ours=fast_line_factor(k=PLAIN, parts=4),
        unit="",
        tolerance=printed(0.309, 0.001),
        why="printed to 0.001",
    )
    yield Check(
        quantity="fast line factor with 2 lead sheaves",
        published=0.367,
        ours=six,
        unit="",
        tolerance=printed(0.367, 0.001),
        why="printed to 0.001",
    )
    yield Check(
        quantity="fast line",
        published=2202.0,
        ours=6000.0 * six,
        unit="lbf",
        tolerance=share(2202.0, 0.002),
        why="printed from the rounded factor 0.367",
    )


@worked_example("wire-rope-manual", "closed form", evidence="derived")
def test_multi_part_factors() -> Iterator[Check]:
    """Pull over load by E = (K^N - 1) / (K^S N (K - 1)), as many sheaves as parts."""
    plain = (1.090, 0.568, 0.395, 0.309, 0.257, 0.223, 0.199, 0.181)
    rolling = (1.040, 0.530, 0.360, 0.275, 0.225, 0.191, 0.167, 0.149)
    for k, name, factors in ((PLAIN, "plain", plain), (ROLLING, "anti-friction", rolling)):
        for parts, factor in enumerate(factors, start=1):
            yield Check(
                quantity=f"{name}, {parts} parts",
                published=factor,
                ours=1.0 / float(tensions(passed=[1.0 / k] * parts)[:parts].sum()),
                unit="",
                tolerance=printed(factor, 0.001),
                why="three decimals",
            )


BRONZE_ROW = (
    0.96, 1.87, 2.75, 3.59, 4.39, 5.16, 5.90, 6.60, 7.27, 7.91, 8.52, 9.11,
    9.68, 10.2, 10.7, 11.2, 11.7, 12.2, 12.6, 13.0, 13.4, 13.8, 14.2, 14.5,
)  # fmt: skip
ROLLING_ROW = (
    0.98, 1.94, 2.88, 3.81, 4.71, 5.60, 6.47, 7.32, 8.16, 8.98, 9.79, 10.6,
    11.4, 12.1, 12.9, 13.6, 14.3, 15.0, 15.7, 16.4, 17.0, 17.7, 18.3, 18.9,
)  # fmt: skip


@worked_example("riggers-pocket", "p. 137")
def test_ratio_table() -> Iterator[Check]:
    """Load over line pull for 1 to 24 parts, bronze bushed and anti-friction sheaves.

    The table follows the geometric rule with half the loss that the wire rope manual gives, so it
    proves the form of the rule; for the loss itself the manual's heavier one is taken.
    """
    bronze = number("tackle", "ratio_table_bronze").value
    rolling = number("tackle", "ratio_table_rolling").value
    for k, name, ratios in (
        (bronze, "bronze", BRONZE_ROW),
        (rolling, "anti-friction", ROLLING_ROW),
    ):
        for parts, ratio in enumerate(ratios, start=1):
            yield Check(
                quantity=f"{name}, {parts} parts",
                published=ratio,
                ours=parallel_advantage(eta=1.0 / k, parts=parts),
                unit="",
                tolerance=share(ratio, 0.005),
                why="half a per cent: two or three printed digits",
            )


@worked_example("riggers-pocket", "p. 137")
def test_parts_for_a_lift() -> Iterator[Check]:
    """72,480 lb with a line pull of 8,000 lb, bronze bushed: ratio 9.06, read off as 12 parts."""
    k = number("tackle", "ratio_table_bronze").value
    needed = next(
        n for n in range(1, 25) if parallel_advantage(eta=1.0 / k, parts=n) >= 72480.0 / 8000.0
    )
    yield Check(
        quantity="parts",
        published=12.0,
        ours=float(needed),
        unit="",
        tolerance=0.0,
        why="a count",
    )


@worked_example("pipeline-rules", "p. 6")
def test_advantage_from_sheave_efficiency() -> Iterator[Check]:
    """3,250 lb on 4 parts, each sheave passing on 0.917."""
    ours = parallel_advantage(eta=0.917, parts=4)
    yield Check(
        quantity="advantage",
        published=3.25,
        ours=ours,
        unit="",
        tolerance=share(3.25, 0.005),
        why="printed to three digits, exact 3.236",
    )
    yield Check(
        quantity="pull",
        published=1000.0,
        ours=3250.0 / ours,
        unit="lbf",
        tolerance=share(1000.0, 0.005),
        why="from the rounded advantage",
    )


@worked_example("workshop-receipts", "Tackle")
def test_measured_white_rope_tackles() -> Iterator[Check]:
    """Pull over load and useful work measured on white-rope tackles of 1 to 6 parts.

    Compared with the seaman's 10 % of the load per sheave, which runs up to 6 % under what was
    measured: a plain sheave must be reckoned with a heavier loss than the round 10 %.
    """
    pulls = (1.10, 0.62, 0.45, 0.37, 0.32, 0.28)
    works = (0.90, 0.81, 0.75, 0.68, 0.615, 0.59)
    why = "measured; the rule runs up to 6 % under it"
    for parts, (pull, work) in enumerate(zip(pulls, works, strict=True), start=1):
        rule = linear_pull(load=1.0, sheaves=parts, parts=parts)
        yield Check(
            quantity=f"pull / load, {parts} parts",
            published=pull,
            ours=rule,
            unit="",
            tolerance=share(pull, 0.065),
            why=why,
        )
        yield Check(
            quantity=f"useful work, {parts} parts",
            published=work,
            ours=useful_work(advantage=1.0 / rule, parts=parts),
            unit="",
            tolerance=share(work, 0.09),
            why=why + "; the page's own two columns differ by 2 %",
        )


@worked_example("workshop-receipts", "Tackle")
def test_six_sheaves_by_the_old_rule() -> Iterator[Check]:
    """A pull of 4.5 tons on 6 sheaves: ideally 27 tons; the page takes 2.7 tons off per sheave."""
    yield Check(
        quantity="load without friction",
        published=27.0,
        ours=4.5 * parallel_advantage(eta=1.0, parts=6),
        unit="ton",
        tolerance=printed(27.0, 0.1),
        why="a product",
    )
    yield Check(
        quantity="load with friction",
        published=10.8,
        ours=4.5 * parallel_advantage(eta=0.90, parts=6),
        unit="ton",
        tolerance=1.0,
        why="not followed: the page loses 10 % of the ideal load per sheave, which would leave "
        "nothing at ten sheaves; its own measured table gives 16",
        relation="differs",
    )


@worked_example("workshop-receipts", "Tackle")
def test_twist() -> Iterator[Check]:
    """One full twist of the blocks."""
    yield Check(
        quantity="power with a twist / without",
        published=1.40,
        ours=number("tackle", "twist").value,
        unit="",
        tolerance=1e-9,
        why="as printed",
    )


@worked_example("dyer", "p. 318")
def test_artillery_rule() -> Iterator[Check]:
    """What tackles give, friction allowed for: two doubles 3 1/3, a double and a treble 4."""
    for name, parts, ratio in (("two doubles", 4, 3.333), ("double and treble", 5, 4.0)):
        yield Check(
            quantity=name,
            published=ratio,
            ours=parallel_advantage(eta=1.0 / PLAIN, parts=parts),
            unit="",
            tolerance=share(ratio, 0.05),
            why="a rule in thirds",
        )


@worked_example("small-boat-sailing", "p. 56")
def test_luff_upon_luff() -> Iterator[Check]:
    """A luff tackle to advantage hauling on another, pull of 1 lb, no friction."""
    luff = parallel_advantage(eta=1.0, parts=4, sheaves=3)
    yield Check(
        quantity="load",
        published=16.0,
        ours=luff * luff,
        unit="lbf",
        tolerance=1e-9,
        why="a product",
    )


@worked_example("army-rigging-sheet", "formula sheet", evidence="derived")
def test_winch_of_fifteen_thousand_pounds() -> Iterator[Check]:
    """Load resistance 40,000 lb, winch 15,000 lb: advantage 3 fails by friction, 4 will do."""
    yield Check(
        quantity="fall line at advantage 3",
        published=16000.0,
        ours=linear_pull(load=40000.0, sheaves=2, parts=3),
        unit="lbf",
        tolerance=0.5,
        why="exact",
    )
    yield Check(
        quantity="fall line at advantage 4",
        published=13000.0,
        ours=linear_pull(load=40000.0, sheaves=3, parts=4),
        unit="lbf",
        tolerance=0.5,
        why="exact",
    )
    yield Check(
        quantity="advantage needed",
        published=4.0,
        ours=float(parts_for_linear(load=40000.0, available=15000.0)),
        unit="",
        tolerance=0.0,
        why="a count",
    )
