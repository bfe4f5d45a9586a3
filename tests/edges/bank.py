"""A trolley on a slope of 45 degrees whose line leads over a crest to a winch beyond, as a site file."""

HIGH = 0.05
"""m from the ground to the rope on what lies on the edge."""


def bank(
    friction: float | str,
    *,
    ring: tuple[float, float] = (30.0, -17.0),
    rise: float = 6.0,
    protector: bool = True,
    resistance: float = 0.05,
    beyond: float = 0.5,
) -> str:
    """The site file. `ring` (x, z) m of the place the winch hangs at; `friction` of the rope on what can be
    laid; `protector`: there is something to lay; `beyond`: m of level ground behind the crest."""
    laid = f"""
[[gear]]
kind = "protector"
name = "pole"
surface = "steel tube"
clearance = "{HIGH} m"
bend_radius = "60 mm"
length = "2 m"
covers = "2 m"
friction = "{friction}"
count = 3
"""
    return f"""
title = "Over a crest"
[path]
start = ["0 m", "0 m", "0 m"]
[[path.leg]]
to = ["6 m", "0 m", "{rise} m"]
resistance = {resistance}
[[path.leg]]
to = ["{6.0 + beyond} m", "0 m", "{rise} m"]
resistance = {resistance}
[load]
name = "trolley"
weight = "200 kg"
rests_on = "wheels"
wheel_radius = "20 cm"
length = "1.6 m"
overhang = "0.2 m"
[[load.hitch]]
name = "eye"
ahead = "0 m"
left = "0 m"
height = "{HIGH + 0.02} m"
rating = "60 kN"
[[anchor]]
name = "ring"
kind = "ring"
at = ["{ring[0]} m", "0 m", "{ring[1] - 0.1} m"]
rating = "90 kN"
strap_heights = ["0.1 m"]
[[puller]]
kind = "hand winch"
name = "winch"
anchor = "ring"
height = "0.1 m"
rating = "40 kN"
purchase = "60 m"
dynamic = 1.0
[[gear]]
id = "polyester-30"
name = "rope"
length = "90 m"
ends = ["eye-splice", "eye-splice"]
condition = "new"
[[gear]]
id = "shackle-25"
count = 4
condition = "new"
{laid if protector else ""}
[preferences]
margin_wanted = 1.0
enough = 2
"""
