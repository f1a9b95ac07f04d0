"""Gussets and the brace of a bracket."""

from buildcheck.build.field import field
from buildcheck.build.linkage import JointBolt, Tube
from buildcheck.build.part import Length, MetalName, Part, Point


class Gussets(Part):
    """Gussets, or the sides of a box, that hold the plates of a bracket against bending across their flat."""

    kind: str = field(
        "`triangle` for gussets with one free edge, `box` for sides that the plates hold at both edges.",
        one_of=("triangle", "box"),
        example="box",
    )
    count: int = field("How many.", between=(1, 12), example=2)
    thickness: Length = field("Thickness of each.", between=("0.5 mm", "60 mm"), example="1/4 in")
    width: Length = field(
        "How far each reaches along the foot, square to the flat of the plates; of a box, the distance between its "
        "plates.",
        between=("5 mm", "1 m"),
        example="2 in",
    )
    height: Length = field(
        "How far up the plates each reaches, from the foot.", between=("5 mm", "800 mm"), example="3 in"
    )
    weld_leg: Length = field(
        "Leg of the fillets on both sides of its foot, and along the plate.",
        between=("1 mm", "40 mm"),
        example="3/16 in",
    )


class Brace(Part):
    """A tube that holds a bracket sideways (along y), against the frame or the axle beyond its own foot."""

    bracket_end: Point = field("Where its centre line meets the bracket.", example=(5.5, 16, 24))
    far_end: Point = field("Where its centre line meets what it is held by.", example=(5.5, -13, 31))
    tube: Tube
    ends: str = field("How its two ends are fixed.", one_of=("welded", "bolted"), example="welded")
    weld_leg: Length = field(
        "Leg of the fillet all round each welded end.", between=("1 mm", "40 mm"), example="3/16 in"
    )
    far_material: MetalName = field("Material of what its far end is welded to.")
    bolt: JointBolt
