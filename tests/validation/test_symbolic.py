"""Forces derived symbolically from the balances, then compared with the program's formulas."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import sympy as sp

from optimiser.mechanics.anchor.stem import section_modulus
from optimiser.mechanics.ground.moving import ground_reaction, pull_needed
from optimiser.mechanics.ground.step import pull_over_step
from optimiser.mechanics.line.tackle import along_rope

W, c, a, b, H, N, F = sp.symbols("W c alpha beta H N F", positive=True)


def numbers(seed: int, *ranges: tuple[float, float]) -> list[tuple[float, ...]]:
    """200 points in a box, the same every time."""
    random = np.random.default_rng(seed)
    low, high = np.array(ranges).T
    return [tuple(float(x) for x in row) for row in random.uniform(low, high, (200, len(ranges)))]


def derived_pull() -> tuple[Any, Any]:
    """H and N from the balances along and normal to a slope, drag c N against the motion."""
    balance = [H * sp.cos(b) - W * sp.sin(a) - F, N + H * sp.sin(b) - W * sp.cos(a), F - c * N]
    solution = sp.solve(balance, [H, N, F], dict=True)[0]
    return sp.simplify(solution[H]), sp.simplify(solution[N])


def test_pull_on_a_slope() -> None:
    pull, reaction = derived_pull()
    phi = sp.symbols("phi", positive=True)
    closed = W * sp.sin(a + phi) / sp.cos(b - phi)
    # Both are quotients: the difference of the cross products must vanish.
    given, below = sp.fraction(sp.together(pull.subs(c, sp.sin(phi) / sp.cos(phi))))
    wanted, under = sp.fraction(closed)
    assert sp.expand(sp.expand_trig(given * under - wanted * below)).equals(0)
    of_pull: Callable[..., float] = sp.lambdify((W, c, a, b), pull)
    of_reaction: Callable[..., float] = sp.lambdify((W, c, a, b), reaction)
    for weight, drag, slope, over in numbers(1, (100, 1e4), (0, 1), (-0.2, 1.0), (-0.6, 0.6)):
        ours = float(
            pull_needed(
                weight=weight,
                slope_sin=np.sin(slope),
                slope_cos=np.cos(slope),
                resistance=drag,
                advance=np.cos(over),
                lift=np.sin(over),
            )
        )
        assert ours == pytest.approx(of_pull(weight, drag, slope, over), rel=1e-10, abs=1e-7)
        left = ground_reaction(weight=weight, slope_cos=np.cos(slope), pull=ours, lift=np.sin(over))
        assert left == pytest.approx(of_reaction(weight, drag, slope, over), rel=1e-9, abs=1e-6)


def test_best_angle_of_the_line_is_the_angle_of_friction() -> None:
    pull, _ = derived_pull()
    phi = sp.symbols("phi", positive=True)
    turned = sp.simplify(sp.diff(pull.subs(c, sp.tan(phi)), b).subs(b, phi))
    assert turned == 0
    overs = np.linspace(-0.5, 1.2, 170001)
    for drag in (0.1, 0.4, 0.8):
        pulls = pull_needed(
            weight=1000.0,
            slope_sin=np.sin(0.3),
            slope_cos=np.cos(0.3),
            resistance=drag,
            advance=np.cos(overs),
            lift=np.sin(overs),
        )
        assert overs[int(np.argmin(pulls))] == pytest.approx(np.arctan(drag), abs=2e-5)


def test_wheel_over_a_step_on_a_slope() -> None:
    """Moments about the edge, written with vectors: axle at height r over the slope, edge at h."""
    r, h, gt, gn = sp.symbols("r h g_t g_n", positive=True)
    reach = sp.sqrt(r**2 - (r - h) ** 2)
    axle = sp.Matrix([-reach, r - h])  # from the edge: along the slope, normal to it
    force = sp.Matrix([H * gt - W * sp.sin(a), H * gn - W * sp.cos(a)])
    moment = axle[0] * force[1] - axle[1] * force[0]
    solved = sp.solve(moment, H)[0]
    of_step: Callable[..., float] = sp.lambdify((W, a, r, h, gt, gn), solved)
    for weight, slope, radius, share, t, n in numbers(
        2, (100, 1e4), (-0.2, 0.6), (0.05, 0.6), (0.02, 0.95), (0.5, 4.0), (0.0, 2.0)
    ):
        ours = float(
            pull_over_step(
                wheel_radius=radius,
                step=share * radius,
                slope_sin=np.sin(slope),
                slope_cos=np.cos(slope),
                axle_weight=weight,
                advance=t,
                lift=n,
            )
        )
        want = of_step(weight, slope, radius, share * radius, t, n)
        assert ours == pytest.approx(want, rel=1e-9, abs=1e-7)


def test_tackle_closed_form() -> None:
    """Sum of the tensions of the parts, exactly, and the published closed form, against the program's."""
    for parts in range(1, 8):
        for sheaves in (parts - 1, parts, parts + 2):
            k = sp.Rational(109, 100)
            load = sum(k ** (-i) for i in range(sheaves - parts + 1, sheaves + 1))
            closed = k**sheaves * (k - 1) / (k**parts - 1)
            assert sp.simplify(closed - 1 / load) == 0
            ours = along_rope(passed=np.full((sheaves, 1), 1 / 1.09))[:parts].sum()
            assert float(ours) == pytest.approx(float(load), rel=1e-12)


def test_section_modulus() -> None:
    d, d_i, rho, turn = sp.symbols("d d_i rho theta", positive=True)
    inertia = sp.integrate(
        (rho * sp.sin(turn)) ** 2 * rho, (turn, 0, 2 * sp.pi), (rho, d_i / 2, d / 2)
    )
    modulus = sp.simplify(inertia / (d / 2))
    assert sp.simplify(modulus - sp.pi * (d**4 - d_i**4) / (32 * d)) == 0
    assert section_modulus(diameter=0.3, hollow=0.1) == pytest.approx(
        float(modulus.subs({d: 0.3, d_i: 0.1})), rel=1e-12
    )
