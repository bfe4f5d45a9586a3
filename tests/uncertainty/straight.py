"""A load on a straight even slope, hauled straight up it by a hand winch: everything in closed form.

The hitch, the strap and the winch are equally high above the ground, and the anchor stands on the
slope's line. So every part of line is parallel to the path, and with n sheaves of efficiency e the
winch pulls H = W (sin a + c cos a) / (1 + e + ... + e^n).
"""

from math import cos, radians, sin

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from optimiser.site.reading import read_site

KILOGRAM = 9.80665

TEXT = """\
title = "straight up"

[path]
start = ["0 m", "0 m", "0 m"]

[[path.leg]]
to = ["{x:.12f} m", "0 m", "{z:.12f} m"]
surface = "grass"
resistance = {resistance}

[load]
weight = "{weight}"
rests_on = "wheels"
wheel_radius = "0.3 m"
length = "2 m"
overhang = "0.5 m"

[[load.hitch]]
name = "eye"
ahead = "0 m"
left = "0 m"
height = "0.5 m"
rating = "60 kN"

[[anchor]]
name = "ring"
kind = "ring"
at = ["{ring_x:.12f} m", "0 m", "{ring_z:.12f} m"]
rating = "{ring}"
eye = "60 mm"
strap_heights = ["0.5 m"]
width = "0.1 m"

[[puller]]
kind = "hand winch"
name = "winch"
anchor = "ring"
height = "0.5 m"
rating = "{pull}"
purchase = "3 m"
dynamic = {dynamic}

[[gear]]
kind = "rope"
name = "rope"
material = "polyester"
diameter = "12 mm"
length = "60 m"
ends = ["eye-splice-thimble", "eye-splice-thimble"]
breaking_strength = "300 kN"
design_factor = 5
stretch_at_break = "12 %"
mass_per_length = "0.1 kg/m"
least_bend = 4
condition = "good"

[[gear]]
kind = "block"
name = "block"
opens = true
rope_least = "8 mm"
rope_most = "14 mm"
sheave_diameter = "100 mm"
rating = "{block}"
bearing = "bronze"
efficiency = {efficiency}
length = "0.2 m"
eye = "30 mm"
condition = "good"

[[gear]]
id = "shackle-19"
count = 6
condition = "good"

[preferences]
enough = 50
"""


SLOPE = 12.0  # degrees
LONG = 10.0  # m of path
FAR = 15.0  # m along the slope to the ring


def text(
    *,
    weight: str = "400 kg",
    resistance: str = "0.1",
    pull: str = "3 kN",
    efficiency: str = "0.9",
    ring: str = "50 kN",
    block: str = "50 kN",
    dynamic: str = "1",
    slope: str = f"{SLOPE}",
) -> str:
    """The site file."""
    a = radians(float(slope))
    return TEXT.format(
        x=LONG * cos(a), z=LONG * sin(a), ring_x=FAR * cos(a), ring_z=FAR * sin(a), weight=weight,
        resistance=resistance, pull=pull, efficiency=efficiency, ring=ring, block=block,
        dynamic=dynamic,
    )  # fmt: skip


def two_rings_text(rating: str, **values: str) -> str:
    """With a second ring below the first, for the standing end; lines to the first pass over it."""
    a = radians(SLOPE)
    ring = f"""[[anchor]]
name = "old ring"
kind = "ring"
at = ["{13 * cos(a):.12f} m", "0 m", "{13 * sin(a):.12f} m"]
rating = "{rating}"
eye = "60 mm"
strap_heights = ["0.5 m"]
width = "0.1 m"
top = "0.1 m"

[[puller]]"""
    return text(**values).replace("[[puller]]", ring, 1)


def site(**values: str) -> Site:
    return read_site(text(**values))


def setup(where: Site, reeving: str) -> Setup:
    """The setup with that run of the rope."""
    found = rank(where, RankQuestion(top=20, everything=True, explain=False))
    return next(s for s in found if s.reeving == reeving)


STRAIGHT = "load > winch"
DOUBLED = "ring@0.5 m > load > winch"


def needed(weight: float, resistance: float, slope: float = SLOPE) -> float:
    """W (sin a + c cos a), N, for a mass in kg."""
    a = radians(slope)
    return weight * KILOGRAM * (sin(a) + resistance * cos(a))
