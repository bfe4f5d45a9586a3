"""A rig settled by a general physics engine: one tendon over sites, the load held by springs."""

from dataclasses import dataclass

import mujoco
import numpy as np

from tests.validation.sample_rigs import Array, SampleRig

HAUL = 1000.0
"""N in the rope."""
STIFF = 4.0e4
"""N/m of each of the three springs that hold the load."""
MASS = 200.0


@dataclass(frozen=True)
class Settled:
    """Where the hitch came to rest, m, and the rig's pull on the load per unit of tension, from
    the springs' stretch and the load's weight: along the path, across it, off the ground."""

    hitch: Array
    pull: Array
    speed: float  # m/s left


def axes(along: Array) -> Array:
    """Rows: along, across (level, to the left), away from the ground."""
    across = np.cross((0.0, 0.0, 1.0), along)
    across /= np.linalg.norm(across)
    return np.array([along, across, np.cross(along, across)])


def settle(rig: SampleRig, *, seconds: float = 6.0) -> Settled:
    """Put constant tension into the rope and let everything come to rest.

    The load slides on three springs (along the path, across it, off the ground) under gravity; the
    rope is a single spatial tendon through the places, without friction. Nothing of the program
    under test is used: the engine finds the forces by its own tendon kinematics.
    """
    frame = axes(rig.direction)
    damping = 2.0 * (STIFF * MASS) ** 0.5
    fixed = {**rig.anchors, "puller": rig.puller}
    sites = "".join(f'<site name="{n}" pos="{x} {y} {z}"/>' for n, (x, y, z) in fixed.items())
    slides = "".join(
        f'<joint type="slide" axis="{a[0]:.15g} {a[1]:.15g} {a[2]:.15g}" stiffness="{STIFF}" '
        f'damping="{damping:.6g}"/>'
        for a in frame
    )
    x, y, z = rig.hitch
    tendon = "".join(f'<site site="{node}"/>' for node in rig.walk)
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><option gravity="0 0 -9.81" timestep="0.002" integrator="implicit"/>
        <worldbody>{sites}
        <body name="load" pos="{x} {y} {z}">{slides}
        <geom size="0.05" mass="{MASS}" contype="0" conaffinity="0"/><site name="load"/></body>
        </worldbody>
        <tendon><spatial name="rope">{tendon}</spatial></tendon>
        <actuator><motor tendon="rope" gear="1"/></actuator></mujoco>"""
    )
    data = mujoco.MjData(model)
    data.ctrl[0] = -HAUL  # a tendon force that shortens the rope
    for _ in range(round(seconds / model.opt.timestep)):
        mujoco.mj_step(model, data)
    stretch = np.array(data.qpos)
    weight = frame @ np.array((0.0, 0.0, -9.81 * MASS))
    return Settled(
        hitch=np.array(rig.hitch) + frame.T @ stretch,
        pull=(STIFF * stretch - weight) / HAUL,
        speed=float(np.abs(data.qvel).max()),
    )
