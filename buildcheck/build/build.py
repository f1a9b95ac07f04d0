"""The whole build, and reading it from the data of a valid spec."""

from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import Any

from buildcheck.build.attachment import Attachment
from buildcheck.build.chassis import Axle, LoadCases, Travel, Vehicle
from buildcheck.build.driveline import BrakeLine, Driveshaft
from buildcheck.build.field import field
from buildcheck.build.linkage import LateralBar, Link, Steering
from buildcheck.build.part import Missing, Part, Point, Side, Sides, Unit, Vector
from buildcheck.build.records import MayMove, PackedPart, Records, Stage, Support, Waiver
from buildcheck.build.springs import BumpStop, Coilover, LimitStrap
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.place import split
from buildcheck.spec.quantity import System

INTENDED_USES = ("street", "street-and-trail", "trail", "desert", "work")
"""The intended uses that a spec may state."""


class BuildInformation(Part):
    """The job."""

    name: str = field("Name of the build.", for_people=True, example="Tamarack")
    shop: str = field("Who builds it.", for_people=True, example="a shop of your own")
    stage: Stage = field("How far the job is.")
    intended_use: str = field(
        "Intended use of the vehicle.",
        one_of=INTENDED_USES,
        example="street-and-trail",
    )
    revision: str = field("Revision of this spec.", for_people=True, example="A")
    date: str = field("Date of this revision.", form="date", for_people=True)
    notes: str = field("Anything else.", longest=2000, for_people=True, example="Old leaf packs kept.")


class Build(Part):
    """One axle of one vehicle that goes from leaf springs to links: its geometry, springs, stops, brackets, welds
    and records. A spec may be partial; what is absent is reported as not checked.

    `additions` are the names that plugins add, as it was read with them; they are no field of the spec.
    """

    additions = NOTHING_ADDED  # without an annotation, which would make it a field of the spec

    format: int = field("Version of this format.", one_of=(1,), needed=True)
    units: System = field(
        "Units of a bare number: `inch-pound` is in, lb, lbf, lb/in, psi, lb-ft, degF; `metric` is mm, kg, N, "
        "N/mm, MPa, N·m, degC. Angles are in degrees in both.",
        needed=True,
    )
    build: BuildInformation
    vehicle: Vehicle
    axle: Axle
    links: dict[str, Sides[Link]] = field(
        "Control links, by name: the two arms of a radius-arm layout are one entry with two sides."
    )
    lateral_bar: LateralBar
    steering: Steering
    coilovers: dict[str, Sides[Coilover]] = field(
        "Coilovers, and dampers without a spring, by name; a pair is one entry with two sides."
    )
    limit_straps: dict[str, Sides[LimitStrap]] = field(
        "Limit straps, by name; a pair is one entry with two sides, a single one at the middle is `centre`."
    )
    bump_stops: dict[str, Sides[BumpStop]] = field(
        "Bump stops, by name; a second pair that works after the first is an entry of its own."
    )
    driveshaft: Driveshaft
    brake_lines: dict[str, Sides[BrakeLine]] = field(
        "The flexible lines to this axle, by name: brake lines, and any other line that must not become too short, "
        "such as the wire of a wheel-speed sensor."
    )
    attachments: dict[str, Sides[Attachment]] = field("Every bracket and how it is fixed, by name.")
    travel: Travel
    load_cases: LoadCases
    records: Records
    parts: dict[str, PackedPart] = field(
        "The packing list against what arrived, by name.",
        example={"coilover": {"ordered": 2, "arrived": 2, "inspected": True}},
    )
    support: Support
    may_move: tuple[MayMove, ...] = field(
        "What a work order may move and how far, such as along the holes of the rail or a slot, and what is fixed.",
        how_many=(0, 100),
        example=(
            {"of": "links.arm.both.frame", "axis": "z", "least": "-3 in", "most": "1 in", "step": "1/2 in"},
            {"of": "lateral_bar.frame", "fixed": True},
        ),
    )
    waivers: tuple[Waiver, ...] = field(
        "Accepted deviations: a reading of this rule at this place, or below it, counts as waived. It stays in "
        "the record.",
        how_many=(0, 100),
        example=(
            {
                "rule": "link-flatness",
                "place": "links.arm.left.frame",
                "reason": "clears the crossmember",
                "who": "shop foreman",
                "date": "2026-03-14",
                "until_stage": "cycled",
            },
        ),
    )
    shop: Any = field(
        "A shop's own fields, each under the key of the plugin that owns and checks them. A key that no plugin in "
        "use owns is reported as not checked.",
        as_written="group",
        example={"bay": 3},
    )

    def value(self, path: str) -> Any:
        """The value at a spec path, for the left side where it is written once under `both`.

        Raises Missing when the spec has nothing there.
        """
        found: Any = self
        for step in split(path):
            found = _step_into(found, step, path)
        return found

    def with_value(self, path: str, value: Any) -> "Build":
        """A copy of the build with another value at a spec path; under `both` it changes both sides.

        `path` may go on into a point: `lateral_bar.frame.z`. Its last key may be one that the spec lacks.
        Raises Missing when the spec lacks the part that would hold it, and AttributeError for an unknown key.
        """
        changed = _with_value(self, split(path), value, path, mirrored=False)
        assert isinstance(changed, Build)
        return changed


