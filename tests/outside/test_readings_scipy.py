"""Readings of two examples against root finding and least squares by scipy, straight from the numbers in the files.

The files are read by ruamel.yaml and a few lines of arithmetic here. Nothing of buildcheck places the axle, carries a
point or turns a knuckle: the attitude is scipy's intrinsic yaw, pitch, roll (ISO 8855), the links are residuals of
least squares, and the knuckle's swing is a root of the drag link's length. Whatever stands between the file and the
reading on the tool's side (reading the file, units, mirror images, the solver, the curves, the rules) is in between.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from buildcheck_rules import buildcheck_rules
from numpy.typing import NDArray
from ruamel.yaml import YAML
from scipy.optimize import brentq, least_squares
from scipy.spatial.transform import Rotation

from buildcheck.build import Build, Side, read_build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.rule import Reading
from buildcheck.job import Job, Line
from buildcheck.spec.document import read_file

Array = NDArray[np.float64]

EXAMPLES = Path(__file__).parents[2] / "examples"
POUND_FORCE = 0.45359237 * 9.80665


def number(value: Any) -> float:
    """A bare number, or an inch amount such as `19 1/2 in`, or a stiffness in lb/in: the number alone."""
    if isinstance(value, str):
        return float(sum(Fraction(part) for part in value.removesuffix("lb/in").removesuffix("in").split()))
    return float(value)


def strains_of_arm(drawn: Array, rates: Array, held: Array) -> Array:
    """What the three joints of a rigid arm give, (9,) weighted by the roots of their stiffness: the arm, drawn with its
    joints at (3, 3), lies where the sum of rate x give^2 to the points (3, 3) that hold them is least. Its shift brings
    the stiffness centres together, and its rotation is scipy's of least squares (Kabsch; Wahba's problem)."""
    middle, wanted = (rates @ points / rates.sum() for points in (drawn, held))
    turn, _ = Rotation.align_vectors(held - wanted, drawn - middle, weights=rates)
    give = wanted + turn.apply(drawn - middle) - held
    return np.asarray((np.sqrt(rates)[:, None] * give).ravel())


@dataclass(frozen=True)
class Pose:
    """Displacement of the axle centre (m), and attitude."""

    centre: Array
    shift: Array
    attitude: Rotation

    def point(self, point: Array) -> Array:
        """Where a point of the axle comes to."""
        return np.asarray(self.centre + self.shift + self.attitude.apply(point - self.centre))

    @property
    def yaw(self) -> float:
        return float(self.attitude.as_euler("ZYX")[0])


class Truck:
    """An example's numbers in SI, its axle placed by least squares."""

    def __init__(self, file: str, unit: float, stiffness_unit: float) -> None:
        self.data = YAML(typ="safe").load((EXAMPLES / file).read_text(encoding="utf-8"))
        self.unit = unit
        self.stiffness_unit = stiffness_unit
        self.centre = np.array([0.0, 0.0, self.length(self.data["vehicle"]["tyre"]["static_radius"])])
        self.bars: list[tuple[Array, Array, float]] = []
        self.arms: list[tuple[Array, Array]] = []
        for sides in self.data["links"].values():
            for side in sides:
                for mirror in (1, -1) if side == "both" else (1,):
                    self._add_link(sides[side], mirror)
        bar = self.data["lateral_bar"]
        self._add(bar, "frame", "axle", 1)
        self.travel = {
            "bump": self.length(self.data["travel"]["bump"]),
            "droop": self.length(self.data["travel"]["droop"]),
            "articulation": math.radians(self.data["travel"]["articulation"]),
        }

    def length(self, value: Any) -> float:
        return number(value) * self.unit

    def point(self, value: Iterable[Any], mirror: int = 1) -> Array:
        return np.array([number(part) for part in value]) * self.unit * np.array([1.0, mirror, 1.0])

    def _add_link(self, link: dict[str, Any], mirror: int) -> None:
        if link["kind"] != "radius-arm":
            self._add(link, "frame", "axle", mirror)
            return
        ends = ("frame", "axle_upper", "axle_lower")
        rates = [number(link["joints"][end]["radial_stiffness"]) * self.stiffness_unit for end in ends]
        self.arms.append((np.array([self.point(link[end], mirror) for end in ends]), np.array(rates)))

    def _add(self, link: dict[str, Any], frame: str, axle: str, mirror: int) -> None:
        # Two joints in series; where four bars hold the axle, stiffness does not matter and may be left out.
        rates = [joint.get("radial_stiffness") for joint in map(link.get("joints", {}).get, (frame, axle)) if joint]
        whole = 1.0
        if len(rates) == 2 and None not in rates:
            whole = 1 / sum(1 / (number(rate) * self.stiffness_unit) for rate in rates)
        self.bars.append((self.point(link[frame], mirror), self.point(link[axle], mirror), whole))

    @cache  # noqa: B019  # two trucks, alive to the end
    def pose(self, heave: float, roll: float) -> Pose:
        """The pose of least elastic energy, in steps from ride height."""
        frame, axle = (np.array([bar[end] for bar in self.bars]) for end in (0, 1))
        rates = np.array([bar[2] for bar in self.bars])
        stiffest = max([*rates, *(each.max() for _, each in self.arms)])
        weight = np.sqrt(rates / stiffest)
        made = np.linalg.norm(axle - frame, axis=1)

        def placed(unknown: Array, share: float) -> Pose:
            x, y, pitch, yaw = unknown
            return Pose(
                self.centre,
                np.array([x, y, heave * share]),
                Rotation.from_euler("ZYX", [yaw, pitch, roll * share]),
            )

        def stretch(unknown: Array, share: float) -> Array:
            pose = placed(unknown, share)
            ends = pose.centre + pose.shift + pose.attitude.apply(axle - pose.centre)
            found = [weight * (np.linalg.norm(ends - frame, axis=1) - made)]
            for drawn, stiff in self.arms:
                held = np.vstack([drawn[:1], pose.centre + pose.shift + pose.attitude.apply(drawn[1:] - pose.centre)])
                found.append(strains_of_arm(drawn, stiff / stiffest, held))
            return np.concatenate(found)

        unknown = np.zeros(4)
        for share in np.linspace(0, 1, 6)[1:]:
            unknown = least_squares(
                stretch, unknown, args=(share,), jac="3-point", method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15
            ).x
        return placed(unknown, 1.0)

    def at(self, where: str) -> Pose:
        """The pose at one end of the stated travel; articulation stands at the middle of bump and droop."""
        bump, droop, tilt = self.travel["bump"], self.travel["droop"], self.travel["articulation"]
        middle = (bump - droop) / 2
        heave, roll = {
            "ride height": (0.0, 0.0),
            "full bump": (bump, 0.0),
            "full droop": (-droop, 0.0),
            "left wheel up": (middle, tilt),
            "right wheel up": (middle, -tilt),
        }[where]
        return self.pose(heave, roll)

    def span(self, section: str, mirror: int, pose: Pose) -> float:
        """Distance of the ends of a coilover or strap."""
        (part,) = (sides["both"] for sides in self.data[section].values())
        return float(np.linalg.norm(pose.point(self.point(part["axle"], mirror)) - self.point(part["frame"], mirror)))

    def stop_height(self, mirror: int, pose: Pose) -> float:
        """Room under a bump stop's base along its axis, to the level of the target."""
        stop = self.data["bump_stops"]["stop"]["both"]
        axis = np.array(stop["axis"], dtype=float) * np.array([1, mirror, 1])
        axis /= np.linalg.norm(axis)
        return float((pose.point(self.point(stop["target"], mirror)) - self.point(stop["base"], mirror)) @ axis)

    def steer(self, pose: Pose) -> float:
        """Steer of the road wheel that the drag link moves, seen from above."""
        steering, axle = self.data["steering"], self.data["axle"]
        link = steering["drag_link"]
        mirror = 1 if link["knuckle"] == "left" else -1
        caster, inclination = math.radians(axle["caster"]), math.radians(axle["kingpin_inclination"])
        axis = np.array([-math.tan(caster), -mirror * math.tan(inclination), 1.0])
        axis /= np.linalg.norm(axis)
        kingpin = self.point(steering["kingpins"]["both"]["centre"], mirror)
        arm, pitman = self.point(link["arm"]), self.point(link["pitman"])
        made = float(np.linalg.norm(arm - pitman))

        def too_long(swing: float) -> float:
            swung = kingpin + Rotation.from_rotvec(swing * axis).apply(arm - kingpin)
            return float(np.linalg.norm(pose.point(swung) - pitman)) - made

        swing = brentq(too_long, -0.5, 0.5, xtol=1e-15)
        spin = pose.attitude.apply(Rotation.from_rotvec(swing * axis).apply([0.0, 1.0, 0.0]))
        return math.atan2(-spin[0], spin[1])


