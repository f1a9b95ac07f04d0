"""Forces against a physics engine (mujoco): a free axle on springs that stand for links and coils, run to rest.

The load is small, so the axle hardly moves; half the difference of the load and its opposite leaves out what the
little movement does, to second order, to the directions of the springs.
"""

from __future__ import annotations

import mujoco
import numpy as np
import pytest
from numpy.typing import NDArray
from random_layouts import KINDS, bars_of

from buildcheck.strength.statics import Load, Supports, axial_forces

Array = NDArray[np.float64]

STIFFEST = 1e4
"""Newtons per metre of the stiffest spring in the engine; only ratios matter to what each carries."""

SEATS = np.array([[-0.05, 0.47, 0.06], [-0.05, -0.47, 0.06]])
TOWERS = np.array([[-0.10, 0.40, 0.55], [-0.10, -0.40, 0.55]])


def engine_forces(arms: Array, anchors: Array, stiffness: Array, force: Array, moment: Array) -> Array:
    """Tension of each spring when the engine's axle, its centre at the origin, has come to rest under the load."""

    def numbers(values: Array) -> str:
        return " ".join(repr(float(value)) for value in values)

    fixed = "".join(f'<site name="f{i}" pos="{numbers(anchor)}"/>' for i, anchor in enumerate(anchors))
    carried = "".join(f'<site name="a{i}" pos="{numbers(arm)}"/>' for i, arm in enumerate(arms))
    springs = "".join(
        f'<spatial stiffness="{float(k)!r}" springlength="{float(np.linalg.norm(arm - anchor))!r}">'
        f'<site site="f{i}"/><site site="a{i}"/></spatial>'
        for i, (k, arm, anchor) in enumerate(zip(stiffness, arms, anchors, strict=True))
    )
    model = mujoco.MjModel.from_xml_string(
        f"""
        <mujoco>
          <option gravity="0 0 0" timestep="0.008"/>
          <worldbody>
            {fixed}
            <body name="axle"><freejoint/>
              <inertial pos="0 0 0" mass="100" diaginertia="10 10 10"/>{carried}
            </body>
          </worldbody>
          <tendon>{springs}</tendon>
        </mujoco>"""
    )
    data = mujoco.MjData(model)
    data.xfrc_applied[model.body("axle").id] = np.concatenate([force, moment])
    fastest = 0.0
    still = 1e-8 * np.linalg.norm(force) / 100.0
    for _ in range(40000):
        mujoco.mj_step(model, data)
        # Stopping the axle whenever it begins to slow down brings it to rest without choosing a damping.
        speed = float(data.qvel @ data.qvel)
        if speed < fastest:
            data.qvel[:] = 0.0
            speed = 0.0
        fastest = speed
        mujoco.mj_forward(model, data)
        if np.abs(data.qacc).max() < still:  # all six at once: at rest, not on its way through
            tension: Array = stiffness * (data.ten_length - model.tendon_lengthspring[:, 0])
            return tension
    raise AssertionError("The engine's axle did not come to rest.")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(400, 412))
def test_agrees_with_springs_at_rest(kind: str, seed: int) -> None:
    random = np.random.default_rng(seed)
    layout = KINDS[kind](random)
    arms, anchors, _, ratio = bars_of(layout)
    arms = np.vstack([arms, SEATS + random.uniform(-0.04, 0.04, (2, 3))])
    anchors = np.vstack([anchors, TOWERS + random.uniform(-0.04, 0.04, (2, 3))])
    stiffness = STIFFEST * np.append(ratio, [0.05, 0.08])
    force, moment = random.normal(0.0, 1e-3, 3), random.normal(0.0, 3e-4, 3)
    centre = layout.centre
    supports = Supports.between(centre, arms.T + centre[:, None], anchors.T + centre[:, None], stiffness)
    tension = axial_forces(supports, Load(force, moment))
    one_way, other_way = (engine_forces(arms, anchors, stiffness, s * force, s * moment) for s in (1.0, -1.0))
    expected = (one_way - other_way) / 2
    np.testing.assert_allclose(tension, expected, rtol=0.0, atol=1e-7 * np.abs(expected).max())
