"""A part as simple solids, and the names of the parts that a build has once."""

from __future__ import annotations

from dataclasses import dataclass

from buildcheck.build import Side
from buildcheck.clearance.solids import Solid

LEFT, RIGHT = Side.LEFT, Side.RIGHT
TYRES = {LEFT: "left tyre", RIGHT: "right tyre"}
ARMS = {LEFT: "left steering arm", RIGHT: "right steering arm"}
AXLE, BAR, DRAG_LINK, TIE_ROD, DRIVESHAFT = "axle", "lateral bar", "drag link", "tie rod", "driveshaft"
PITMAN_ARM, DAMPER = "pitman arm", "steering damper"
KNUCKLES = {LEFT: "left knuckle", RIGHT: "right knuckle"}
CALIPERS = {LEFT: "left caliper", RIGHT: "right caliper"}


@dataclass(frozen=True, slots=True)
class Body:
    """A part as solids: points (3, poses, locks), with an axis of length one where it does not move with either.

    `name` is its own, `label` its name in messages, `kind` the kind of part; `path` is the input to change to move it
    out of the way. `holds` are the kinds and names of the parts that it is joined to, or designed to touch; `turns` is
    whether it turns with the wheels.
    """

    name: str
    label: str
    kind: str
    path: str
    solids: tuple[Solid, ...]
    holds: frozenset[str]
    turns: bool = False
