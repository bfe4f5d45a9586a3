"""A bridle's ring settled by a general physics engine: a body on two legs that only pull, and the parts."""

from dataclasses import dataclass

import mujoco
import numpy as np

from optimiser.mechanics.values import Vec

STIFF = 2.0e7
"""N/m of a leg: it gives by a twentieth of a millimetre a kilonewton."""
STILL = 1e-7
"""m/s."""
MASS = 40.0
STEP = 0.001


@dataclass(frozen=True)
class Settled:
    """Where the ring came to rest, m; tensions of the two legs, N; speed left, m/s."""

    ring: np.ndarray
    tensions: tuple[float, float]
    speed: float


def settle(
    hitches: tuple[Vec, Vec], legs: tuple[float, float], ends: list[Vec], tensions: list[float],
    *, seconds: float = 200.0,
) -> Settled:  # fmt: skip
    """Pull at the ring with parts of constant tension, without gravity, and let it come to rest.

    Nothing of the program under test is used: a leg is a tendon with a spring that acts only beyond its
    length, a part is a tendon with a motor; the engine finds directions and forces.
    """
    start = np.mean([*hitches, *ends[:1]], axis=0) * 0.3 + np.mean(hitches, axis=0) * 0.7
    fixed = {f"h{i}": h for i, h in enumerate(hitches)} | {f"e{i}": e for i, e in enumerate(ends)}
    sites = "".join(f'<site name="{n}" pos="{x} {y} {z}"/>' for n, (x, y, z) in fixed.items())
    damping = 2.0 * (sum(tensions) / min(legs) * MASS) ** 0.5
    slides = "".join(
        f'<joint type="slide" axis="{axis}" damping="{damping:.6g}"/>'
        for axis in ("1 0 0", "0 1 0", "0 0 1")
    )
    spring = 2.0 * 0.3 * (STIFF * MASS) ** 0.5
    taut = "".join(
        f'<spatial name="leg{i}" stiffness="{STIFF}" springlength="0 {leg:.15g}" damping="{spring}">'
        f'<site site="h{i}"/><site site="ring"/></spatial>'
        for i, leg in enumerate(legs)
    )
    parts = "".join(
        f'<spatial name="part{i}"><site site="ring"/><site site="e{i}"/></spatial>'
        for i in range(len(ends))
    )
    motors = "".join(f'<motor tendon="part{i}" gear="1"/>' for i in range(len(ends)))
    x, y, z = start
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><option gravity="0 0 0" timestep="{STEP}" integrator="implicit"/>
        <worldbody>{sites}<body name="ring" pos="{x} {y} {z}">{slides}
        <geom size="0.02" mass="{MASS}" contype="0" conaffinity="0"/><site name="ring"/></body>
        </worldbody><tendon>{taut}{parts}</tendon><actuator>{motors}</actuator></mujoco>"""
    )
    data = mujoco.MjData(model)
    data.ctrl[:] = [-t for t in tensions]
    while data.time < seconds and (data.time < 1.0 or np.abs(data.qvel).max() > STILL):
        mujoco.mj_step(model, data, nstep=100)
    ring = start + np.array(data.qpos)
    stretch = [
        float(np.linalg.norm(ring - np.array(h)) - leg)
        for h, leg in zip(hitches, legs, strict=True)
    ]
    return Settled(
        ring=ring,
        tensions=(max(stretch[0], 0.0) * STIFF, max(stretch[1], 0.0) * STIFF),
        speed=float(np.abs(data.qvel).max()),
    )