METRIC = "three-link-metric.buildcheck.yaml"
TAMARACK = "tamarack/proposal.buildcheck.yaml"
# Four bars hold the three-link, so its poses are exact, and rounding alone parts the two sides (1e-13 measured). Arms
# and bar hold Tamarack more than once over, so its pose is the minimum of an energy: scipy's slopes are differences
# there, which leaves its answer 2e-11 off.
TOLERANCE = {METRIC: 1e-12, TAMARACK: 1e-9}
NAMES = list(TOLERANCE)

# Which line of poses of the job ends there, and which end of it.
ENDS = {
    "full bump": ("travel", "end"),
    "full droop": ("travel", "start"),
    "left wheel up": ("articulation", "end"),
    "right wheel up": ("articulation", "start"),
}


@cache
def truck(name: str) -> Truck:
    return Truck(name, 0.001, 1000.0) if name == METRIC else Truck(name, 0.0254, POUND_FORCE / 0.0254)


@cache
def build(name: str) -> Build:
    return read_build(read_file(EXAMPLES / name).data)


@cache
def job(name: str) -> Job:
    return Job(build(name))


@cache
def readings(name: str) -> tuple[Reading, ...]:
    return inspect(build(name), list(buildcheck_rules())).readings


def values(name: str, quantity: str, subject: str, pose: str = "") -> list[float]:
    """The values of one limit for one subject, at the poses of that name where one is given."""
    return [
        reading.value
        for reading in readings(name)
        if (reading.quantity, reading.subject) == (quantity, subject)
        and reading.value is not None
        and (not pose or (reading.pose is not None and reading.pose.name == pose))
    ]


