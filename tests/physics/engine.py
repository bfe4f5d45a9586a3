"""A general physics engine that drags the load of a site file, rope, blocks, ground and all.

Nothing of the program is used: the site file is read as plain TOML, and of the answer only where the ropes
lead. The load is a body that lies on a plane with dry friction; every part of rope is a tendon that only
pulls; the rope passes from one part to the next over a slider, whose dry friction is that share of the
tension which a block (by its efficiency) or an edge (by the angle the engine measures there) takes. The
puller winds its end in slowly. Pull, ground reaction and forces on places are read off when all runs evenly.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import mujoco
import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

GRAVITY = 9.80665
STEP = 0.0005
"""s."""
SPEED = 0.02
"""m/s at which the puller winds in."""
STIFF = 3.0e6
"""N/m of every part of rope."""
HEAVY = 20.0
"""kg of a slider and of a grip."""
ACROSS = 1.0e7
"""N/m of what keeps the load on its line."""
RADIUS = 0.02
"""m of the ball that touches the ground."""


@dataclass(frozen=True)
class Rope:
    """Names of the places from the standing end to the hauled one, and the efficiency of the turn at
    each place between."""

    places: tuple[str, ...]
    etas: tuple[float | None, ...]  # None: an edge


@dataclass(frozen=True)
class Rigged:
    """What lies where, m. `points`: of every place but the load and the grip. The load's `hitch` lies on the
    line through `start` along `along`, `above` the ground."""

    start: Array
    along: Array
    above: float
    weight: float
    friction: float
    points: Mapping[str, Array]
    ropes: tuple[Rope, ...]
    edge_friction: float = 0.0
    grip_at: Array | None = None


@dataclass(frozen=True)
class Dragged:
    """What the engine found, N, where the load came to, m along from `start`, and the speed of the load
    against its mean: how evenly it ran."""

    at: float
    pull: float
    reaction: float
    side: float
    forces: Mapping[str, Array]
    uneven: float


@dataclass
class _Model:
    bodies: list[str] = field(default_factory=list)
    tendons: list[str] = field(default_factory=list)

    def slider(self, name: str, shelf: int) -> None:
        """A body on a rail of its own, out of the way, with a fixed site before and behind it."""
        y, z = 500.0 + shelf, 500.0
        self.bodies.append(
            f'<site name="{name}-" pos="-10 {y} {z}"/><site name="{name}+" pos="10 {y} {z}"/>'
            f'<body pos="0 {y} {z}" gravcomp="1"><joint name="{name}" type="slide" axis="1 0 0" '
            'solreffriction="0.001 1" solimpfriction="0.9999 0.9999 0.001 0.5 2"/>'
            f'<geom size="0.01" mass="{HEAVY}" contype="0" conaffinity="0"/><site name="{name}"/></body>'
        )


def drag(rig: Rigged, *, seconds: float = 2.0) -> Dragged:
    """Wind in until all runs evenly; means over the last third."""
    frame = _frame(rig.along)
    model, data, names = _built(rig, frame)
    tendons = [mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_TENDON, n) for n in names]
    slack = np.array([data.ten_length[t] for t in tendons])
    for tendon, length in zip(tendons, slack, strict=True):
        model.tendon_lengthspring[tendon] = (0.0, length)
    damping = {t: float(model.tendon_damping[t]) for t in tendons}
    steps, seen = round(seconds / STEP), []
    turns = list(_turns(rig))
    for step in range(steps):
        tension = np.array(
            [
                max(STIFF * (data.ten_length[t] - s), 0.0)
                for t, s in zip(tendons, slack, strict=True)
            ]
        )
        for name, hauled, eta, ends in turns:
            joint = mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_JOINT, name)
            share = _edge(rig, data, model, ends) if eta is None else eta
            model.dof_frictionloss[model.jnt_dofadr[joint]] = (1.0 - share) * tension[hauled]
        mujoco.mj_step(model, data)
        if step >= 2 * steps // 3 and step % 10 == 0:
            for tendon, length in zip(tendons, slack, strict=True):
                assert data.ten_length[tendon] > length, "a part of the rope is slack"
            seen.append(_seen(rig, model, data, frame, names, tendons, slack, damping))
    columns = [np.array(column) for column in zip(*seen, strict=True)]
    at, pull, reaction, side, speed, forces = columns
    mean = forces.mean(axis=0)
    return Dragged(
        at=float(at.mean()), pull=float(pull.mean()), reaction=float(reaction.mean()),
        side=float(side.mean()), forces=dict(zip(_fixed(rig), mean, strict=True)),
        uneven=float(speed.std() / speed.mean()),
    )  # fmt: skip


def _frame(along: Array) -> Array:
    """Rows: along, across (level, to the left), away from the ground."""
    across = np.cross((0.0, 0.0, 1.0), along)
    across /= np.linalg.norm(across)
    return np.array([along, across, np.cross(along, across)])


def _fixed(rig: Rigged) -> list[str]:
    return list(rig.points)


def _turns(rig: Rigged) -> list[tuple[str, int, float | None, tuple[str, str, str]]]:
    """Of every turn: its slider, the number of the part that is hauled, its efficiency, its places."""
    out, part = [], 0
    for r, rope in enumerate(rig.ropes):
        for k, eta in enumerate(rope.etas, start=1):
            ends = (rope.places[k - 1], rope.places[k], rope.places[k + 1])
            out.append((f"turn{r}.{k}", part + k, eta, ends))
        part += len(rope.places) - 1
    return out


def _built(rig: Rigged, frame: Array) -> tuple[Any, Any, list[str]]:
    made, names, shelf = _Model(), [], 0
    for r, rope in enumerate(rig.ropes):
        last = len(rope.places) - 1
        winds = r == len(rig.ropes) - 1
        for k in range(1, last + (1 if winds else 0)):
            made.slider(f"turn{r}.{k}", shelf)
            shelf += 1
        for k, (one, two) in enumerate(pairwise(rope.places)):
            name = f"part{r}.{k}"
            branches = f'<site site="{_site(one)}"/><site site="{_site(two)}"/>'
            if k > 0:
                branches += _branch(f"turn{r}.{k}", "+")
            if k + 1 < last or winds:
                branches += _branch(f"turn{r}.{k + 1}", "-")
            names.append(name)
            made.tendons.append(
                f'<spatial name="{name}" stiffness="{STIFF}" damping="{_damping(rig):.6g}">'
                f"{branches}</spatial>"
            )
    final = f"turn{len(rig.ropes) - 1}.{len(rig.ropes[-1].places) - 1}"
    sites = "".join(
        f'<site name="{_site(n)}" pos="{p[0]:.15g} {p[1]:.15g} {p[2]:.15g}"/>'
        for n, p in rig.points.items()
    )
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><option gravity="0 0 {-GRAVITY}" timestep="{STEP}" integrator="implicit"
        cone="elliptic" impratio="100" tolerance="1e-12" iterations="200"/>
        <worldbody>{sites}{_load(rig, frame)}{_grip(rig)}{"".join(made.bodies)}</worldbody>
        <tendon>{"".join(made.tendons)}</tendon>
        <actuator><velocity name="wind" joint="{final}" kv="1e6"/></actuator></mujoco>"""
    )
    data = mujoco.MjData(model)
    data.ctrl[0] = SPEED
    mujoco.mj_forward(model, data)
    return model, data, names


