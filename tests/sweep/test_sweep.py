"""Sweeps: every cell is a fresh run of the changed file, boundaries where statics puts them."""

import csv
import io
import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from optimiser import cli
from optimiser.jobs.question import RankQuestion, SweepQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.sweep import pool
from optimiser.jobs.sweep.axes import axis
from optimiser.jobs.sweep.results import Sweep, letter
from optimiser.jobs.sweep.run import sweep
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.sharing import Shared
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from optimiser.site.reading import read_document, read_site
from optimiser.telling.sweep import LEFT_WHOLE, cells_listing, legend
from optimiser.telling.sweep_picture import lines
from shared.units import Dimension, Rounding, show
from tests.uncertainty.straight import DOUBLED, STRAIGHT, needed, site, text

# By least rope the straight pull comes first, until the winch is too weak for it.
BY_ROPE = ("rope", "margin")


def swept(*words: str, cost: Any = None, file: str = "", **options: Any) -> Sweep:
    document = read_document(file or text())
    axes = [axis(document, word) for word in words]
    return sweep(document, axes, SweepQuestion(**options), processes=1, cost=cost)


def fresh(file: str) -> Setup | None:
    """The best of a process that starts anew; no cell has cautions."""
    found = rank(read_site(file), RankQuestion(top=1, explain=False))
    return replace(found.setups[0], cautions=()) if found.setups else None


@pytest.mark.parametrize(
    ("word", "values"),
    [
        ("load.weight={} kg", ("200", "1100", "2000")),
        ("path.leg[1].resistance={}", ("0.05", "0.2", "0.35")),
    ],
)
def test_a_cell_is_a_fresh_run_of_the_changed_file(word: str, values: tuple[str, ...]) -> None:
    """Every figure of it, for weights and for ground; also where the tables are handed on."""
    key = word.partition("=")[0]
    found = swept(word.format(f"{values[0]}..{values[-1]}"), steps=3)
    name = "weight" if key == "load.weight" else "resistance"

    for cell, value in zip(found.cells, values, strict=True):
        written = f"{value} kg" if name == "weight" else value
        assert cell.setup == fresh(text(**{name: written})), value


def test_a_cell_with_moved_anchors_is_a_fresh_run() -> None:
    """Where the geometry changes nothing old is used."""
    document = read_document(text())
    found = swept("anchor[ring].at[1]=13..14.5 m", steps=3)

    for cell, x in zip(found.cells, ("13", "13.75", "14.5"), strict=True):
        old = next(line for line in text().splitlines() if line.startswith('at = ["14.'))
        changed = text().replace(old, f'at = ["{x} m", "0 m", ' + old.split('"0 m", ')[1])
        assert cell.setup == fresh(changed)
    assert document.site.anchor[0].at is not None
    assert document.site.anchor[0].at[0].text.startswith("14.67")


def test_the_boundary_is_where_statics_puts_it() -> None:
    """The straight pull fails at W = P / (sin a + c cos a), the doubled one at 1.9 times that; both are
    found to 1 % of the axis and of the value."""
    found = swept("load.weight=200..3000 kg", steps=4, by=BY_ROPE)
    known = [3000.0 / needed(1.0, 0.1), 1.9 * 3000.0 / needed(1.0, 0.1)]

    assert len(found.boundaries) == 2
    for one, limit in zip(found.boundaries, known, strict=True):
        assert one.low <= limit <= one.high
        assert one.high - one.low <= 0.01 * limit
    assert [(b.before, b.after) for b in found.boundaries] == [("A", "B"), ("B", "–")]
    assert {mark: s.reeving for mark, s in found.examples()} == {"A": STRAIGHT, "B": DOUBLED}


def test_two_numbers() -> None:
    """Weight and resistance: along both, the boundary of the straight pull lies on W (sin a + c cos a)
    = 3 kN."""
    found = swept(
        "load.weight=500..1500 kg", "path.leg[1].resistance=0.02..0.32", steps=3, by=BY_ROPE
    )

    assert [c.values for c in found.cells[:4]] == [
        (500, 0.02),
        (500, 0.17),
        (500, 0.32),
        (1000, 0.02),
    ]
    first = [b for b in found.boundaries if (b.before, b.after) == ("A", "B")]
    assert {b.axis for b in first} == {0, 1}
    for one in first:
        assert one.other is not None
        low, high = (
            needed(value, one.other) if one.axis == 0 else needed(one.other, value)
            for value in (one.low, one.high)
        )
        assert low <= 3000.0 <= high


def test_nothing_changes() -> None:
    found = swept("load.weight=300..320 kg", steps=3)

    assert found.boundaries == ()
    assert found.between == ()


