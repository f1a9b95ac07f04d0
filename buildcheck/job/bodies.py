"""Parts of a build that may touch each other, as simple solids in every pose and at every lock."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator
from functools import partial
from typing import NamedTuple, TypeVar

import numpy as np

from buildcheck.axle.vectors import unit
from buildcheck.build import Build, Missing, Part, Point, Side
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.springs import BumpStop, Coilover
from buildcheck.clearance.nearest import Nearest, gaps_over, nearest
from buildcheck.clearance.solids import Capsule, Cylinder, Solid
from buildcheck.job.body import (
    ARMS,
    AXLE,
    BAR,
    CALIPERS,
    DRAG_LINK,
    DRIVESHAFT,
    KNUCKLES,
    LEFT,
    TIE_ROD,
    TYRES,
    Body,
)
from buildcheck.job.brace_bodies import brace_bodies
from buildcheck.job.bracket_bodies import bracket_bodies
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.kept import Keeper, kept
from buildcheck.job.layout import axle_centre, held_point, middle_of
from buildcheck.job.linkage import LATERAL, joined_of
from buildcheck.job.moving import MovingAxle
from buildcheck.job.solids import axle_solids, obstacle_solid
from buildcheck.job.steered_parts import Turned
from buildcheck.job.steering_bodies import steering_bodies
from buildcheck.job.subjects import SUBJECTS
from buildcheck.steering.linkage import Joined

Value = TypeVar("Value")

Pair = tuple[str, str]


class _Made(NamedTuple):
    found: dict[str, Body]
    lacking: dict[str, Missing | Unreached]
    further: tuple[str, ...]


class Bodies(Keeper):
    """All bodies of a build with its axle moved and its wheels at shares (locks,) of full lock, left positive.

    Each body, and what is measured between each pair, is kept by itself: a change of one part leaves the gaps between
    the others.
    """

    def __init__(self, build: Build, moving: MovingAxle, shares: Array) -> None:
        super().__init__(moving.store, *moving.key, "bodies", shares.tobytes())
        self._build, self._moving, self._shares = build, moving, shares

    @kept
    def _made(self) -> _Made:
        makers = _Makers(self._build, self._moving, self._shares)
        found: dict[str, Body] = {}
        lacking: dict[str, Missing | Unreached] = {}
        further = list(makers.further())
        for name, make in makers.all(further):
            try:
                body = self.keep(("body", name), make)
            except (Missing, Unreached) as error:
                lacking[name] = error
            else:
                if body is not None:
                    found[name] = body
        return _Made(found, lacking, tuple(name for name, _ in further))

    @property
    def found(self) -> dict[str, Body]:
        """The bodies by name, in an order independent of the file's."""
        return self._made.found

    @property
    def lacking(self) -> dict[str, Missing | Unreached]:
        """The reasons why others are missing."""
        return self._made.lacking

    @property
    def further(self) -> tuple[str, ...]:
        """The names of those of `steering_bodies`, `bracket_bodies` and `brace_bodies`, found or missing."""
        return self._made.further

    def pairs(self) -> list[Pair]:
        """Pairs that may touch: all except two that are joined to each other, and two that do not move."""
        bodies = list(self.found.values())
        return [
            (one.name, two.name)
            for number, one in enumerate(bodies)
            for two in bodies[number + 1 :]
            if not _belong_together(one, two)
        ]

    def gaps(self, *, beyond: float) -> dict[Pair, Array]:
        """The gaps of each pair that may touch, as `clearance.nearest.gaps_over` gives them."""
        return self._of_each("gaps", beyond, gaps_over, self.pairs())

    def nearest(
        self, *, beyond: float, firsts: Collection[str], between: Collection[Pair] | None = None
    ) -> dict[Pair, Nearest]:
        """The smallest gap of each pair that may touch, as `clearance.nearest.nearest` gives it; only of those bodies
        to the ones after them, and only `between` these pairs where they are given."""
        wanted = [pair for pair in self.pairs() if pair[0] in firsts and (between is None or pair in between)]
        return self._of_each("nearest", beyond, nearest, wanted)

    def _of_each(
        self, what: str, beyond: float, measure: Callable[..., list[Value]], pairs: list[Pair]
    ) -> dict[Pair, Value]:
        """Measure the pairs that no earlier build has, in one batch, and keep each by itself."""
        found = self.found
        new = [pair for pair in pairs if not self.carries((what, beyond, pair))]
        measured = measure({name: found[name].solids for pair in new for name in pair}, new, beyond=beyond)
        made = dict(zip(new, measured, strict=True))

        def of(pair: Pair) -> Value:
            for name in pair:  # it depends on these two bodies alone
                self.keep(("body", name), lambda name=name: found[name])  # type: ignore[misc]
            return made[pair]

        return {pair: self.keep((what, beyond, pair), partial(of, pair)) for pair in pairs}


def _belong_together(one: Body, two: Body) -> bool:
    return two.name in one.holds or two.kind in one.holds or one.name in two.holds or one.kind in two.holds