def _damping(rig: Rigged) -> float:
    return float(2.0 * (STIFF * HEAVY) ** 0.5 + 0.2 * (STIFF * rig.weight / GRAVITY) ** 0.5)


def _branch(slider: str, side: str) -> str:
    return f'<pulley divisor="1"/><site site="{slider}{side}"/><site site="{slider}"/>'


def _site(place: str) -> str:
    return f"at {place}"


def _load(rig: Rigged, frame: Array) -> str:
    ground = rig.start
    ball = ground + frame[2] * RADIUS
    axes = [" ".join(f"{c:.15g}" for c in row) for row in frame]
    hitch = rig.start + np.array((0.0, 0.0, rig.above)) - ball
    mass = rig.weight / GRAVITY
    damping = 2.0 * (ACROSS * mass) ** 0.5
    turned = " ".join(f"{c:.15g}" for c in (*frame[0], *frame[1]))
    return (
        f'<geom name="ground" type="plane" size="200 200 1" xyaxes="{turned}" '
        f'pos="{ground[0]:.15g} {ground[1]:.15g} {ground[2]:.15g}" condim="3" '
        f'friction="{rig.friction:.15g} 0 0" solref="0.01 1"/>'
        f'<body name="load" pos="{ball[0]:.15g} {ball[1]:.15g} {ball[2]:.15g}">'
        f'<joint name="along" type="slide" axis="{axes[0]}"/>'
        f'<joint name="across" type="slide" axis="{axes[1]}" stiffness="{ACROSS}" damping="{damping}"/>'
        f'<joint name="off" type="slide" axis="{axes[2]}"/>'
        f'<geom name="ball" size="{RADIUS}" mass="{mass:.15g}" condim="3" '
        f'friction="{rig.friction:.15g} 0 0" solref="0.01 1"/>'
        f'<site name="{_site("load")}" pos="{hitch[0]:.15g} {hitch[1]:.15g} {hitch[2]:.15g}"/></body>'
    )


