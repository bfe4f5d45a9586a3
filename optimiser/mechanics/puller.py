"""What a vehicle or people can pull.

A vehicle's pull is what its driven wheels hold on the ground less what keeps its own weight on the
slope; a line that rises away from it takes weight off the wheels. No credit is given for going
downhill or for a line that presses the wheels down.
"""

from math import cos, isfinite, sin

from optimiser.mechanics.limits import positive, within
from optimiser.mechanics.published import number

RIGHT_ANGLE = 1.5707963267948966


def vehicle_pull(
    *,
    traction: float,
    driven_weight: float,
    weight: float,
    slope: float = 0.0,
    rise: float = 0.0,
    limit: float | None = None,
) -> float:
    """T = (μ W_d cos θ − W sin θ⁺) / (cos φ + μ sin φ⁺), >= 0 and at most `limit`.

    traction μ [-]; driven_weight W_d, weight W of the whole vehicle [N]; slope θ of its run, up
    positive [rad]; rise φ of the line away from it over the run, up positive [rad], under 45°;
    limit: a stated greatest pull [N]. Result: greatest tension in the line [N]. Where the line runs
    off to the side the wheels must hold that too, so no credit is given for it (use as it is).
    Sources: noon-1994 for μ, statics for the rest.
    """
    within("traction", traction, 0.0, 1.5)
    positive("weight", weight)
    within("weight on driven wheels", driven_weight, 0.0, weight, "N")
    within("slope", slope, -RIGHT_ANGLE / 2.0, RIGHT_ANGLE / 2.0, "rad")
    within("rise of the line", rise, -RIGHT_ANGLE / 2.0, RIGHT_ANGLE / 2.0, "rad")
    held = traction * driven_weight * cos(slope) - weight * max(0.0, sin(slope))
    lifted = cos(rise) + traction * sin(rise) if rise > 0.0 else 1.0
    pull = max(0.0, held / lifted)
    return pull if limit is None else min(pull, positive("limit", limit))


def vehicle_limit_on(
    *,
    limit: float,
    weight: float,
    slope: float = 0.0,
    rise: float = 0.0,
    traction: float | None = None,
) -> float:
    """A stated pull on level ground brought to a slope and a rising line: `vehicle_pull` with
    μ W_d = limit; μ = 1 where not known, the heaviest loss to a rising line.

    limit: greatest level pull [N]; weight: of the vehicle [N]; slope, rise as in `vehicle_pull`.
    """
    held = positive("limit", limit) * cos(slope) - positive("weight", weight) * max(0.0, sin(slope))
    within("slope", slope, -RIGHT_ANGLE / 2.0, RIGHT_ANGLE / 2.0, "rad")
    within("rise of the line", rise, -RIGHT_ANGLE / 2.0, RIGHT_ANGLE / 2.0, "rad")
    grip = 1.0 if traction is None else traction
    lifted = cos(rise) + grip * sin(rise) if rise > 0.0 else 1.0
    return min(limit, max(0.0, held / max(1.0, lifted)))


def people_pull(
    *, count: int, per_person: float, body_weight: float | None = None, downward: bool = False
) -> float:
    """n · P [N]; straight down never more than the people weigh.

    count: people on the line; per_person: sustained pull of one on that footing [N]; body_weight
    [N] of one, needed where they pull `downward`. Sources: the footing's; ashley for the cap.
    """
    if count < 1:
        raise ValueError(f"{count} people: at least one must pull")
    positive("pull of one person", per_person)
    if not downward:
        return count * per_person
    if body_weight is None:
        raise ValueError("people who pull straight down: their weight is needed")
    return count * min(per_person, positive("body weight", body_weight))


def within_shock_cap(*, haulers: int, advantage: float) -> bool:
    """True where haulers × ideal advantage is at most 18.

    More can overload the gear before they feel it. Source: firehouse.
    """
    if haulers < 1 or not (isfinite(advantage) and advantage > 0.0):
        raise ValueError(f"{haulers} people at an advantage of {advantage}: both must be above 0")
    return haulers * advantage <= number("puller", "shock_cap").value
