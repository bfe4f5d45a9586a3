"""Lists how a line can take hold of the load: at one hitch point, or by a bridle between two."""

from dataclasses import dataclass

import numpy as np

from catalogue.gear import MadeTo
from optimiser.site.model import Fixture, Hitch, Site


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """How the line takes hold of the load: at one hitch point, or by a bridle between two."""

    name: str
    hitches: tuple[Hitch, ...]
    ahead: float  # m, of the point where the line acts, from the load's reference point
    left: float
    height: float
    leg: float | None = None  # m, length of a bridle leg

    @property
    def bridled(self) -> bool:
        return len(self.hitches) == 2

    @property
    def fixture(self) -> Fixture:
        """What a rope's end is made fast to: the hitch, or the ring in which a bridle's legs meet."""
        return Fixture(kind=MadeTo.EYE) if self.bridled else self.hitches[0].fixture

    @property
    def unrated(self) -> tuple[str, ...]:
        return tuple(f"hitch {hitch.name}" for hitch in self.hitches if hitch.rating is None)


def attachments(site: Site) -> tuple[Attachment, ...]:
    """Every hitch by itself and, where the load may be bridled, every pair that a leg can span."""
    load = site.load
    hitches = sorted(load.hitches, key=lambda hitch: hitch.name)  # whatever their order in the file
    out = [
        Attachment(name=h.name, hitches=(h,), ahead=h.ahead, left=h.left, height=h.height)
        for h in hitches
    ]
    if load.may_bridle:
        for i, a in enumerate(hitches):
            for b in hitches[i + 1 :]:
                half = 0.5 * float(
                    np.hypot(a.left - b.left, np.hypot(a.ahead - b.ahead, a.height - b.height))
                )
                if half <= 0.0 or half >= 0.87 * load.bridle_leg:  # legs wider than 120 degrees
                    continue
                reach = float(np.sqrt(load.bridle_leg**2 - half**2))
                out.append(
                    Attachment(
                        name=f"bridle {a.name} + {b.name}",
                        hitches=(a, b),
                        ahead=(a.ahead + b.ahead) / 2 + reach,
                        left=(a.left + b.left) / 2,
                        height=(a.height + b.height) / 2,
                        leg=load.bridle_leg,
                    )
                )
    return tuple(out)


def attachment_named(site: Site, name: str) -> Attachment | None:
    """The one of that name; None where the load cannot be taken so."""
    return next((one for one in attachments(site) if one.name == name), None)
