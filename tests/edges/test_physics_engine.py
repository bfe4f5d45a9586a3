"""The taut string against a general physics engine: one tendon that wraps a cylinder on the crest.

Nothing of the program is used on the engine's side: it finds length and pull by its own tendon kinematics.
The program takes the rope through one point at the cylinder's height, so the two differ by what the rope
gains on a round thing of a few centimetres.
"""

import mujoco
import numpy as np
import pytest

from tests.edges.bank import HIGH, bank
from tests.piped import answered

RING = (30.0, 7.0)
SLOPE = 2.0**0.5 * 6.0
WITHIN = 0.005
"""Relative, as the program's figures are to agree with the engine's."""


def engine() -> "mujoco.MjModel":
    """A hitch that slides up the slope, a cylinder bedded in to its middle on the crest, a ring beyond."""
    return mujoco.MjModel.from_xml_string(f"""
<mujoco>
  <worldbody>
    <geom name="pole" type="cylinder" size="{HIGH} 2" pos="6 0 6" euler="90 0 0"/>
    <site name="over" pos="6 0 6.4"/>
    <site name="ring" pos="{RING[0]} 0 {RING[1]}"/>
    <body name="load" pos="0 0 {HIGH + 0.02}">
      <joint name="along" type="slide" axis="1 0 1"/>
      <geom type="sphere" size="0.01" mass="1"/>
      <site name="hitch"/>
    </body>
  </worldbody>
  <tendon>
    <spatial name="rope">
      <site site="hitch"/><geom geom="pole" sidesite="over"/><site site="ring"/>
    </spatial>
  </tendon>
</mujoco>""")


def test_length_and_pull_of_a_line_over_a_cylinder() -> None:
    _, setup = answered(bank(0.0, ring=RING), "show", "1")
    rows = [row for row in setup["path"] if row["at_m"] < SLOPE - 1.0]
    model = engine()
    data = mujoco.MjData(model)
    lengths = []
    for row in rows:
        data.qpos[0] = row["at_m"]
        mujoco.mj_forward(model, data)
        lengths.append(float(data.ten_length[0]))
        # What the rope shortens by as the load goes on is its pull along the path per unit of tension.
        pulls = -float(np.asarray(data.ten_J).ravel()[0])
        assert row["ideal_advantage"] == pytest.approx(pulls, rel=WITHIN)

    assert len(rows) > 20
    assert [c["from_m"] for c in setup["contacts"]] == pytest.approx([SLOPE])
    ends = setup["rope_needed_m"] - lengths[0]
    assert 0.9 < ends < 1.3  # what splices and hands take of the rope
    _, whole = answered(bank(0.0, ring=RING, beyond=1e-1), "show", "1")
    assert whole["hauled_m"] > lengths[0] - lengths[-1]


def test_friction_over_the_cylinder_is_the_engines_angle_times_mu() -> None:
    """The engine has no friction between tendon and geom; the angle that it wraps gives e^(mu beta)."""
    _, rough = answered(bank(0.35, ring=RING), "show", "1")
    _, smooth = answered(bank(0.0, ring=RING), "show", "1")
    model = engine()
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    points = data.wrap_xpos.reshape(-1, 3)[: int(data.ten_wrapnum[0])]
    first, last = points[1] - points[0], points[3] - points[2]
    angle = float(np.arccos(first @ last / (np.linalg.norm(first) * np.linalg.norm(last))))

    more = rough["path"][0]["pull_N"] / smooth["path"][0]["pull_N"]
    assert more == pytest.approx(float(np.exp(0.35 * angle)), rel=WITHIN)
