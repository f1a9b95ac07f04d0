"""The parts of a build, each with its lengths at ride height and what the spec says of its pieces.

The list is what is cut and ordered: links, rods, coilovers, straps, stops, hoses, shafts and brackets, each of left and
right by itself. A number that the spec does not give is None with its spec path, never zero.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from typing import Annotated, Any, NamedTuple, get_args, get_origin

from buildcheck.build import Build, Missing, Part, Point, Side
from buildcheck.build.attachment import Attachment, Bolts
from buildcheck.build.driveline import BrakeLine, CarrierBearing, Driveshaft, ShaftJoint
from buildcheck.build.linkage import (
    DragLink,
    Joint,
    JointBolt,
    LateralBar,
    Link,
    Section,
    Stabiliser,
    SteeringJoint,
    Stud,
    TieRod,
    Tube,
)
from buildcheck.build.part import fields, words
from buildcheck.build.springs import BumpStop, Coilover, CoilSpring, LimitStrap
from buildcheck.build.stiffeners import Brace
from buildcheck.job.curve import Unreached
from buildcheck.job.job import Job
from buildcheck.job.layout import distance, held_point, made_length
from buildcheck.spec.place import join
from buildcheck.spec.quantity import Dimension

Value = float | int | bool | str

LISTED: dict[type[Part], tuple[str, ...]] = {
    Tube: ("outside_diameter", "wall", "material", "grade"),
    Section: ("shape", "height", "width", "wall", "material", "grade"),
    Joint: ("kind", "thread", "thread_hand", "load_rating"),
    SteeringJoint: ("kind", "thread", "thread_hand", "load_rating"),
    Stud: ("diameter",),
    JointBolt: ("size", "grade", "grip", "torque", "locked_by"),
    Bolts: ("count", "size", "grade", "torque", "locked_by"),
    CoilSpring: ("rate", "free_length", "solid_length"),
    Coilover: (
        *("kind", "extended_length", "compressed_length", "preload", "body_diameter", "shaft_diameter"),
        *("gas_charged", "gas_pressure"),
    ),
    LimitStrap: ("length", "load_rating"),
    BumpStop: ("kind", "free_length", "crushed_length", "diameter", "stiffness", "gas_charged"),
    Stabiliser: ("extended_length", "compressed_length"),
    BrakeLine: ("free_length",),
    Driveshaft: ("shortest_length", "longest_length"),
    ShaftJoint: ("kind", "largest_angle"),
    Attachment: ("method", "bracket_material", "bracket_thickness"),
}
"""The fields of each class that a part is made or ordered by."""

SECTIONS = (
    *("links", "lateral_bar", "steering", "coilovers", "limit_straps", "bump_stops", "driveshaft", "brake_lines"),
    "attachments",
)
"""The sections of a spec that hold parts, in the order of the list."""


class Fact(NamedTuple):
    """The statement of a spec on a part under one field.

    `path` is its spec path, `name` the field in words, `value` SI, a word or a count; None where the spec does not
    state it. `dimension` is that of an amount.
    """

    path: str
    name: str
    value: Value | None
    dimension: Dimension | None


class Piece(NamedTuple):
    """A piece of a part: its tube, a joint with its bolt or stud, a spring, or an eye, which comes with the part.
    `stated` is False where the part has such a piece on the truck and the spec does not describe it; it then has no
    facts."""

    kind: str
    name: str
    path: str
    stated: bool
    facts: tuple[Fact, ...]


class Span(NamedTuple):
    """A length of a part between two of its points, m; None where it is not known, with `why`."""

    name: str
    value: float | None
    why: str = ""


class End(NamedTuple):
    """An end of a part, as the spec places it: m, vehicle axes (ISO 8855); None where the spec does not."""

    name: str
    path: str
    point: Point | None


class ListedPart(NamedTuple):
    """One part. Its first span is its length from joint centre to joint centre at ride height; a bump stop and a
    bracket have none."""

    kind: str
    label: str
    path: str
    side: Side
    spans: tuple[Span, ...]
    ends: tuple[End, ...]
    facts: tuple[Fact, ...]
    pieces: tuple[Piece, ...]

    @property
    def length(self) -> float | None:
        """Length from joint centre to joint centre at ride height, m; None where it is not known or there is none."""
        return self.spans[0].value if self.spans else None

    @property
    def unknown(self) -> tuple[str, ...]:
        """The spec paths of what the spec does not state of it."""
        stated = [fact for piece in self.pieces for fact in piece.facts]
        return (
            *(end.path for end in self.ends if end.point is None),
            *(piece.path for piece in self.pieces if not piece.stated),
            *(fact.path for fact in (*self.facts, *stated) if fact.value is None),
        )


class PartsList(NamedTuple):
    """All parts of a build, and the sections of the spec that are not there, whose parts are not known."""

    parts: tuple[ListedPart, ...]
    absent: tuple[str, ...]


def parts_list(build: Build) -> PartsList:
    """The parts of a build with their lengths at ride height.

    A link of a stated length has that length, and the ends of all else on the axle are where the axle then rests.
    """
    job = Job(build)
    absent = tuple(section for section in SECTIONS if not build.has(section))
    found = (part for section in SECTIONS if build.has(section) for part in _LISTS[section](job))
    return PartsList(tuple(found), absent)


# Each section.


def _links(job: Job) -> Iterator[ListedPart]:
    for name in sorted(job.build.links):
        for link in job.build.links[name]:
            yield _link(link)


def _link(link: Link) -> ListedPart:
    arm = link.kind == "radius-arm"
    names = ("frame", "axle_upper", "axle_lower") if arm else ("frame", "axle")
    to = "the middle of the axle joints" if arm else "axle joint"
    spans = [_span(f"frame joint to {to}", made_length, link)]
    if arm:
        for one, other, way in (
            ("frame", "axle_upper", "frame joint to upper axle joint"),
            ("frame", "axle_lower", "frame joint to lower axle joint"),
            ("axle_upper", "axle_lower", "upper to lower axle joint"),
        ):
            spans.append(_span(way, _within_arm, link, one, other))
    pieces = (*_body(link), *_joints(link, link.expects(Joint)))
    return _listed("radius arm" if arm else "link", link, spans, names, pieces)


def _within_arm(arm: Link, one: str, other: str) -> float:
    """Distance of two joints of a radius arm. Raises Unreached where the arm is made to a length that is not that of
    its points, so that these no longer say where its joints are."""
    if arm.has("length") and not math.isclose(arm.length, distance(arm.frame, held_point(arm)), abs_tol=1e-6):
        raise Unreached(f"{arm.path_of('length')} is not the distance of its points; correct one of them")
    return distance(getattr(arm, one), getattr(arm, other))


def _lateral_bar(job: Job) -> Iterator[ListedPart]:
    bar = job.build.lateral_bar
    spans = [_span("frame joint to axle joint", made_length, bar)]
    pieces = (*_body(bar), *_joints(bar, bar.expects(Joint)))
    yield _listed("lateral bar", bar, spans, ("frame", "axle"), pieces)


def _steering(job: Job) -> Iterator[ListedPart]:
    steering = job.build.steering
    for name, one, other in (("drag_link", "pitman", "arm"), ("tie_rod", "left", "right")):
        if steering.has(name):
            rod: DragLink | TieRod = getattr(steering, name)
            spans = [_span(f"{one} joint to {other} joint", _between, rod, one, other)]
            pieces = (*_body(rod), *_joints(rod, (f"joints.{one}", f"joints.{other}")))
            yield _listed(words(name), rod, spans, (one, other), pieces)
    if steering.has("stabiliser"):
        damper = steering.stabiliser
        spans = [_span("eye to eye", _between, damper, "fixed", "moving")]
        yield _listed("steering damper", damper, spans, ("fixed", "moving"), ())


def _coilovers(job: Job) -> Iterator[ListedPart]:
    for part in _named(job, "coilovers"):
        damper = part.has("kind") and part.kind == "damper"
        springs = tuple(_piece("spring", f"spring {number + 1}", each) for number, each in enumerate(_springs(part)))
        if not springs and not damper:
            springs = (_absent("spring", "springs", part.own_path_of("springs")),)
        pieces = (*springs, *_eyes(part))
        spans = [_span("eye to eye", _from_frame, job, part)]
        yield _listed("damper" if damper else "coilover", part, spans, ("frame", "axle"), pieces)


def _springs(part: Coilover) -> tuple[CoilSpring, ...]:
    return part.springs if part.has("springs") else ()


def _limit_straps(job: Job) -> Iterator[ListedPart]:
    for part in _named(job, "limit_straps"):
        spans = [_span("eye to eye", _from_frame, job, part)]
        yield _listed("limit strap", part, spans, ("frame", "axle"), _eyes(part))


def _bump_stops(job: Job) -> Iterator[ListedPart]:
    for part in _named(job, "bump_stops"):
        yield _listed("bump stop", part, [], ("base", "target"), ())


def _brake_lines(job: Job) -> Iterator[ListedPart]:
    for part in _named(job, "brake_lines"):
        spans = [_span("end to end, straight ahead", _from_frame, job, part)]
        yield _listed("brake line", part, spans, ("frame", "axle"), ())


def _driveshaft(job: Job) -> Iterator[ListedPart]:
    shaft = job.build.driveshaft
    spans = [_span("output joint to pinion joint", _shaft_length, job)]
    pieces = [*_body(shaft)]
    for end in ("output_joint", "pinion_joint"):
        pieces.append(_piece_of(shaft, end, "joint", words(end)))
    yield _listed("driveshaft", shaft, spans, (), pieces)
    if shaft.has("carrier_bearing"):
        yield _front_shaft(shaft, shaft.carrier_bearing)


def _front_shaft(shaft: Driveshaft, bearing: CarrierBearing) -> ListedPart:
    spans = [
        _span("gearbox joint to the joint behind the bearing", _ahead, bearing, shaft),
        _span("gearbox joint to bearing", _between, bearing, "gearbox_point", "point"),
    ]
    listed = _listed("front shaft", bearing, spans, ("gearbox_point", "point"), ())
    return listed._replace(label="front shaft")


def _ahead(bearing: CarrierBearing, shaft: Driveshaft) -> float:
    return distance(bearing.gearbox_point, shaft.output.point)


def _attachments(job: Job) -> Iterator[ListedPart]:
    for bracket in _named(job, "attachments"):
        bolted = bracket.has("method") and "bolted" in bracket.method
        pieces = (_piece_of(bracket, "bolts", "bolts", "bolts"),) if bolted or bracket.has("bolts") else ()
        yield _listed("bracket", bracket, [], (), pieces)
        if bracket.has("brace"):
            yield _brace(bracket.brace)


def _brace(brace: Brace) -> ListedPart:
    """A brace with its tube and, where its ends are bolted, the bolt of each."""
    spans = [_span("end to end", _between, brace, "bracket_end", "far_end")]
    pieces = [*_body(brace)]
    if brace.has("bolt") or (brace.has("ends") and brace.ends == "bolted"):
        pieces += [_piece_of(brace, "bolt", "bolt", f"{end} end, bolt") for end in ("bracket", "far")]
    return _listed("brace", brace, spans, ("bracket_end", "far_end"), pieces)


_LISTS: dict[str, Callable[[Job], Iterator[ListedPart]]] = {
    "links": _links,
    "lateral_bar": _lateral_bar,
    "steering": _steering,
    "coilovers": _coilovers,
    "limit_straps": _limit_straps,
    "bump_stops": _bump_stops,
    "driveshaft": _driveshaft,
    "brake_lines": _brake_lines,
    "attachments": _attachments,
}


# One part.


def _named(job: Job, section: str) -> Iterator[Any]:
    held = getattr(job.build, section)
    return (part for name in sorted(held) for part in held[name])


def _between(part: Part, one: str, other: str) -> float:
    return distance(getattr(part, one), getattr(part, other))


def _from_frame(job: Job, part: Coilover | LimitStrap | BrakeLine) -> float:
    return math.dist(part.frame, job.at_ride(part.axle))


def _shaft_length(job: Job) -> float:
    return math.dist(job.build.driveshaft.output.point, job.at_ride(job.build.axle.pinion.point))


def _span(name: str, length: Callable[..., float], *of: Any) -> Span:
    try:
        return Span(name, length(*of))
    except Missing as missing:
        return Span(name, None, f"the spec lacks {missing.path}")
    except Unreached as unreached:
        return Span(name, None, str(unreached))


def _listed(kind: str, part: Part, spans: Iterable[Span], ends: Iterable[str], pieces: Iterable[Piece]) -> ListedPart:
    placed = (
        End(words(name), part.own_path_of(name), getattr(part, name) if part.has(name) else None) for name in ends
    )
    path = part.own_path_of()
    return ListedPart(kind, part.label, path, part.side, tuple(spans), tuple(placed), _facts(part), tuple(pieces))


def _body(part: Link | LateralBar | DragLink | TieRod | Driveshaft | Brace) -> Iterator[Piece]:
    """The tube of a part, or the section that it has in place of one."""
    if isinstance(part, Link) and part.has("section"):
        yield _piece("section", "section", part.section)
    if not isinstance(part, Link) or not part.has("section") or part.has("tube"):
        yield _piece_of(part, "tube", "tube", "tube")


CALLED = {"axle_upper": "upper axle", "axle_lower": "lower axle"}


def _joints(part: Part, expected: Iterable[str]) -> Iterator[Piece]:
    """The joints that a part has on the truck, each with its bolt."""
    for path in expected:
        key = path.rpartition(".")[2]
        name = f"{CALLED.get(key, key)} joint"
        joints: Part | None = part.joints if part.has("joints") else None
        if joints is None or not joints.has(key):
            yield _absent("joint", name, join(part.own_path_of("joints"), key))
            continue
        joint: Joint = getattr(joints, key)
        yield _piece("joint", name, joint)
        yield _fastener(joint, name)


def _eyes(part: Coilover | LimitStrap) -> Iterator[Piece]:
    """The eyes of a part, each with its bolt. An eye comes with the part, so that only what the spec states of it is a
    fact."""
    for piece in _joints(part, part.expects(Joint)):
        if piece.kind == "joint":
            facts = tuple(fact for fact in piece.facts if fact.value is not None)
            yield piece._replace(kind="eye", name=piece.name.replace("joint", "eye"), facts=facts)
        else:
            yield piece._replace(name=piece.name.replace("joint", "eye"))


def _fastener(joint: Joint, name: str) -> Piece:
    """The bolt of a joint, or the stud that a joint of the steering has in place of one."""
    if isinstance(joint, SteeringJoint) and not joint.has("bolt"):
        return _piece_of(joint, "stud", "stud", f"{name}, stud")
    return _piece_of(joint, "bolt", "bolt", f"{name}, bolt")


def _piece_of(owner: Part, field: str, kind: str, name: str) -> Piece:
    if not owner.has(field):
        return _absent(kind, name, owner.own_path_of(field))
    return _piece(kind, name, getattr(owner, field))


def _piece(kind: str, name: str, part: Part) -> Piece:
    return Piece(kind, name, part.own_path_of(), True, _facts(part))


def _absent(kind: str, name: str, path: str) -> Piece:
    return Piece(kind, name, path, False, ())


def _facts(part: Part) -> tuple[Fact, ...]:
    return tuple(_fact(part, name) for name in LISTED.get(type(part), ()) if _has_such(part, name))


def _has_such(part: Part, name: str) -> bool:
    """Whether a part like this has such a field at all on the truck."""
    if name in ("thread", "thread_hand"):
        return part.has(name) or (part.has("kind") and part.kind == "rod-end")
    if name == "gas_pressure":
        return part.has(name) or (part.has("gas_charged") and part.gas_charged)
    if name == "gas_charged" and isinstance(part, BumpStop):
        return part.has(name) or not part.has("kind") or part.kind == "hydraulic"
    if name == "wall" and isinstance(part, Section):
        return part.has(name) or not part.has("shape") or part.shape not in ("plate", "forged")
    return name != "kind" or not isinstance(part, Coilover) or part.has("kind")


def _fact(part: Part, name: str) -> Fact:
    kind = fields(type(part))[name]
    dimension = next((each for each in get_args(kind) if isinstance(each, Dimension)), None)
    value = getattr(part, name) if part.has(name) else None
    return Fact(part.own_path_of(name), words(name), value, dimension if get_origin(kind) is Annotated else None)
