"""Caches what follows from a value alone, for as long as the value lives."""

from collections.abc import Callable
from functools import cached_property
from typing import Any, TypeVar

T = TypeVar("T")


class Once:
    """A value that remembers results under keys."""

    @cached_property
    def _known(self) -> dict[Any, Any]:
        return {}

    def once(self, key: tuple[Any, ...], work: Callable[[], T]) -> T:
        """The result of `work`, done once for this value under this key."""
        if key not in self._known:
            self._known[key] = work()
        found: T = self._known[key]
        return found
