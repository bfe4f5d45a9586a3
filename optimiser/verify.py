"""Re-checks a setup from first principles, without the search's code."""

from optimiser.results import Setup
from optimiser.site.model import Site


def verify(site: Site, setup: Setup) -> None:
    """Placeholder until the independent checker lands."""
