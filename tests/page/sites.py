"""Small sites for the page: one that works, the same with a post in the line, and with a crest under it."""

STRAIGHT = """# a stone in a meadow
title = "Stone up a meadow"

[path]
start = ["0 m", "0 m", "0 m"]

[[path.leg]]
to = ["8 m", "0 m", "0.8 m"]
surface = "grass"               # dry

[load]
name = "stone"
weight = "60 kg"
rests_on = "skids"
length = "1 m"
overhang = "0.5 m"

[[load.hitch]]
name = "ring"
ahead = "0.5 m"
left = "0 m"
height = "0.3 m"
rating = "20 kN"
eye = "60 mm"

[[puller]]
kind = "people"
name = "four of us"
count = 4
footing = "grass"
at = ["12 m", "0 m", "1 m"]
towards = ["30 m", "0 m", "1 m"]
run = "10 m"

[[gear]]
id = "polyester-12"
name = "yellow rope"
length = "40 m"
ends = ["bare", "bare"]
condition = "good"

[preferences]
margin_wanted = 1.0
knots = ["bowline"]
"""

POST = """
[[obstacle]]
name = "gate post"
at = ["10.5 m", "0 m", "0.9 m"]
diameter = "20 cm"
"""

CREST = STRAIGHT.replace(
    'to = ["8 m", "0 m", "0.8 m"]', 'to = ["6 m", "0 m", "1.8 m"]'
).replace(
    "[load]\n",
    """[[path.leg]]
to = ["8 m", "0 m", "1.8 m"]
surface = "grass"

[load]
""",
).replace('"1 m"]', '"1.8 m"]')  # fmt: skip
