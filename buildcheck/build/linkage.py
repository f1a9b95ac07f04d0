"""What locates the axle and what steers it: links, lateral bar, drag link and tie rod."""

from collections.abc import Mapping
from typing import Any

from buildcheck.build.part import (
    Angle,
    Force,
    Length,
    Part,
    Point,
    Pressure,
    Sides,
    Stiffness,
    TorsionalStiffness,
    Vector,
)


class Tube(Part):
    outside_diameter: Length
    wall: Length
    material: str
    grade: str
    yield_strength: Pressure


class Joint(Part):
    """A joint at one end of a link or bar."""

    kind: str
    radial_stiffness: Stiffness
    torsional_stiffness: TorsionalStiffness
    misalignment: Angle
    load_rating: Force
    thread: str
    axis: Vector


class TwoJoints(Part):
    frame: Joint
    axle: Joint


class LinkJoints(TwoJoints):
    axle_upper: Joint
    axle_lower: Joint


class Link(Part):
    """A control link: `two-point`, or a `radius-arm` that holds the axle at two joints."""

    kind: str
    frame: Point
    axle: Point
    axle_upper: Point
    axle_lower: Point
    length: Length
    tube: Tube
    joints: LinkJoints

    @classmethod
    def called(cls, name: str, data: Mapping[str, Any]) -> str:
        """`lower` is a `lower link`; a radius arm is an `arm`, whatever the spec's key."""
        noun = "arm" if data.get("kind") == "radius-arm" else "link"
        return name if noun in name.split() else f"{name} {noun}"


class BarBracket(Part):
    """The bracket at one end of the lateral bar."""

    height: Length
    braced: bool


class LateralBar(Part):
    """The bar that holds the axle sideways."""

    frame: Point
    axle: Point
    length: Length
    tube: Tube
    joints: TwoJoints
    frame_bracket: BarBracket
    axle_bracket: BarBracket


class PitmanArm(Part):
    pivot: Point
    axis: Vector


class DragLinkJoints(Part):
    pitman: Joint
    arm: Joint


class DragLink(Part):
    pitman: Point
    arm: Point
    knuckle: str
    tube: Tube
    joints: DragLinkJoints


class TieRodJoints(Part):
    left: Joint
    right: Joint


class TieRod(Part):
    left: Point
    right: Point
    tube: Tube
    joints: TieRodJoints


class Kingpin(Part):
    """A point on the steering axis of one knuckle."""

    centre: Point


class Steering(Part):
    layout: str
    box_side: str
    pitman_arm: PitmanArm
    drag_link: DragLink
    tie_rod: TieRod
    kingpins: Sides[Kingpin]
    lock_angle: Angle
