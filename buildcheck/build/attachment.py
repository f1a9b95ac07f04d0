"""How a bracket is held to its parent: bolts, welds, and both materials."""

from buildcheck.build.part import (
    Angle,
    Current,
    Force,
    Length,
    MetalName,
    Part,
    Point,
    Pressure,
    Speed,
    Temperature,
    Torque,
    Voltage,
)


class Bolts(Part):
    size: str
    grade: str
    count: int
    shear_planes: int
    threads_in_shear_plane: bool
    torque: Torque
    thread_condition: str
    preload: Force
    locked_by: str
    hole_diameter: Length
    edge_distance: Length
    proof_strength: Pressure


class Tacks(Part):
    count: int
    length: Length


class Weld(Part):
    """The weld of a bracket, and how it is made."""

    kind: str
    leg: Length
    length: Length
    process: str
    filler: str
    preheat: Temperature
    interpass: Temperature
    post_heat: Temperature
    cooling: str
    peened: bool
    tacks: Tacks
    current: Current
    voltage: Voltage
    travel_speed: Speed


class Attachment(Part):
    """One bracket and what it is fixed to."""

    holds: tuple[str, ...]
    parent: str
    parent_material: MetalName
    parent_thickness: Length
    bracket_material: MetalName
    bracket_thickness: Length
    point: Point
    rotation: Angle
    height: Length
    braced: bool
    method: str
    design_load: Force
    bolts: Bolts
    weld: Weld
