"""A small site whose van may stand on a lane or in a yard: made up, quick to answer."""

LANE = """
track = [["12 m", "4 m", "1 m"], ["12.5 m", "26 m", "1.2 m"]]
track_width = "3 m"
spacing = "2 m"
run = "9 m"
body_length = "4 m"
"""
YARD = """
area = [["10 m", "6 m", "1 m"], ["16 m", "6 m", "1 m"], ["17 m", "20 m", "1.1 m"], ["10 m", "20 m", "1.1 m"]]
spacing = "3 m"
body_length = "3 m"
"""
SPOT = """
at = ["12 m", "4 m", "1 m"]
towards = ["12.5 m", "26 m", "1.2 m"]
run = "9 m"
"""

PICKETS = """
[[made]]
name = "lane"
spots = [["12 m", "{y} m", "1 m"]]
[made.holdfast]
pickets = "steel"
soil = "loam"
systems = ["1-1-1"]
owned = 3
"""
TEXT = """
title = "Crate to the lane"
[path]
start = ["0 m", "0 m", "0 m"]
[[path.leg]]
to = ["6 m", "0 m", "1 m"]
surface = "grass"
[load]
name = "crate"
weight = "{weight}"
rests_on = "wheels"
wheel_radius = "30 cm"
length = "2 m"
overhang = "1 m"
[[load.hitch]]
name = "ring"
ahead = "1 m"
left = "0 m"
height = "0.5 m"
rating = "15 kN"
eye = "30 mm"
[[tree]]
name = "lime"
at = ["10.5 m", "-1.4 m", "1 m"]
girth = "150 cm"
species = "unknown"
tree_height = "9 m"
strap_lowest = "0.5 m"
strap_highest = "1.2 m"
[[tree]]
name = "maple"
at = ["10.3 m", "1.6 m", "1 m"]
girth = "140 cm"
species = "unknown"
tree_height = "9 m"
strap_lowest = "0.5 m"
strap_highest = "1.2 m"
[[puller]]
kind = "vehicle"
name = "van"
{where}
weight = "1600 kg"
driven_share = "60 %"
footing = "gravel-road"
hitch_height = "0.4 m"
hitch_rating = "14 kN"
hitch_eye = "26 mm"
[[gear]]
condition = "good"
id = "polyester-14"
name = "rope"
length = "50 m"
ends = ["eye-splice-thimble", "bare"]
[[gear]]
condition = "good"
id = "snatch-100-roller"
name = "block"
count = 2
[[gear]]
condition = "good"
id = "shackle-13"
count = 5
[[gear]]
condition = "good"
id = "shackle-11"
count = 3
[[gear]]
condition = "good"
id = "sling-60-3m"
name = "sling"
count = 2
[preferences]
knots = ["bowline", "anchor-bend"]
station_spacing = "0.25 m"
strap_places = 2
"""


def site_text(where: str = LANE, weight: str = "600 kg", more: str = "") -> str:
    """The site file with the van standing somewhere."""
    return TEXT.format(where=where, weight=weight) + more


def pickets_text(where: str, y: float) -> str:
    """The site with pickets to be driven so many metres to the left of the path in place of the trees."""
    text = site_text(where, weight="250 kg", more=PICKETS.format(y=y))
    text = text.replace('surface = "grass"', 'surface = "grass"\nedge_protected = true')
    begin, end = text.index("[[tree]]"), text.index("[[puller]]")
    return text[:begin] + text[end:]
