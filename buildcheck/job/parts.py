"""Properties of the parts of a build that do not need the motion: which there are, their lengths, their materials."""

from __future__ import annotations

from typing import Any

from buildcheck.build import Build, Missing, Point, Side, Sides
from buildcheck.build.attachment import Attachment
from buildcheck.build.chassis import AxleEnds, AxleTube, CentreSection, Frame
from buildcheck.build.driveline import BrakeLine, CarrierBearing
from buildcheck.build.linkage import DragLink, Joint, LateralBar, Link, PitmanArm, Stabiliser, TieRod
from buildcheck.build.measured import Measured, Place, Unreadable, counts, places_measured, read_measurement
from buildcheck.build.part import METALS, KnownBy, PartType
from buildcheck.build.records import Measurement
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.build.tools import tolerance_of
from buildcheck.job import tube_cut
from buildcheck.job.layout import ASSUMED_STIFFNESS, distance, held_point, made_length, off_rod, refuse_no_length
from buildcheck.job.load_rows import END_NAMES
from buildcheck.job.tube_cut import Rod
from buildcheck.strength.load_cases import GRAVITY

# Sections whose parts brackets can hold.
HELD = (
    BrakeLine,
    BumpStop,
    CarrierBearing,
    Coilover,
    DragLink,
    LateralBar,
    LimitStrap,
    Link,
    PitmanArm,
    Stabiliser,
    TieRod,
)


