"""The table as it was read through, line by line: what each kind may be used for.

Columns as in `places.PLACES`; common practice, no source, but for what the data file says. "=" straight
on it, "s" by a shackle, "o" round the trunk itself and no strap, "g" along a rope, "j" rope to rope, "-"
not at all. Rope of 12 mm, wire of 8 mm; the post is 9 cm thick.
"""

READ = {
    "eye-splice": "s s = s s s - - - s s = - - - s s -",
    "eye-splice-thimble": "s s = s s s - - - s s = - - - s s -",
    "sewn-eye": "s s = s s s - - - s s = - - - s s -",
    "bury-splice": "s s = s s s - - - s s = - - - s s -",
    "hook-spliced": "= = s s = s - - - = = s - - - = = -",
    "bowline": "= = = = = s o o - = = = = - - = = =",
    "bowline-on-bight": "s s = s s s - - - s s = - g - s s s",
    "figure-eight-loop": "= = = = = s o o - = = = = - - = = =",
    "anchor-bend": "= s s = = s - - - = = s = - - = = =",
    "two-half-hitches": "= = s = = s - - - = = s = - - = = =",
    "round-turn-two-half-hitches": "= s s = = s o o - = = s = - - = = =",
    "clove-hitch": "- - - = - - o o - - - - - - - - - -",
    "timber-hitch": "- - - - - - o o - - - - - - - - - -",
    "trunk-wraps": "- - - - - - o - - - - - - - - - - -",
    "short-splice": "- - - - - - - - - - - - - - - - - -",
    "double-sheet-bend": "- - - - - - - - - - - - - - j - - -",
    "zeppelin-bend": "- - - - - - - - - - - - - - j - - -",
    "figure-eight-bend": "- - - - - - - - - - - - - - j - - -",
    "two-bowlines": "- - - - - - - - - - - - - - j - - -",
    "friction-hitch": "- - - - - - - - - - - - - g - - - -",
    "rope-grip": "- - - - - - - - - - - - - g - - - -",
    "wire-socket": "s s s s s s - - - s s s - - - - - -",
    "wire-sleeve": "s s = s s s - - - s s = - - - - - -",
    "wire-sleeve-hook": "= = s s = s - - - = = s - - - - - -",
    "wire-splice": "s s = s s s - - - s s = - - - - - -",
    "wire-wedge": "s s s s s s - - - s s s - - - - - s",
    "wire-clips": "s s = s s s - - - s s = - - - - - s",
    "wire-grip": "- - - - - - - - - - - - - g - - - -",
}
