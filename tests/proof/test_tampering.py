"""The re-check notices every tampering with a right answer of every kind: a sample of the whole table
(`python -m tests.tampering`), which takes some minutes."""

from itertools import islice

from tests.long import long
from tests.tampering.answers import KINDS, made_up_answers, over_edges
from tests.tampering.table import Table


def test_every_tampering_with_one_answer_is_noticed() -> None:
    table = Table()
    table.add(islice(made_up_answers(1, first=3), 1))
    assert not table.passed, table.passed[:20]
    assert table.tried.total() > 100


@long
def test_every_tampering_is_noticed() -> None:
    table = Table()
    for number in (3, 5, 6, 12):  # among them one answer of each kind at least
        table.add(made_up_answers(1, first=number))
    table.add(over_edges(1, first=15))
    assert not table.passed, table.passed[:20]
    tried = {kind for _, kind in table.tried}
    assert tried == set(KINDS)
    assert table.tried.total() > 2000