def test_whole_numbers_change_from_one_to_the_next() -> None:
    """Without a sheave only the straight pull is left."""
    found = swept("preferences.most_sheaves=0..3", steps=4)

    assert [(b.low, b.high) for b in found.boundaries] == [(0, 1)]
    assert [found.letter(c) for c in found.cells] == ["A", "B", "B", "B"]


def test_processes_do_not_change_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two processes, one, and one because none could be started."""
    document = read_document(text())
    axes = [axis(document, "load.weight=200..3000 kg")]
    alone = sweep(document, axes, SweepQuestion(steps=5), processes=1)

    monkeypatch.setattr(pool, "WORTH", -1.0)
    assert sweep(document, axes, SweepQuestion(steps=5), processes=2) == alone

    def refuse(*_: object, **__: object) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr(pool, "ProcessPoolExecutor", refuse)
    assert sweep(document, axes, SweepQuestion(steps=5), processes=2) == alone


def test_tables_are_handed_on_where_the_geometry_is_the_same() -> None:
    """Another weight: the very same arrays. Another place of the ring: none of them."""
    shared = Shared()

    def tabulated(file: str) -> Scene:
        where = read_site(file)
        scene = next(shared.scenes(where, lay_stations(where)))
        assert scene.forward.shape
        assert scene.limit_last.shape
        return scene

    light, heavy = tabulated(text()), tabulated(text(weight="900 kg", pull="1 kN"))
    moved = tabulated(text().replace('["14.67', '["14.66'))

    assert heavy.forward is light.forward
    assert heavy.limit_last is not light.limit_last
    assert heavy.stations.weight[0] > light.stations.weight[0]
    assert moved.forward is not light.forward


def test_an_interrupt_goes_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """And ends with 130, whatever was found so far."""

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("optimiser.jobs.sweep.cells.Worker.solve", interrupted)
    assert cli.main(["sweep", "load.weight=300..400 kg", "--processes", "1"]) == 130


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "site.toml"
    path.write_text(text(), encoding="utf-8")
    return str(path)


def test_the_table(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["sweep", file, "load.weight=200..3000 kg", "--steps", "3", "--by", "rope"]
    assert cli.main([*words, "--processes", "1"]) == 0
    found = capsys.readouterr().out

    assert "200 kg" in found
    assert "no setup works" in found
    assert "- A: standing end made fast to the load; hauling end to winch, which pulls." in found


def test_csv_and_json_state_the_same(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["sweep", file, "load.weight=200..1000 kg", "--steps", "3", "--processes", "1"]
    assert cli.main([*words, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert cli.main([*words, "--format", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))

    assert [float(row["load.weight_kg"]) for row in rows] == [200, 600, 1000]
    assert [cell["values"] for cell in data["cells"]] == [[200], [600], [1000]]
    assert [float(row["margin"]) for row in rows] == [cell["margin"] for cell in data["cells"]]
    assert data["proven"] is True


def test_nothing_works_anywhere(file: str) -> None:
    words = ["sweep", file, "load.weight=20000..30000 kg", "--steps", "2", "--processes", "1"]
    assert cli.main(words) == 3


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
@pytest.mark.parametrize("second", [[], ["path.leg[1].resistance=0.1..0.3"]])
def test_the_picture(file: str, tmp_path: Path, ending: str, second: list[str]) -> None:
    """The same sweep gives the same file, of the kind that its name says."""
    begins = {"svg": b"<?xml", "png": b"\x89PNG", "pdf": b"%PDF"}
    drawn = []
    for name in ("one", "two"):
        target = tmp_path / f"{name}.{ending}"
        words = ["sweep", file, "load.weight=200..3000 kg", *second, "-o", str(target)]
        assert cli.main([*words, "--steps", "3", "--processes", "1"]) == 0
        drawn.append(target.read_bytes())

    assert drawn[0].startswith(begins[ending])
    assert drawn[0] == drawn[1]


@pytest.mark.parametrize("whole", [False, True])
def test_the_picture_states_that_ropes_of_one_piece_are_compared(whole: bool) -> None:
    found = swept("load.weight=200..300 kg", steps=2)
    cells = tuple(replace(cell, of_one_piece=whole) for cell in found.cells)
    figure = lines(replace(found, cells=cells, between=()), "metric")
    words = " ".join(" ".join(one.get_text().split()) for one in figure.texts)
    assert (LEFT_WHOLE in words) == whole


def test_a_heavier_load_never_has_more_margin() -> None:
    """Of the best setup by margin alone, in every cell."""
    document = read_document(text())
    found = sweep(
        document,
        [axis(document, "load.weight=200..2000 kg")],
        SweepQuestion(steps=6, by=("margin",)),
        processes=1,
    )
    margins = [cell.setup.margin for cell in found.cells if cell.setup is not None]

    assert len(margins) > 3
    assert all(b <= a for a, b in pairwise(margins))


def test_letters() -> None:
    assert [letter(n) for n in (0, 25, 26, 27, 701, 702)] == ["A", "Z", "AA", "AB", "ZZ", "AAA"]


def test_the_site_of_these_tests() -> None:
    """Straight and doubled: nothing else works on it."""
    found = rank(site(), RankQuestion(top=9, everything=True, explain=False))

    assert {s.reeving for s in found} == {STRAIGHT, DOUBLED}


def by_weight(where: Site) -> float | None:
    """A made-up price; nothing for sale helps beyond 50 kN."""
    return round(where.load.weight / 20.0, 2) if where.load.weight < 50_000.0 else None


def test_what_has_to_be_spent_stands_in_every_cell_of_the_grid() -> None:
    """Nothing where what is owned will do; else what its own site costs, or nothing helps."""
    found = swept("load.weight=1000..9000 kg", steps=3, cost=by_weight)

    assert [cell.cost for cell in found.cells] == [0.0, 2451.66, None]
    assert all(cell.cost is None for cell in found.between)
    assert [row["cost"] for row in cells_listing(found, priced=True).records()] == [
        0.0,
        2451.66,
        None,
    ]


def test_csv_is_one_table_of_plain_numbers(file: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One row of headings with units, whatever was found; where nothing works, numbers are left empty."""
    words = ["sweep", file, "load.weight=1000..9000 kg", "--steps", "3", "--processes", "1"]
    assert cli.main([*words, "--format", "csv"]) == 0
    heading, *rows = csv.reader(io.StringIO(capsys.readouterr().out))
    numbers = {"load.weight_kg", "margin", "pull_N", "rope_needed_m", "resets"}

    assert numbers <= set(heading)
    assert {len(row) for row in rows} == {len(heading)}
    records = [dict(zip(heading, row, strict=True)) for row in rows]
    assert [r["status"] for r in records] == ["proven", "nothing works", "nothing works"]
    for record in records:
        for name in numbers:
            assert record[name] == "" or float(record[name]) >= 0.0
    assert records[1]["best"] == records[1]["margin"] == ""


