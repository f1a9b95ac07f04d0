"""Poses against a physics engine (mujoco) in which every link is a spring of the stated stiffness, run to
rest.

Its equality constraints would weight links that fight each other in its own way, so links are springs for
every layout; with four constraints the springs come to rest unstretched, with more they share the stretch.
"""

from __future__ import annotations

import mujoco
import numpy as np
import pytest
from numpy.typing import NDArray
from random_layouts import KINDS, bars_of

from buildcheck.axle.poses import Layout, solve

STIFFEST = 1e4
"""Newtons per metre of the stiffest spring in the engine; only ratios matter to where it comes to rest."""


def engine_of(layout: Layout, heave: float, roll: float) -> mujoco.MjModel:
    """The axle on its links as springs, at this heave and roll."""
    arms, anchors, lengths, stiffness = bars_of(layout)

    def numbers(values: NDArray[np.float64]) -> str:
        return " ".join(repr(float(value)) for value in values)

    fixed = "".join(f'<site name="f{i}" pos="{numbers(anchor)}"/>' for i, anchor in enumerate(anchors))
    carried = "".join(f'<site name="a{i}" pos="{numbers(arm)}"/>' for i, arm in enumerate(arms))
    springs = "".join(
        f'<spatial stiffness="{STIFFEST * k!r}" springlength="{length!r}">'
        f'<site site="f{i}"/><site site="a{i}"/></spatial>'
        for i, (k, length) in enumerate(zip(stiffness.tolist(), lengths.tolist(), strict=True))
    )
    return mujoco.MjModel.from_xml_string(
        f"""
        <mujoco>
          <compiler angle="radian"/>
          <option gravity="0 0 0" timestep="0.008"/>
          <worldbody>
            {fixed}
            <body pos="0 0 {heave!r}">
              <joint type="slide" axis="1 0 0"/> <joint type="slide" axis="0 1 0"/>
              <joint type="hinge" axis="0 0 1"/> <joint type="hinge" axis="0 1 0"/>
              <inertial pos="0 0 0" mass="100" diaginertia="10 10 10"/>
              <body euler="{roll!r} 0 0">{carried}</body>
            </body>
          </worldbody>
          <tendon>{springs}</tendon>
        </mujoco>"""
    )


def at_rest(model: mujoco.MjModel) -> NDArray[np.float64]:
    """x, y, pitch, yaw at which the engine's axle comes to rest when released at ride attitude."""
    data = mujoco.MjData(model)
    fastest = 0.0
    for _ in range(20000):
        mujoco.mj_step(model, data)
        # Stopping the axle whenever it begins to slow down brings it to rest without choosing a damping.
        speed = float(data.qvel @ data.qvel)
        if speed < fastest:
            data.qvel[:] = 0.0
            speed = 0.0
        fastest = speed
        if np.abs(data.qacc).max() < 1e-8 and speed < 1e-18:
            x, y, yaw, pitch = data.qpos
            return np.array([x, y, pitch, yaw])
    raise AssertionError("The engine's axle did not come to rest.")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(100, 130))
def test_agrees_with_springs_at_rest(kind: str, seed: int) -> None:
    random = np.random.default_rng(seed)
    layout = KINDS[kind](random)
    heave, roll = random.uniform(-0.08, 0.08), random.uniform(-0.1, 0.1)
    poses = solve(layout, heave, roll)
    assert poses.solved.all()
    ours = np.stack([poses.x, poses.y, poses.pitch, poses.yaw], axis=1)[0]
    np.testing.assert_allclose(ours, at_rest(engine_of(layout, heave, roll)), rtol=0.0, atol=1e-6)