class Parts:
    """The parts of a build."""

    build: Build

    @property
    def links(self) -> list[Link]:
        """Control links, by name, left before right. Raises Missing when the spec has none."""
        named = self.build.links
        found = [link for name in sorted(named) for link in named[name]]
        if not found:
            raise Missing("links")
        return found

    # The parts that work on one side, by their names.

    def coilovers_of(self, side: Side) -> list[Coilover]:
        """Coilovers and dampers of one side. Raises Missing when the spec has none there."""
        return self._of_side("coilovers", side)

    def limit_straps_of(self, side: Side) -> list[LimitStrap]:
        """Limit straps of one side, and those in the middle. Raises Missing when the spec has none."""
        return self._of_side("limit_straps", side)

    def bump_stops_of(self, side: Side) -> list[BumpStop]:
        """Bump stops of one side, and those in the middle. Raises Missing when the spec has none."""
        return self._of_side("bump_stops", side)

    def _of_side(self, section: str, side: Side) -> list[Any]:
        named = getattr(self.build, section)
        found = [named[name][each] for name in sorted(named) for each in (side, Side.CENTRE) if each in named[name]]
        if not found:
            raise Missing(f"{section}.{next(iter(sorted(named)))}.{side.value}")
        return found

    def wheel_load(self) -> float:
        """Load on one wheel of this axle at rest, N: half of the scale weight on the axle."""
        return self.build.vehicle.axle_load * GRAVITY / 2

    def usual_stiffness(self, joint: Joint) -> float:
        """Radial stiffness that is assumed of a joint of its kind where none is stated, N/m."""
        return {**ASSUMED_STIFFNESS, **self.build.additions.joint_kinds}[joint.kind]

    # Measurements on the vehicle.

    def tolerance(self, tool: KnownBy) -> float:
        """Return plus or minus of a reading by this tool, SI, as `records` states it; where it does not, the usual
        one."""
        return tolerance_of(self.build, tool)

    def counts(self, measurement: Measurement) -> bool:
        """Return whether no measurement of the same place is of a later stage or day: the part may have been moved
        since an old one."""
        return counts(self.build, measurement)

    def measured_again(self) -> list[Place]:
        """Return the places of which more than one reading counts."""
        return [place for place in places_measured(self.build) if len(place.readings) > 1]

    def measured(self, measurement: Measurement) -> Measured:
        """Return a recorded measurement with the spec's value, SI. Raises ValueError for one that is `unreadable`."""
        return read_measurement(self.build, measurement)

    def unreadable(self, measurement: Measurement) -> str:
        """Reason why a recorded measurement cannot be compared with the build: the spec has no such value, or the
        measurement is not an amount of that kind. "" where it can."""
        try:
            read_measurement(self.build, measurement)
        except Unreadable as error:
            return str(error)
        return ""

    # Parts by their place in the spec.

    def cannot_hold(self, bracket: Attachment, path: str) -> str:
        """Reason why a bracket cannot hold the part at a spec path, in words; "" where it can. A path may omit the
        side."""
        try:
            found = self.build.value(path)
            part, _, end = path.rpartition(".")
            if isinstance(found, Point) and end in END_NAMES:  # one end of a part
                found, path = self.build.value(part), part
        except (Missing, ValueError):
            if end_of_pair := self._end_of_pair(path):
                return self.cannot_hold(bracket, end_of_pair)
            return f"{path} is not in the spec"
        parts = list(found) if isinstance(found, Sides) else [found]
        if not all(isinstance(part, HELD) for part in parts):
            return f"{path} is not a part that a bracket can hold"
        sides = {part.side for part in parts} if not path.endswith(".both") else {bracket.side}
        if bracket.side is not Side.CENTRE and not sides & {bracket.side, Side.CENTRE}:
            return f"{path} is not on the same side as the {bracket.label}"
        return ""

    def _end_of_pair(self, path: str) -> str:
        """The path of the pair of which a path names one end without a side, as `links.arm.frame`; "" for any other."""
        part, _, end = path.rpartition(".")
        try:
            found = self.build.value(part)
        except (Missing, ValueError):
            return ""
        both = isinstance(found, Sides) and end in END_NAMES and all(each.has(end) for each in found)
        return part if both else ""

    def same(self, part: PartType) -> PartType:
        """Return the part of this job's build at the same place as a part of another build, for a changed build."""
        path = part.path.removesuffix(".both")
        where = f"{path}.{part.side}" if path != part.path else path
        found = self.build.value(where)
        assert isinstance(found, type(part))
        return found

    def off_the_other_link(self) -> tuple[str, float] | None:
        """End of a steering link on the other link: its spec path, and its distance from the other link, m. None where
        both end on knuckles; raises Missing for what the spec lacks."""
        link, rod = self.build.steering.drag_link, self.build.steering.tie_rod
        if link.has("ends_on") and link.ends_on == "tie-rod":
            return link.path_of("arm"), off_rod(link.arm, rod.left, rod.right)
        if rod.has("joined_to") and rod.joined_to == "drag-link":
            end = link.knuckle
            return rod.path_of(end), off_rod(getattr(rod, end), link.pitman, link.arm)
        return None

    @property
    def drag_link_length(self) -> float:
        """Length of the drag link, joint centre to joint centre, m. Raises Unreached where it has none."""
        link = self.build.steering.drag_link
        refuse_no_length(link, link.pitman, link.arm)
        return distance(link.pitman, link.arm)

    def has_one_tube(self, rod: Rod) -> bool:
        """Whether a link, bar or steering rod is one straight tube from joint to joint; a radius arm is not."""
        return tube_cut.has_one_tube(rod)

    def tube_cut(self, rod: Rod) -> float:
        """Length to which the tube of a rod is cut, m. Raises Missing for what its joints lack."""
        return tube_cut.tube_cut(rod)

    def between_shanks(self, rod: Rod) -> float:
        """Distance between the ends of the shanks inside the tube of a rod, m; negative where they would meet. Raises
        Missing."""
        return tube_cut.between_shanks(rod)

    def made_length(self, part: Link | LateralBar) -> float:
        """Length of a link or bar as made, m: as stated, else the distance between its points. Raises Unreached where
        it has none."""
        if not part.has("length"):
            refuse_no_length(part, part.frame, held_point(part))
        return made_length(part)

    def direction(self, part: Link | LateralBar | Coilover | LimitStrap) -> tuple[float, ...]:
        """Vector from the axle end of a part to its frame end, m, vehicle axes, as drawn; a link or bar ends where it
        holds the axle. Raises Unreached for a part without a length."""
        refuse_no_length(part, part.frame, held_point(part))
        return tuple(frame - axle for frame, axle in zip(part.frame, held_point(part), strict=True))

    def drawn_length(self, part: Link | LateralBar) -> float:
        """Distance between a link's or bar's points, m, whatever its length as made."""
        return distance(part.frame, held_point(part))

    def parent_material(self, bracket: Attachment) -> str:
        """Material to which a bracket is fixed: as the bracket states it, or that of the axle part or frame that it
        names.

        Where the two differ it is the one that is harder to weld, so that neither statement hides the other. Raises
        Missing where the spec states neither.
        """
        return max(self.parent_materials(bracket).values(), key=METALS.index)

    def parent_materials(self, bracket: Attachment) -> dict[str, str]:
        """Every material that the spec states for the part to which a bracket is fixed, by the bracket's field that
        gives it: `parent_material`, and `parent` for that of the axle part or frame. Raises Missing where the spec
        states none."""
        found: dict[str, str] = {}
        if bracket.has("parent_material"):
            found["parent_material"] = bracket.parent_material
        try:
            # A crossmember may be of another material than the frame, so its own statement is no contradiction.
            if not found or bracket.parent != "crossmember":
                found["parent"] = self.parent_of(bracket).material
        except Missing:
            if not found:
                raise
        return found

    def parent_of(self, bracket: Attachment) -> Frame | CentreSection | AxleTube | AxleEnds:
        """Part of the spec to which a bracket is fixed. Raises Missing where the spec lacks it, and for a knuckle,
        which is not a part in a spec."""
        build = self.build
        if bracket.parent in ("frame", "crossmember"):
            return build.vehicle.frame
        if bracket.parent == "centre-section":
            return build.axle.centre_section
        if bracket.parent == "axle-tube":
            return build.axle.tube
        if bracket.parent == "axle-end":
            return build.axle.ends
        raise Missing(bracket.path_of("parent_material"))