def read_build(data: Mapping[str, Any], additions: Additions = NOTHING_ADDED) -> Build:
    """The build that a valid spec describes.

    The data must have passed the schema; every number becomes SI, and `both` becomes left and right. `additions` are
    the names that plugins add, by which the schema was checked.
    """
    unit = Unit(System(data["units"]), added_metals=additions.metals)
    build = Build.read(data, "", "", Side.CENTRE, unit)
    vars(build).update(additions=additions)
    return build


def read_again(build: Build, data: Mapping[str, Any], sections: Collection[str]) -> Build:
    """The build that a spec describes which differs in some sections from the one that this build was read from."""
    if "units" in sections:
        return read_build(data, build.additions)
    unit = Unit(build.units, added_metals=build.additions.metals)
    read = Build.read({name: data[name] for name in sections}, "", "", Side.CENTRE, unit)
    return build.changed(**read.given())


def _step_into(found: Any, step: str | int, path: str) -> Any:
    """Return the value under one key or index; raises Missing, with the whole path, where there is none."""
    if isinstance(found, Sides):
        side = Side.LEFT if step == "both" else step
        if side in found:
            return found[Side(str(side))]
    elif isinstance(found, Point | Vector):
        if step in found._fields:
            return getattr(found, str(step))
    elif isinstance(found, Mapping):
        if step in found:
            return found[step]
    elif isinstance(found, tuple | list):
        if isinstance(step, int) and step < len(found):
            return found[step]
    elif isinstance(found, Part) and step in found.given():
        return getattr(found, str(step))
    raise Missing(path)


def _with_value(old: Any, steps: list[str | int], value: Any, path: str, *, mirrored: bool) -> Any:
    if not steps:
        return value.mirrored() if mirrored and hasattr(value, "mirrored") else value
    step, rest = steps[0], steps[1:]
    if isinstance(old, Sides):
        parts = {part.side: part for part in old}
        for side in (Side.LEFT, Side.RIGHT) if step == "both" else (step,):
            flip = step == "both" and side is Side.RIGHT
            parts[Side(str(side))] = _with_value(_step_into(old, side, path), rest, value, path, mirrored=flip)
        return Sides(old.path, parts)
    if isinstance(old, Part):
        # The last key may be one that the spec lacks: that is how a value is added.
        current = _step_into(old, step, path) if rest else None
        return old.changed(**{str(step): _with_value(current, rest, value, path, mirrored=mirrored)})
    inner = _with_value(_step_into(old, step, path), rest, value, path, mirrored=mirrored)
    if isinstance(old, Point | Vector):
        return old._replace(**{str(step): -inner if mirrored and step == "y" else inner})
    if isinstance(old, Mapping):
        return MappingProxyType({**old, step: inner})
    return tuple(inner if index == step else item for index, item in enumerate(old))
