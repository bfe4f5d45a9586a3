"""Caches what follows from a value alone: for as long as the value lives, or among the last results."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import cached_property
from typing import Any, Generic, TypeVar

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


class Lately(Generic[T]):
    """Remembers the last results under keys, as long as their sizes come to no more than `most`."""

    def __init__(self, most: int) -> None:
        self._most, self._size = most, 0
        self._known: OrderedDict[Hashable, tuple[int, T]] = OrderedDict()

    def once(self, key: Hashable, size: int, work: Callable[[], T]) -> T:
        """The result of `work`, which has a size, done anew only where it is no longer known."""
        if key in self._known:
            self._known.move_to_end(key)
            return self._known[key][1]
        found = work()
        self._known[key] = size, found
        self._size += size
        while self._size > self._most:
            _, (gone, _) = self._known.popitem(last=False)
            self._size -= gone
        return found