SIDES = [(Side.LEFT, 1), (Side.RIGHT, -1)]
at_every_end = pytest.mark.parametrize("where", ENDS)
of_both = pytest.mark.parametrize("name", NAMES)
on_both_sides = pytest.mark.parametrize(("side", "mirror"), SIDES, ids=["left", "right"])


@of_both
@at_every_end
@on_both_sides
def test_lengths_at_the_ends_of_the_travel(name: str, where: str, side: Side, mirror: int) -> None:
    """Coilover length, strap span and bump-stop height, as the rules are handed them."""
    own, given = truck(name), job(name)
    pose = own.at(where)
    line: Line = getattr(given.lines, ENDS[where][0])
    curves = [
        given.length(given.coilovers_of(side)[0], line),
        given.length(given.limit_straps_of(side)[0], line),
        given.stop_height(given.bump_stops_of(side)[0], line),
    ]
    found = [getattr(curve, ENDS[where][1]).value for curve in curves]
    expected = [
        own.span("coilovers", mirror, pose),
        own.span("limit_straps", mirror, pose),
        own.stop_height(mirror, pose),
    ]
    np.testing.assert_allclose(found, expected, rtol=TOLERANCE[name])


@of_both
@on_both_sides
def test_what_the_stops_leave_in_full_articulation(name: str, side: Side, mirror: int) -> None:
    """The readings of the coilover's stroke and extension left, and of the stop's height left at full bump."""
    own = truck(name)
    coilover = own.data["coilovers"]["coilover"]["both"]
    up, down = ("left", "right") if side is Side.LEFT else ("right", "left")
    compressed, extended = own.length(coilover["compressed_length"]), own.length(coilover["extended_length"])
    crushed = own.length(own.data["bump_stops"]["stop"]["both"]["crushed_length"])
    rising, falling = own.at(f"{up} wheel up"), own.at(f"{down} wheel up")
    found = [
        *values(name, "coilover-left", f"{side} coilover", f"full articulation, {up} wheel up"),
        *values(name, "coilover-left", f"{side} coilover", f"full articulation, {down} wheel up"),
        *values(name, "stop-left", f"{side} bump stop", "full bump"),
    ]
    expected = [
        own.span("coilovers", mirror, rising) - compressed,
        extended - own.span("coilovers", mirror, falling),
        own.stop_height(mirror, own.at("full bump")) - crushed,
    ]
    # These are what is left of lengths near a metre.
    np.testing.assert_allclose(found, expected, rtol=0, atol=TOLERANCE[name])


@of_both
@on_both_sides
def test_where_the_strap_comes_tight(name: str, side: Side, mirror: int) -> None:
    """Between two poses the tool follows a parabola, which places the axle here to half a millionth of a metre."""
    own = truck(name)
    strap, coilover = own.data["limit_straps"]["strap"]["both"], own.data["coilovers"]["coilover"]["both"]
    tight = own.length(strap["length"]) + own.length(strap["stretch"])
    droop = brentq(lambda down: own.span("limit_straps", mirror, own.pose(-down, 0.0)) - tight, 0.05, 0.25, xtol=1e-10)
    left = own.length(coilover["extended_length"]) - own.span("coilovers", mirror, own.pose(-droop, 0.0))
    wanted = ("limit-strap-length", "coilover-left", f"{side} coilover")
    found = next(r for r in readings(name) if (r.rule, r.quantity, r.subject) == wanted)
    assert found.pose is not None
    assert found.pose.heave == pytest.approx(-droop, abs=1e-6)
    assert found.value == pytest.approx(left, abs=1e-6)


@of_both
def test_bump_steer(name: str) -> None:
    """The total, over the poses that the tool looks at, and its share of each end."""
    own, given = truck(name), job(name)
    curve = given.steer(given.lines.travel)
    steers = [own.steer(own.pose(float(heave), 0.0)) for heave in given.lines.travel.heave]
    np.testing.assert_allclose(curve.values, steers, rtol=0, atol=TOLERANCE[name])
    (total,) = values(name, "bump-steer-total", "whole build")
    assert total == pytest.approx(max(steers) - min(steers), rel=0, abs=2 * TOLERANCE[name])


@of_both
def test_yaw_over_travel(name: str) -> None:
    own, given = truck(name), job(name)
    at_ride = own.at("ride height").yaw
    yaws = [own.pose(float(heave), 0.0).yaw - at_ride for heave in given.lines.travel.heave]
    (reading,) = values(name, "yaw-over-travel", "whole build")
    assert reading == pytest.approx(max(abs(yaw) for yaw in yaws), rel=0, abs=TOLERANCE[name])
