"""A small sound site file for tests that break it in one place at a time."""

SMALL = """\
title = "a small job"

[path]
start = ["0 m", "0 m", "0 m"]

[[path.leg]]
to = ["6 m", "0 m", "1 m"]
surface = "grass"
breakout = 1.3
step = "5 cm"

[[path.leg]]
to = ["12 m", "0 m", "1 m"]
surface = "firm-gravel"
resistance = "0.03..0.06"

[load]
weight = "260 kg"
rests_on = "wheels"
wheel_radius = "0.25 m"
length = "2 m"
overhang = "1 m"

[[load.hitch]]
name = "drawbar"
ahead = "1 m"
left = "0 m"
height = "0.4 m"
rating = "10 kN"

[[tree]]
name = "oak"
at = ["20 m", "3 m", "1 m"]
diameter = "0.4 m"
species = "oak-european"
strap_lowest = "0.3 m"
strap_highest = "1.5 m"

[[tree]]
name = "ash"
at = ["20 m", "-3 m", "1 m"]
girth = "1.2 m"
species = "unknown"
strap_lowest = "0.3 m"
strap_highest = "1.2 m"
tree_height = "15 m"

[[anchor]]
name = "quay ring"
kind = "ring"
at = ["16 m", "6 m", "1 m"]
rating = "20 kN"
eye = "40 mm"
strap_heights = ["0.1 m"]

[[obstacle]]
name = "gate post"
at = ["8 m", "3 m", "1 m"]
diameter = "0.2 m"
height = "1.5 m"

[[puller]]
kind = "vehicle"
name = "tractor"
at = ["10 m", "8 m", "1 m"]
towards = ["2 m", "12 m", "1 m"]
run = "8 m"
weight = "1400 kg"
driven_share = 0.6
footing = "grass"
hitch_height = "0.5 m"
hitch_rating = "15 kN"

[[puller]]
kind = "hand winch"
name = "lever hoist"
id = "lever-hoist-750"
anchor = "oak"
height = "0.4 m"

[[puller]]
kind = "people"
name = "three of us"
count = 3
per_head = "200 N"
at = ["10 m", "-8 m", "1 m"]
heading = "-120 deg"
run = "6 m"

[[gear]]
id = "polyester-14"
name = "long rope"
length = "60 m"
ends = ["eye-splice", "bare"]
condition = "good"

[[gear]]
id = "snatch-100-bronze"
count = 3
condition = "good"
efficiency = "0.88..0.94"

[[gear]]
kind = "strap"
name = "old strap"
length = "3 m"
width = "50 mm"
rating = "unknown"
choker = 0.8
basket = 2
condition = "worn"

[preferences]
margin_wanted = 1.2
knots = ["bowline"]
"""


def line_with(text: str, words: str) -> int:
    """The line (from 1) of `text` on which `words` stand first."""
    return text[: text.index(words)].count("\n") + 1
