"""Computes what the sheaves of a walk cost at least, from their efficiencies alone."""

from dataclasses import dataclass
from functools import cached_property
from math import inf

from catalogue.gear import Block
from optimiser.search.stock.purse import Purse


@dataclass(frozen=True)
class Bearings:
    """The sheaves that are owned or for sale with a purse."""

    purse: Purse

    def cost(self, pattern: tuple[float, ...]) -> float:
        """The least that sheaves of these efficiencies cost beyond those owned."""
        spent = 0.0
        for eta in set(pattern):
            have, each = self.classes.get(eta, (0, inf))
            more = max(pattern.count(eta) - have, 0)
            spent += more * each if more else 0.0
        return spent

    @cached_property
    def classes(self) -> dict[float, tuple[int, float]]:
        """By efficiency: sheaves owned, and the least for one more."""
        out: dict[float, tuple[int, float]] = {}
        for piece in self.purse.owned.blocks:
            have, least = out.get(piece.gear.eta, (0, inf))
            out[piece.gear.eta] = (have + piece.count * piece.gear.sheaves, least)
        for offer in self.purse.affordable:
            block = offer.piece.gear
            if isinstance(block, Block):
                have, least = out.get(block.eta, (0, inf))
                out[block.eta] = (have, min(least, offer.price / block.sheaves))
        return out
