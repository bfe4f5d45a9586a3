"""Which tests are to notice a fault, quick ones first; pytest stops at the first that fails."""

_ORACLE = "tests/search/test_against_oracle.py::test_same_list_as_the_enumeration"
_FEW = tuple(f"{_ORACLE}[{n}]" for n in (0, 2, 3, 25, 26, 27, 48, 49, 51, 73, 74, 75, 97, 98, 99))
_ALL = tuple(f"{_ORACLE}[{n}]" for n in (
    6, 7, 8, 9, 10, 11, 31, 32, 33, 34, 35, 52, 53, 55, 58, 76, 77, 80, 83, 100, 102, 103, 106, 107,
))  # fmt: skip
"""Some of each kind of site, none that is rare: pytest would not find it."""

SUITES: dict[str, tuple[tuple[str, ...], ...]] = {
    "down": (("tests/buy/test_ways_down.py", "tests/sheet/test_both_ways.py"),),
    "formula": (
        ("tests/mechanics",),
        (
            "tests/validation/test_source_beer_johnston.py",
            "tests/validation/test_source_slings.py",
            "tests/validation/test_source_rope.py",
            "tests/validation/test_source_trees.py",
            "tests/validation/test_source_open_textbooks.py",
            "tests/validation/test_source_navy.py",
            "tests/validation/test_source_companions.py",
            "tests/validation/test_source_anchors.py",
            "tests/validation/test_bridle_ring.py",
            "tests/validation/test_job_ground.py",
            "tests/validation/test_job_angles.py",
            "tests/validation/test_symbolic.py",
        ),
        ("tests/properties/test_sound_setups.py",),
        _FEW,
    ),
    "rig": (
        (
            "tests/geometry",
            "tests/mechanics",
            "tests/validation/test_linear_equilibrium.py",
            "tests/stages/test_strokes.py",
        ),
        ("tests/validation/test_virtual_work.py",),
        ("tests/proof/test_verify.py",),
        ("tests/properties/test_sound_setups.py",),
        _FEW,
        ("tests/properties/test_same_answer.py",),
        _ALL,
    ),
    "gear": (
        ("tests/gear",),
        ("tests/validation/test_virtual_work.py",),  # every setup there is re-checked
        ("tests/proof/test_verify.py",),
        ("tests/properties/test_sound_setups.py",),
        _FEW,
        ("tests/ranking", "tests/properties/test_never_worse.py"),
        _ALL,
    ),
    "search": (
        (
            "tests/gear/test_filler.py",
            "tests/gear/test_assign.py",
            "tests/search/test_board.py",
            "tests/search/test_rules.py",
        ),
        _FEW,
        ("tests/search/test_bounds.py",),
        ("tests/properties/test_same_answer.py", "tests/properties/test_never_worse.py"),
        (
            "tests/search/test_second_prover.py",
            "tests/search/test_against_oracle.py",
            "--deselect",
            _ORACLE,
        ),
        _ALL,
    ),
    "puller": (
        ("tests/mechanics", "tests/validation/test_job_gear.py"),
        ("tests/proof/test_verify.py",),
        ("tests/properties/test_sound_setups.py",),
        _FEW,
        _ALL,
    ),
    "buy": (("tests/buy/test_two_ropes.py",),),
    "purchase": (
        ("tests/buy/test_purse.py",),
        ("tests/buy/test_hitting.py", "tests/buy/test_shop.py"),
        ("tests/buy/test_least.py",),
        ("tests/buy/test_staged.py",),
    ),
    "proof": (("tests/proof/test_on_another_site.py",), ("tests/proof",)),
    "solver": (("tests/solver_release",),),
    "ends": (
        ("tests/terminations",),
        ("tests/gear",),
        ("tests/proof/test_verify.py",),
        _FEW,
        _ALL,
    ),
    "corners": (("tests/uncertainty/test_corners.py",), ("tests/proof/test_tampering.py",), _FEW),
    "bridle": (
        ("tests/validation/test_bridle_ring.py",),
        ("tests/validation/test_bridle_in_answers.py", "tests/geometry"),
        _FEW,
    ),
    "doubts": (("tests/site/test_unlikely.py",), ("tests/mechanics",)),
    "conditions": (("tests/conditions",),),
    "budgets": (
        ("tests/properties/test_speed_does_not_matter.py::test_clocks_of_effort_and_of_time",),
        ("tests/properties/test_speed_does_not_matter.py",),
    ),
    "edges": (
        ("tests/edges",),
        ("tests/proof/test_edges.py", "tests/ranking/test_crest_examples.py"),
    ),
    "frame": (("tests/properties/test_place_does_not_matter.py",),),
    "compound": (
        ("tests/compound/test_work.py", "tests/compound/test_published.py"),
        ("tests/compound/test_virtual_work.py", "tests/compound/test_setup.py"),
        ("tests/uncertainty/test_two_ropes.py", "tests/uncertainty/test_batch.py"),
        ("tests/compound/test_against_enumeration.py",),
        ("tests/stages/test_two_ropes_printed.py", "tests/stages/test_two_ropes.py"),
    ),
    "lower": (
        ("tests/lower/test_knife_edge.py", "tests/lower/test_forces.py"),
        ("tests/lower",),
        ("tests/holding",),
    ),
    "hold": (("tests/holding",),),
    "lever": (("tests/lever",),),
    "reading": (("tests/site",), ("tests/validation/test_source_slings.py",)),
}
"""Name of the suite -> stages of arguments to pytest, each stage only where those before it pass."""
