"""Drawing of a build in every pose: members, each with its shape and its points in vehicle axes.

The points are those of the motion, solved like the ones that rules read; the drawing code only projects them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Literal, NamedTuple

import numpy as np

from buildcheck.build import Build, Missing, Part, Point, Side
from buildcheck.build.chassis import Obstacle
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.drawn_steering import Held, Steered
from buildcheck.job.job import Job
from buildcheck.job.layout import axle_centre, held_point
from buildcheck.job.linkage import joined_of
from buildcheck.job.moving import MovingAxle
from buildcheck.steering.linkage import Joined

Shape = Literal["line", "bar", "coil", "disc", "wheel", "box", "axis", "spot"]
"""`line` through points; `bar` between two, `size` in diameter; `coil`, a spring between two; `disc` about one; `wheel`
between the middles of its two faces; `box` between two corners; `axis`, a centre line through two; `spot`, a point."""

FARTHEST = 20.0
"""Largest distance (m) at which an instant centre is drawn; one that is farther is drawn here in its direction."""


class Member(NamedTuple):
    """One item of a drawing: `points` are indices of the drawing's points, `size` a diameter (m), 0 where none is
    stated.

    `path` is its spec path; "" for items that follow from the motion.
    """

    kind: str
    label: str
    side: Side
    path: str
    shape: Shape
    points: tuple[int, ...]
    size: float = 0.0


class Drawing(NamedTuple):
    """Members and points of a build's drawing, over poses and locks.

    A point is (3,) m where it is fixed to the frame, (3, poses) where it moves with the axle, (locks, 3, poses) where
    the steering turns it; NaN where the motion has no result. `places` gives the point of a spec path and a side.
    `still` is the reason why nothing moves, where the motion cannot be solved; then there is one pose, as the spec
    places it.
    """

    points: tuple[Array, ...]
    members: tuple[Member, ...]
    places: dict[tuple[str, Side], int]
    still: str = ""


def drawing(
    job: Job, heave: Array, roll: Array, locks: Sequence[float], held: Array | None = None
) -> tuple[Drawing, tuple[MovingAxle, ...]]:
    """Make the drawing of a build in poses and at locks, and the moving axle at each lock.

    The axle is raised by `heave` (poses,) m and rolled by `roll` (poses,) rad, and the wheels are turned at ride height
    by each of `locks` (rad, to the left). `held` (poses,) is the angle of the wheels (rad, to the left) in poses that
    have a lock of their own, which are then the same at each of `locks`; 0 in all others.

    Where the spec lacks the links, or the links leave the axle free, the drawing does not move and there is no moving
    axle.
    """
    try:
        moving = tuple(job.moved(heave, roll, lock) for lock in locks)
        _ = moving[0].poses
        at_locks = Held(job, heave, roll, np.zeros_like(heave) if held is None else held)
    except (Missing, Unreached) as why:
        return _Gatherer(job.build, (), str(why)).drawing(), ()
    return _Gatherer(job.build, tuple(Steered(each, at_locks) for each in moving), "").drawing(), moving


class _Gatherer:
    """Collects members; a member that the spec does not place is left out of the drawing."""

    def __init__(self, build: Build, steered: Sequence[Steered], still: str) -> None:
        self._build = build
        self._steered_axles = steered
        self._moving = steered[0].moving if steered else None
        self._still = still
        self._points: list[Array] = []
        self._members: list[Member] = []
        self._places: dict[tuple[str, Side], int] = {}

    def drawing(self) -> Drawing:
        for gather in (
            self._axle, self._wheels, self._driveline, self._links, self._lateral_bar, self._steering, self._coilovers,
            self._straps, self._stops, self._brake_lines, self._obstacles, self._instant_centre, self._roll_axis,
        ):  # fmt: skip
            for member in _until_missing(gather()):
                self._members.append(member)
        return Drawing(tuple(self._points), tuple(self._members), self._places, self._still)

    def _keep(self, point: Array, path: str = "", side: Side = Side.CENTRE) -> int:
        self._points.append(point)
        if path:
            self._places.setdefault((path, side), len(self._points) - 1)
        return len(self._points) - 1

    def _fixed(self, point: Point, path: str = "", side: Side = Side.CENTRE) -> int:
        return self._keep(np.array(point), path, side)

    def _carried(self, point: Point, path: str = "", side: Side = Side.CENTRE) -> int:
        return self._keep(self._carry(point), path, side)

    def _carry(self, point: Point) -> Array:
        return self._moving.point(point) if self._moving else np.array(point)[:, None]

    def _steered(self, of: Callable[[Steered], Array], placed: Point, path: str = "", side: Side = Side.CENTRE) -> int:
        """Add a point that the steering turns; `placed` is its position in the spec."""
        if not self._moving:
            return self._carried(placed, path, side)
        points = np.array([of(steered) for steered in self._steered_axles])
        if not np.isfinite(points).any():
            raise Unreached("the steering reaches none of the poses")
        return self._keep(points, path, side)

    def _on_knuckle(self, point: Point, turns_on: Side, path: str = "", side: Side = Side.CENTRE) -> int:
        """Add a point of a knuckle; it moves only with the axle where the spec lacks the parts that would turn it."""
        try:
            return self._steered(lambda steered: steered.point(point, turns_on), point, path, side)
        except (Missing, Unreached):
            return self._carried(point, path, side)

    def _ends(self, part: Part, frame: Point, axle: Point) -> tuple[int, int]:
        ends = (
            self._fixed(frame, part.path_of("frame"), part.side),
            self._carried(axle, part.path_of("axle"), part.side),
        )
        self._places.setdefault((part.path, part.side), ends[1])
        return ends

    # What holds the axle, and the axle.

    def _axle(self) -> Iterator[Member]:
        axle = self._build.axle
        centre = self._carried(axle_centre(self._build), axle.path_of("centre"))
        self._places[axle.path, Side.CENTRE] = self._places["travel", Side.CENTRE] = centre
        yield Member("axle", "axle centre", Side.CENTRE, axle.path, "spot", (centre,))
        if axle.has("tube"):
            tube = axle.tube
            ends = (
                self._carried(tube.left_end, tube.path, Side.LEFT),
                self._carried(tube.right_end, tube.path, Side.RIGHT),
            )
            self._places[tube.path, Side.CENTRE] = ends[0]
            yield Member("axle", "axle tube", Side.CENTRE, tube.path, "bar", ends, _size(tube, "outside_diameter"))
        if axle.has("centre_section"):
            section = axle.centre_section
            middle = self._carried(section.centre, section.path)
            yield Member("axle", "centre section", Side.CENTRE, section.path, "disc", (middle,), 2 * section.radius)

    def _wheels(self) -> Iterator[Member]:
        vehicle, (x, y, z) = self._build.vehicle, axle_centre(self._build)
        tyre = vehicle.tyre
        diameter = tyre.diameter if tyre.has("diameter") else 2 * tyre.static_radius
        # A wheel without a width in the spec is drawn as a thin disc.
        width, half = (tyre.width if tyre.has("width") else 0.05), vehicle.track / 2
        for side, sign in ((Side.LEFT, 1.0), (Side.RIGHT, -1.0)):
            faces = [Point(x, y + sign * (half + out * width / 2), z) for out in (1.0, -1.0)]
            points = tuple(self._on_knuckle(face, side) for face in faces)
            self._places[tyre.path, side] = self._places[vehicle.path_of("track"), side] = points[0]
            yield Member("tyre", f"{side} tyre", side, tyre.path, "wheel", points, diameter)

    def _links(self) -> Iterator[Member]:
        for name in sorted(self._build.links):
            for link in self._build.links[name]:
                yield from _until_missing(self._link(link))

    def _link(self, link: Part) -> Iterator[Member]:
        size = _size(link.tube, "outside_diameter") if link.has("tube") else 0.0
        ends = self._ends(link, link.frame, held_point(link))  # type: ignore[arg-type]
        yield Member("link", link.label, link.side, link.path, "bar", ends, size)
        if link.kind == "radius-arm":  # the yoke at its end, which holds the axle at two joints
            joints = [
                self._carried(getattr(link, name), link.path_of(name), link.side)
                for name in ("axle_upper", "axle_lower")
            ]
            yield Member("link", f"{link.label} yoke", link.side, link.path, "line", (joints[0], joints[1]))

    def _lateral_bar(self) -> Iterator[Member]:
        bar = self._build.lateral_bar
        size = _size(bar.tube, "outside_diameter") if bar.has("tube") else 0.0
        yield Member("bar", bar.label, Side.CENTRE, bar.path, "bar", self._ends(bar, bar.frame, bar.axle), size)

    # Steering.

    def _steering(self) -> Iterator[Member]:
        yield from _until_missing(self._kingpins())
        yield from _until_missing(self._drag_link())
        yield from _until_missing(self._tie_rod())
        yield from _until_missing(self._stabiliser())

    def _kingpins(self) -> Iterator[Member]:
        for pin in self._build.steering.kingpins:
            centre = self._carried(pin.centre, pin.path, pin.side)
            self._places.setdefault((self._build.steering.path, Side.CENTRE), centre)
            yield Member("steering", pin.label, pin.side, pin.path, "spot", (centre,))

    def _drag_link(self) -> Iterator[Member]:
        steering = self._build.steering
        link = steering.drag_link
        side = Side(link.knuckle)
        pitman = self._steered(lambda steered: steered.pitman_end, link.pitman, link.path_of("pitman"))
        arm = self._steered(lambda steered: steered.arm_end, link.arm, link.path_of("arm"))
        self._places[link.path, Side.CENTRE] = arm
        size = _size(link.tube, "outside_diameter") if link.has("tube") else 0.0
        if steering.has("pitman_arm"):
            pivot = self._fixed(steering.pitman_arm.pivot, steering.pitman_arm.path)
            yield Member("steering", "pitman arm", Side.CENTRE, steering.pitman_arm.path, "line", (pivot, pitman))
        pin = self._places.get((steering.kingpins[side].path, side))
        if pin is not None and joined_of(steering) is not Joined.LINK_ON_ROD:
            yield Member("steering", "steering arm", side, link.path_of("arm"), "line", (pin, arm))
        yield Member("steering", link.label, Side.CENTRE, link.path, "bar", (pitman, arm), size)

    def _tie_rod(self) -> Iterator[Member]:
        steering = self._build.steering
        rod = steering.tie_rod
        ends = []
        for side, end in ((Side.LEFT, rod.left), (Side.RIGHT, rod.right)):
            path = rod.path_of(side.value)
            if joined_of(steering) is Joined.ROD_ON_LINK and side == steering.drag_link.knuckle:
                ends.append(self._steered(lambda steered, side=side: steered.rod_end(side), end, path))  # type: ignore[misc]
                continue
            ends.append(self._on_knuckle(end, side, path))
            pin = self._places.get((steering.kingpins[side].path, side))
            if pin is not None:
                yield Member("steering", f"{side} tie rod arm", side, path, "line", (pin, ends[-1]))
        self._places[rod.path, Side.CENTRE] = ends[0]
        size = _size(rod.tube, "outside_diameter") if rod.has("tube") else 0.0
        yield Member("steering", rod.label, Side.CENTRE, rod.path, "bar", (ends[0], ends[1]), size)

    def _stabiliser(self) -> Iterator[Member]:
        damper = self._build.steering.stabiliser
        fixed = self._carried if damper.fixed_to == "axle" else self._fixed
        moving = self._steadied()
        if moving is not None:
            ends = (fixed(damper.fixed, damper.path_of("fixed")), moving)
            self._places[damper.path, Side.CENTRE] = moving
            yield Member("stabiliser", damper.label, Side.CENTRE, damper.path, "line", ends)

    def _steadied(self) -> int | None:
        """Add the moving end of the stabiliser: on the steering arm, or at its share of the rod that it steadies, with
        the offset from the rod that the spec gives; the rod is assumed not to roll about itself. None without the
        rod."""
        steering = self._build.steering
        damper = steering.stabiliser
        path, placed = damper.path_of("moving"), np.array(damper.moving)
        if damper.steadies == "steering-arm":
            return self._on_knuckle(damper.moving, Side(steering.drag_link.knuckle), path)
        tie_rod = damper.steadies == "tie-rod"
        rod, names = (steering.tie_rod, ("left", "right")) if tie_rod else (steering.drag_link, ("pitman", "arm"))
        numbers = [self._places.get((rod.path_of(name), Side.CENTRE)) for name in names]
        first, last = (None if number is None else self._points[number] for number in numbers)
        if first is None or last is None:
            return None
        start, end = (np.array(getattr(rod, name)) for name in names)
        share = float((placed - start) @ (end - start) / ((end - start) @ (end - start)))
        aside = placed - start - share * (end - start)
        return self._keep(first + share * (last - first) + aside[:, None], path)

    # Springs, straps, stops, brake lines and driveline.

    def _coilovers(self) -> Iterator[Member]:
        for part in self._named("coilovers"):
            size = _size(part, "body_diameter")
            yield Member(
                "coilover", part.label, part.side, part.path, "coil", self._ends(part, part.frame, part.axle), size
            )

    def _straps(self) -> Iterator[Member]:
        for part in self._named("limit_straps"):
            yield Member("strap", part.label, part.side, part.path, "line", self._ends(part, part.frame, part.axle))

    def _stops(self) -> Iterator[Member]:
        for stop in self._named("bump_stops"):
            on_axle = stop.mounted_on == "axle"
            place, landing = (self._carried, self._fixed) if on_axle else (self._fixed, self._carried)
            way = np.array(stop.axis) / np.linalg.norm(stop.axis)
            base = place(stop.base, stop.path_of("base"), stop.side)
            tip = place(Point(*(np.array(stop.base) + stop.free_length * way)))
            target = landing(stop.target, stop.path_of("target"), stop.side)
            self._places[stop.path, stop.side] = base
            size = _size(stop, "diameter")
            yield Member("stop", stop.label, stop.side, stop.path, "bar", (base, tip), size)
            yield Member("stop", f"{stop.label} target", stop.side, stop.path, "spot", (target,))

    def _brake_lines(self) -> Iterator[Member]:
        for hose in self._named("brake_lines"):
            frame = self._fixed(hose.frame, hose.path_of("frame"), hose.side)
            side = Side.LEFT if hose.axle.y > 0 else Side.RIGHT
            place = (hose.axle, side) if hose.moves_with == "knuckle" else None
            ends = (hose.path_of("axle"), hose.side)
            axle = self._carried(hose.axle, *ends) if place is None else self._on_knuckle(*place, *ends)
            self._places[hose.path, hose.side] = axle
            yield Member("hose", hose.label, hose.side, hose.path, "line", (frame, axle))

    def _driveline(self) -> Iterator[Member]:
        pinion = self._build.axle.pinion
        joint = self._carried(pinion.point, pinion.path)
        section = self._build.axle.centre_section.path if self._build.axle.has("centre_section") else ""
        middle = self._places.get((section, Side.CENTRE))
        if middle is not None:
            yield Member("axle", "pinion", Side.CENTRE, pinion.path, "line", (middle, joint))
        shaft = self._build.driveshaft
        output = self._fixed(shaft.output.point, shaft.output.path)
        for path, number in (("output_joint", output), ("pinion_joint", joint)):
            self._places[shaft.path_of(path), Side.CENTRE] = number
        self._places[shaft.path, Side.CENTRE] = joint
        size = _size(shaft.tube, "outside_diameter") if shaft.has("tube") else 0.0
        yield Member("driveshaft", "driveshaft", Side.CENTRE, shaft.path, "bar", (output, joint), size)
        bearing = shaft.carrier_bearing
        ahead = self._fixed(bearing.gearbox_point, bearing.path_of("gearbox_point"))
        held = self._fixed(bearing.point, bearing.path_of("point"))
        self._places[bearing.path, Side.CENTRE] = held
        yield Member("driveshaft", "front shaft", Side.CENTRE, bearing.path, "line", (ahead, held, output))
        yield Member("driveshaft", "gearbox joint", Side.CENTRE, bearing.path, "spot", (ahead,))
        yield Member("driveshaft", "carrier bearing", Side.CENTRE, bearing.path, "spot", (held,))

    def _named(self, section: str) -> Iterator[Part]:
        named = getattr(self._build, section)
        return (part for name in sorted(named) for part in named[name])

    def _obstacles(self) -> Iterator[Member]:
        for name in sorted(self._build.vehicle.obstacles):
            yield from _until_missing(self._obstacle(self._build.vehicle.obstacles[name]))

    def _obstacle(self, part: Obstacle) -> Iterator[Member]:
        if part.shape == "box":
            corners = (self._fixed(part.lower), self._fixed(part.upper))
            self._fixed(Point(*np.add(part.lower, part.upper) / 2), part.path)
            yield Member("obstacle", part.label, Side.CENTRE, part.path, "box", corners)
        elif part.shape in ("cylinder", "capsule"):
            ends = (self._fixed(part.start, part.path), self._fixed(part.end))
            yield Member("obstacle", part.label, Side.CENTRE, part.path, "bar", ends, 2 * part.radius)
        else:  # a half-space has no outline; only the point that places it can be shown
            yield Member("obstacle", part.label, Side.CENTRE, part.path, "spot", (self._fixed(part.point, part.path),))

    # Items that follow from the motion.

    def _instant_centre(self) -> Iterator[Member]:
        if not self._moving:
            return
        found = self._moving.handling.instant_centre
        centre = self._carry(axle_centre(self._build))
        reach = np.clip(np.where(np.isfinite(found.x), found.x - centre[0], FARTHEST), -FARTHEST, FARTHEST)
        point = np.array([centre[0] + reach, centre[1], centre[2] + found.slope * reach])
        numbers = (self._places[self._build.axle.path, Side.CENTRE], self._keep(point))
        yield Member("instant centre", "instant centre", Side.CENTRE, "", "axis", numbers)
        yield Member("instant centre", "instant centre", Side.CENTRE, "", "spot", (numbers[1],))

    def _roll_axis(self) -> Iterator[Member]:
        if not self._moving:
            return
        found = self._moving.handling.roll_centre
        x = self._carry(axle_centre(self._build))[0]
        middle = self._keep(np.array([x, found.lateral, found.z]))
        ends = [self._keep(np.array([x + way, found.lateral, found.z + found.axis_slope * way])) for way in (-0.6, 0.6)]
        yield Member("roll axis", "roll axis", Side.CENTRE, "", "axis", (ends[0], ends[1]))
        yield Member("roll axis", "roll centre", Side.CENTRE, "", "spot", (middle,))


def _until_missing(members: Iterator[Member]) -> Iterator[Member]:
    """Yield members up to the first that the spec does not place."""
    try:
        yield from members
    except (Missing, Unreached):
        return


def _size(part: Part, name: str) -> float:
    return float(getattr(part, name)) if part.has(name) else 0.0