def bodies_of(build: Build, moving: MovingAxle, shares: Array) -> Bodies:
    """Make the bodies of a build with its axle moved and its wheels at shares (locks,) of full lock, left positive.

    Two bodies hold each other when they share a joint, or are bolted to the same piece: a link and the axle, a tyre and
    the parts that end on its knuckle. A bump stop is designed to touch the axle, or a link that is bolted to it.
    """
    return Bodies(build, moving, shares)


class _Makers:
    def __init__(self, build: Build, moving: MovingAxle, shares: Array) -> None:
        self._build = build
        self._moving = moving
        self._wheels = Turned(build, moving, shares)

    def all(self, further: Iterable[tuple[str, Callable[[], Body]]]) -> Iterator[tuple[str, Callable[[], Body | None]]]:
        """The name of each part that may have a body, and a function that makes it; `further` are those of
        `further`."""
        build = self._build
        for side, name in TYRES.items():
            yield name, lambda side=side: self._tyre(side)  # type: ignore[misc]
        for side, name in ARMS.items():
            yield name, lambda side=side: self._steering_arm(side)  # type: ignore[misc]
        yield AXLE, self._axle
        for kind, make in (("link", self._link), ("coilover", self._coilover), ("bump-stop", self._stop)):
            for part in _parts(build, kind):
                yield part.label, lambda part=part, make=make: make(part)  # type: ignore[misc]
        yield BAR, self._bar
        yield DRAG_LINK, self._drag_link
        yield TIE_ROD, self._tie_rod
        yield DRIVESHAFT, self._driveshaft
        yield from further
        if build.has("vehicle") and build.vehicle.has("obstacles"):
            for key in sorted(build.vehicle.obstacles):
                yield build.vehicle.obstacles[key].path, lambda key=key: self._obstacle(key)  # type: ignore[misc]

    def further(self) -> Iterator[tuple[str, Callable[[], Body]]]:
        """The parts of the steering beside its rods, and the brackets with their braces."""
        if self._build.has("steering"):
            yield from steering_bodies(self._build, self._moving, self._wheels)
        yield from bracket_bodies(self._build, self._moving, self._wheels)
        yield from brace_bodies(self._build, self._moving)

    def _carried(self, point: Point) -> Array:
        return self._moving.point(point)[:, :, None]

    # The wheels and the steering.

    @property
    def steers(self) -> bool:
        """Whether the wheels of this axle are steered."""
        return self._build.has("steering") or self._build.axle.position == "front"

    def _tyre(self, side: Side) -> Body:
        vehicle, (x, y, z) = self._build.vehicle, axle_centre(self._build)
        tyre = vehicle.tyre
        middle = y + vehicle.track / 2 * (1 if side is LEFT else -1)
        half, radius = LATERAL * tyre.width / 2, tyre.diameter / 2
        faces = [np.array([x, middle, z]) + sign * half for sign in (-1, 1)]
        start, end = (
            (self._wheels.point(face, side) for face in faces)
            if self.steers
            else (self._carried(Point(*face)) for face in faces)
        )
        holds = frozenset({AXLE, ARMS[side], KNUCKLES[side], CALIPERS[side], *self._on_knuckle(side)})
        return Body(TYRES[side], TYRES[side], "tyre", tyre.path, (Cylinder(start, end, radius),), holds, self.steers)

    def _on_knuckle(self, side: Side) -> Iterator[str]:
        if not self._build.has("steering"):
            return
        steering = self._build.steering
        joined = joined_of(steering)
        near = steering.has("drag_link") and steering.drag_link.has("knuckle") and steering.drag_link.knuckle == side
        if not (near and joined is Joined.ROD_ON_LINK):
            yield TIE_ROD
        if near and joined is not Joined.LINK_ON_ROD:
            yield DRAG_LINK

    def _steering_arm(self, side: Side) -> Body | None:
        """The arms of a knuckle, from its kingpin to each rod that ends on it, as thick as the rod: a spec does not
        give their thickness."""
        if not self.steers:
            return None
        steering, on_knuckle = self._build.steering, set(self._on_knuckle(side))
        pivot = self._wheels.point(steering.kingpins[side].centre, side)
        solids: list[Solid] = []
        if TIE_ROD in on_knuckle:
            rod = steering.tie_rod
            end = self._wheels.point(rod.left if side is LEFT else rod.right, side)
            solids.append(Capsule(pivot, end, rod.tube.outside_diameter / 2))
        if DRAG_LINK in on_knuckle:
            link = steering.drag_link
            solids.append(Capsule(pivot, self._wheels.point(link.arm, side), link.tube.outside_diameter / 2))
        holds = frozenset({AXLE, TIE_ROD, DRAG_LINK, KNUCKLES[side], CALIPERS[side]})
        path = steering.kingpins[side].path
        return Body(ARMS[side], ARMS[side], "steering arm", path, tuple(solids), holds, turns=True)

    def _on_each_other(self) -> frozenset[str]:
        """The drag link and the tie rod, where one of them ends on the other."""
        joined = joined_of(self._build.steering)
        return frozenset() if joined is Joined.KNUCKLES else frozenset({DRAG_LINK, TIE_ROD})

    def _drag_link(self) -> Body | None:
        if not self.steers:
            return None
        link, wheels = self._build.steering.drag_link, self._wheels
        solid = Capsule(wheels.pitman_end, wheels.arm_end, link.tube.outside_diameter / 2)
        return Body(DRAG_LINK, DRAG_LINK, DRAG_LINK, link.path, (solid,), self._on_each_other(), turns=True)

    def _tie_rod(self) -> Body | None:
        if not self.steers:
            return None
        rod = self._build.steering.tie_rod
        solid = Capsule(*self._wheels.rod_ends, rod.tube.outside_diameter / 2)
        return Body(TIE_ROD, TIE_ROD, TIE_ROD, rod.path, (solid,), self._on_each_other(), turns=True)

    # The links and the bar, and the axle.

    def _axle(self) -> Body:
        axle = self._build.axle
        return Body(AXLE, AXLE, AXLE, axle.path, tuple(axle_solids(axle, self._carried)), frozenset())

    def _link(self, link: Link) -> Body:
        if link.kind == "radius-arm":
            upper, lower = link.axle_upper, link.axle_lower
            ends = [
                (np.array(link.frame), self._carried(middle_of(upper, lower))),
                (self._carried(upper), self._carried(lower)),
            ]
        else:
            ends = [(np.array(link.frame), self._carried(link.axle))]
        radius = thickness(link) / 2
        solids = tuple(Capsule(one, two, radius) for one, two in ends)
        return Body(link.label, link.label, "link", link.path, solids, frozenset({AXLE}))

    def _bar(self) -> Body | None:
        if not self._build.has("lateral_bar"):
            return None  # the rule axle-location decides whether there should be one
        bar = self._build.lateral_bar
        solid = Capsule(np.array(bar.frame), self._carried(held_point(bar)), thickness(bar) / 2)
        return Body(BAR, BAR, BAR, bar.path, (solid,), frozenset({AXLE}))

    # Springs and stops.

    def _coilover(self, part: Coilover) -> Body:
        """The damper's body from its upper end over its compressed length, and its shaft below that."""
        frame, axle = np.array(part.frame)[:, None, None], self._carried(part.axle)
        length = self._moving.length(part)[:, None]
        end = frame + (axle - frame) * (part.compressed_length / np.maximum(length, part.compressed_length))
        body = Capsule(frame, end, part.body_diameter / 2)
        shaft = Capsule(end, axle, part.shaft_diameter / 2)
        return Body(part.label, part.label, "coilover", part.path, (body, shaft), frozenset({AXLE}))

    def _stop(self, stop: BumpStop) -> Body:
        """The stop with rounded ends, at its free length or, where that is less, the length of the room for it."""
        moving, on_axle = self._moving, stop.mounted_on == "axle"
        base = self._carried(stop.base) if on_axle else np.array(stop.base)[:, None, None]
        axis = moving.direction(np.array(stop.axis))[:, :, None] if on_axle else np.array(stop.axis)[:, None, None]
        reach = np.clip(moving.stop_height(stop), stop.crushed_length, stop.free_length)[:, None]
        radius = stop.diameter / 2
        inset = np.minimum(radius, reach / 2)
        way = unit(axis)
        solid = Capsule(base + inset * way, base + (reach - inset) * way, radius)
        holds = {AXLE, "link", "axle bracket"} | (set() if on_axle else {"obstacle", "bump-stop"})
        return Body(stop.label, stop.label, "bump-stop", stop.path, (solid,), frozenset(holds))

    # The driveline and the obstacles.

    def _driveshaft(self) -> Body | None:
        build = self._build
        if build.axle.has("driven") and not build.axle.driven:
            return None
        shaft = build.driveshaft
        ends = np.array(shaft.output.point), self._carried(build.axle.pinion.point)
        solid = Capsule(*ends, shaft.tube.outside_diameter / 2)
        return Body(DRIVESHAFT, DRIVESHAFT, DRIVESHAFT, shaft.path, (solid,), frozenset({AXLE}))

    def _obstacle(self, key: str) -> Body:
        obstacle = self._build.vehicle.obstacles[key]
        label, held = key.replace("_", " "), frozenset({"obstacle"})
        return Body(obstacle.path, label, "obstacle", obstacle.path, (obstacle_solid(obstacle),), held)


def thickness(part: Link | LateralBar) -> float:
    """Thickness of a link or bar, m: its tube's diameter, or the diagonal of its section."""
    if isinstance(part, Link) and part.has("section") and not part.has("tube"):
        section = part.section
        return math.hypot(section.height, section.width)
    return part.tube.outside_diameter


def _parts(build: Build, kind: str) -> Iterable[Part]:
    try:
        return list(SUBJECTS[kind](build))
    except Missing:
        return ()