def test_what_stops_it_where_nothing_works() -> None:
    """Of the cell beside those with a setup: at 2700 kg the doubled pull is just too much for the winch
    (W (sin a + c cos a) / 1.9, above its 3 kN)."""
    found = swept("load.weight=900..4500 kg", steps=3)
    wanted = 2700.0 * needed(1.0, 0.1) / 1.9
    (stop,) = found.stops

    assert [found.letter(cell) for cell in found.cells[1:]] == ["–", "–"]
    assert stop.values == (2700.0,)
    assert stop.limit == "pull of the puller"
    assert show(wanted, Dimension.FORCE, rounding=Rounding.UP) in stop.text
    assert "With weight of the load 2700 kg: winch would have to pull" in legend(found, "metric")


def test_setups_that_are_as_good_within_a_band() -> None:
    """With 2 as the margin that is enough, and 0.5 less for the winch of the doubled pull, which stands where
    a parted rope may reach it, the straight one is best down to 1.5, and as good down to 1.4: it takes fewer
    resets. Its margin is P / W (sin a + c cos a)."""
    file = text().replace("enough = 50", "enough = 2")
    falls, ends = (3000.0 / needed(1.0, 0.1) / margin for margin in (1.5, 1.4))
    found = swept("load.weight=600..800 kg", steps=5, file=file)
    (one,) = found.boundaries

    assert one.low <= falls <= one.high
    assert one.either
    assert [cell.values[0] for cell in found.cells if found.as_good(cell) == ("A",)] == [700.0]
    assert 700.0 < ends < 750.0
    assert found.serves_all() is None
    by_rope = swept("load.weight=300..700 kg", steps=2, by=BY_ROPE)
    assert not any(cell.as_good for cell in by_rope.cells)  # bands are of margins


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("load.weight=200..400 kg", "weight of the load"),
        ("path.leg[1].resistance=0.1..0.4", "resistance of leg 1"),
        ("gear[block].efficiency=80..90 %", "efficiency of block"),
        ("anchor[ring].at[1]=13.5..14.5 m", "x of ring"),
        ("preferences.most_sheaves=0..6", "most sheaves"),
        ("load.hitch[eye].left=-1..1 m", "left of eye of the load"),
    ],
)
def test_what_is_varied_has_a_name(word: str, name: str) -> None:
    assert axis(read_document(text()), word).name == name