def _grip(rig: Rigged) -> str:
    if rig.grip_at is None:
        return ""
    slides = "".join(
        f'<joint type="slide" axis="{axis}" damping="20"/>' for axis in ("1 0 0", "0 1 0", "0 0 1")
    )
    x, y, z = rig.grip_at
    return (
        f'<body name="grip" pos="{x:.15g} {y:.15g} {z:.15g}" gravcomp="1">{slides}'
        f'<geom size="0.01" mass="{HEAVY}" contype="0" conaffinity="0"/>'
        f'<site name="{_site("grip")}"/></body>'
    )


def _position(data: Any, model: Any, place: str) -> Array:
    return np.array(
        data.site_xpos[mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_SITE, _site(place))]
    )


def _edge(rig: Rigged, data: Any, model: Any, ends: tuple[str, str, str]) -> float:
    """What passes over an edge: e to the minus friction times the angle there."""
    one, over, two = (_position(data, model, place) for place in ends)
    before, after = over - one, two - over
    turn = before @ after / (np.linalg.norm(before) * np.linalg.norm(after))
    return float(np.exp(-rig.edge_friction * np.arccos(min(float(turn), 1.0))))


def _seen(
    rig: Rigged, model: Any, data: Any, frame: Array, names: list[str], tendons: list[int],
    slack: Array, damping: Mapping[int, float],
) -> tuple[Any, ...]:  # fmt: skip
    """Where the load is, the pull, the ground's reaction, the pull aside, the load's speed, the force of the
    ropes on every place."""
    tension = {
        name: STIFF * (data.ten_length[t] - s) + damping[t] * data.ten_velocity[t]
        for name, t, s in zip(names, tendons, slack, strict=True)
    }
    forces = {place: np.zeros(3) for place in rig.points}
    for r, rope in enumerate(rig.ropes):
        for k, (one, two) in enumerate(pairwise(rope.places)):
            away = _position(data, model, two) - _position(data, model, one)
            pulls = tension[f"part{r}.{k}"] * away / np.linalg.norm(away)
            for place, force in ((one, pulls), (two, -pulls)):
                if place in forces:
                    forces[place] = forces[place] + force
    contact = np.zeros(6)
    reaction = 0.0
    for c in range(data.ncon):
        mujoco.mj_contactForce(model, data, c, contact)
        reaction += float(contact[0])
    joints = {
        name: model.jnt_qposadr[mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_JOINT, name)]
        for name in ("along", "across")
    }
    along = float(data.qpos[joints["along"]])
    speed = float(data.qvel[mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_JOINT, "along")])
    aside = ACROSS * float(data.qpos[joints["across"]])
    pull = float(data.actuator_force[0])
    return along, pull, reaction, aside, speed, np.array(list(forces.values()))
