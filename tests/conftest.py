"""Profiles of the property tests: `HYPOTHESIS_PROFILE=dev|ci|deep`; dev if nothing is said."""

import os
from math import inf

import pytest
from hypothesis import HealthCheck, settings

from shared import progress
from shared.collecting import collect_seldom
from tests.slow import RARE, listed

os.environ.pop("COLUMNS", None)  # answers are as wide as piped ones, on whatever terminal this runs

collect_seldom()  # as every command of the program does

progress.EVERY_LINE_SECONDS = inf  # or a busy machine would put lines of its own among what is read

settings.register_profile(
    "all", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.register_profile("dev", settings.get_profile("all"), max_examples=8)
settings.register_profile("ci", settings.get_profile("all"), max_examples=10, derandomize=True)
settings.register_profile("deep", settings.get_profile("all"), max_examples=600)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "dev"))


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--rare`: the cases marked so are run too."""
    parser.addoption("--rare", action="store_true", help="run what is marked rare too")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark what takes long, and leave out what is marked rare where it is not requested."""
    slow, seldom = listed(), listed(RARE)
    for item in items:
        if item.nodeid in slow:
            item.add_marker(pytest.mark.long)
        if item.nodeid in seldom:
            item.add_marker(pytest.mark.rare)
    if config.getoption("--rare"):
        return
    left_out = [item for item in items if item.get_closest_marker("rare")]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if not item.get_closest_marker("rare")]
