"""A sample of the simulated surveys; `python -m tests.survey.simulated --surveys 500` is the whole of it."""

from tests.survey.simulated import tally


def test_places_lie_where_they_are_stated_to_lie_and_misreadings_are_found() -> None:
    found = tally(range(4))
    assert found.places > 12
    assert found.coverage > 0.85
    assert found.planted >= 3
    assert found.noticed == found.planted
    assert found.listed == found.planted
