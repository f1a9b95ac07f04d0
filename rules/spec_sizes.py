"""A part is smaller than the part that it fits into.

Checked: shafts against the bodies that they slide in, the preload against the stroke of the springs, the stretch of a
strap against its length, bolts against their holes, holes against their edge distance, the thread in a tapped hole
against the thickness around it, the tacks of a weld against the whole weld, and the axle and its tyres against the
track and the floor. Values that are not stated are not compared.

Risk: all other rules trust the spec. A wrong digit makes them check another truck.

Worked out: by dividing one size by the other as written.

Remedy: look up or measure the named sizes again.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from buildcheck.api import (
    Area,
    Attachment,
    AxleTube,
    Bolts,
    CannotTell,
    CentreSection,
    Coilover,
    Job,
    LimitStrap,
    OfPart,
    Part,
    Rule,
    Sample,
    Tyre,
    Verdict,
    Weld,
    Words,
    at_most,
    common_practice,
    made,
)

rule = Rule(
    "spec-sizes",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a thinner shaft", {"coilovers.coilover.both.shaft_diameter": "3/4 in"}),
        Sample(
            "the diameters of a coilover's shaft and body swapped",
            {"coilovers.coilover.both.shaft_diameter": 2.5, "coilovers.coilover.both.body_diameter": "7/8 in"},
            {"fits": Verdict.ERROR},
        ),
    ),
)


def stroke_of_springs(job: Job, coilover: Coilover) -> float:
    stroke = sum(spring.free_length - spring.solid_length for spring in coilover.springs)
    if stroke <= 0.0:
        raise CannotTell(f"the springs of the {coilover.label} are not longer free than solid")
    return stroke


def bolt_diameter(job: Job, bolts: Bolts) -> float:
    return job.strengths.diameter(bolts)


def half_of_hole(job: Job, bolts: Bolts) -> float:
    return bolts.hole_diameter / 2


def length_of_tacks(job: Job, weld: Weld) -> float:
    return weld.tacks.count * weld.tacks.length


def length_of_tube(job: Job, tube: AxleTube) -> float:
    return abs(tube.left_end.y - tube.right_end.y)


def half_of_tube(job: Job, tube: AxleTube) -> float:
    return tube.outside_diameter / 2


def track(job: Job, part: Part) -> float:
    return job.build.vehicle.track


def loaded_radius(job: Job, part: Part) -> float:
    return job.build.vehicle.tyre.static_radius


def tapped(job: Job, bracket: Attachment) -> float:
    return bracket.bolts.thread_engaged


def thickness_of_parent(job: Job, bracket: Attachment) -> float:
    return job.strengths.parent_thickness(bracket)


Length = str | Callable[[Job, Any], float]  # a field of the part, or computed


class Fit(NamedTuple):
    """A size that is smaller than another: the class and the field that hold it, both sizes, and their names."""

    kind: type[Part]
    field: str
    size: Length
    whole: Length
    called: str


FITS = (
    Fit(Coilover, "shaft_diameter", "shaft_diameter", "body_diameter", "diameters of shaft and body"),
    Fit(Coilover, "preload", "preload", stroke_of_springs, "preload and springs' lengths"),
    Fit(LimitStrap, "stretch", "stretch", "length", "stretch and length"),
    Fit(Bolts, "hole_diameter", bolt_diameter, "hole_diameter", "bolts and their holes"),
    Fit(Bolts, "hole_diameter", half_of_hole, "edge_distance", "holes and their distance to the edge"),
    Fit(Attachment, "bolts", tapped, thickness_of_parent, "thread in a tapped hole and the thickness around it"),
    Fit(Weld, "tacks", length_of_tacks, "length", "tacks and the whole weld"),
    Fit(Tyre, "width", "width", "diameter", "width and diameter"),
    Fit(Tyre, "width", "width", track, "tyre and the track"),
    Fit(AxleTube, "left_end", length_of_tube, track, "axle tube and the track"),
    Fit(AxleTube, "outside_diameter", half_of_tube, loaded_radius, "axle tube and the loaded radius"),
    Fit(CentreSection, "radius", "radius", loaded_radius, "centre section and the loaded radius"),
)


@dataclass(frozen=True)
class Size(OfPart):
    """A size of one part of the build."""

    fit: Fit

    @property
    def which(self) -> str:
        return self.fit.called

    def length(self, job: Job, of: Length) -> float:
        return float(getattr(self.part, of) if isinstance(of, str) else of(job, self.part))


def is_tapped(bracket: Attachment) -> bool:
    return bracket.has("bolts") and bracket.bolts.has("threaded_into") and bracket.bolts.threaded_into == "parent"


def sizes(job: Job, part: Part) -> Iterator[Size]:
    if not isinstance(part, Attachment) or is_tapped(part):
        yield from (Size(part, fit) for fit in FITS if isinstance(part, fit.kind))


@rule.check(
    made("size", sizes, of=Coilover | LimitStrap | Bolts | Attachment | Weld | Tyre | AxleTube | CentreSection),
    at_most(error="100 %"),
    basis=common_practice("a typing error is found at the desk, or on the truck"),
    change=Words(lambda job, size: f"look up or measure the {size.fit.called} again"),
    place=lambda job, size: size.part.path_of(size.fit.field),
    effect="such a part does not exist, or does not fit",
    compares=True,
)
def fits(job: Job, size: Size) -> float:
    """A size as a share of the one that it is part of or fits into."""
    return size.length(job, size.fit.size) / size.length(job, size.fit.whole)
