"""What goes into something is smaller than that."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Build,
    Dimension,
    Finding,
    Job,
    Limit,
    Part,
    Sample,
    Verdict,
    at_most,
    common_practice,
    does_not_apply,
    hold,
    rule,
)

FITS = Limit(
    "fits",
    "a size as a share of the one that it is a part of, or goes into",
    Dimension.RATIO,
    at_most(error="100 %"),
    basis=common_practice("a slip of the pen in a spec is found at the desk, or by the truck"),
)


@rule(
    "spec-sizes",
    area=Area.RECORDS,
    subject="build",
    limits=(FITS,),
    samples=(
        Sample("a thinner shaft", {"coilovers.coilover.both.shaft_diameter": "3/4 in"}),
        Sample(
            "the diameters of a coilover's shaft and body exchanged",
            {"coilovers.coilover.both.shaft_diameter": 2.5, "coilovers.coilover.both.body_diameter": "7/8 in"},
            {"fits": Verdict.ERROR},
        ),
    ),
)
def spec_sizes(job: Job, build: Build) -> Iterator[Finding]:
    """What goes into something is smaller than that.

    What it checks: shafts against the bodies that they slide in, the preload against what the springs can give, the
    stretch of a strap against the strap, bolts against their holes, holes against their distance from the edge, the
    tacks of a weld against the whole weld, and the axle and its tyres against the track and the floor. What is not
    stated contradicts nothing.

    Why: all other rules believe the spec. A digit that is wrong makes them check another truck.

    How it is computed: by dividing the one by the other as they are written.

    To put it right: look up or measure again what is named.
    """
    nothing = True
    for size, whole, place, what in _sizes(job):
        nothing = False
        yield hold(
            FITS,
            size / whole,
            place=place,
            effect="there is no such part, or it does not go together",
            cure=f"look up or measure {what} again",
        )
    if nothing:
        yield does_not_apply("no two sizes are stated of which one goes into the other")


def _parts(job: Job, kind: str) -> list[Part]:
    if not job.build.has(f"{kind.replace('-', '_')}s"):
        return []
    return [part for part in job.subjects(kind) if isinstance(part, Part)]


def _sizes(job: Job) -> Iterator[tuple[float, float, str, str]]:
    """A size and the one that it lies within, m, the place of the first, and what both are called.

    What the spec does not state is left out. Lengths are SI.
    """
    for coilover in _parts(job, "coilover"):
        yield from _of_one(coilover, "shaft_diameter", "body_diameter", "the diameters of shaft and body")
        springs = coilover.springs if coilover.has("springs") else ()
        if (
            springs
            and coilover.has("preload")
            and all(one.has("free_length") and one.has("solid_length") for one in springs)
        ):
            stroke = sum(one.free_length - one.solid_length for one in springs)
            if stroke > 0.0:  # if not, it has been told already
                yield coilover.preload, stroke, coilover.path_of("preload"), "the preload and the springs' lengths"
    for strap in _parts(job, "limit-strap"):
        yield from _of_one(strap, "stretch", "length", "the stretch and the length of the strap")
    for bracket in _parts(job, "attachment"):
        if bracket.has("bolts") and bracket.bolts.has("hole_diameter"):
            bolts, what = bracket.bolts, "the bolts and their holes"
            hole, place = bolts.hole_diameter, bolts.path_of("hole_diameter")
            if bolts.has("size"):
                yield job.strengths.diameter(bolts), hole, place, what
            if bolts.has("edge_distance"):
                yield hole / 2, bolts.edge_distance, place, f"{what}, and the distance to the edge"
        if bracket.has("weld") and bracket.weld.has("length") and bracket.weld.has("tacks"):
            tacks = bracket.weld.tacks
            if tacks.has("count") and tacks.has("length"):
                yield tacks.count * tacks.length, bracket.weld.length, tacks.path, "the tacks and the whole weld"
    if job.build.has("vehicle"):
        yield from _of_the_vehicle(job.build)


def _of_the_vehicle(build: Build) -> Iterator[tuple[float, float, str, str]]:
    """Tyre, track and axle against each other."""
    vehicle, axle = build.vehicle, build.axle if build.has("axle") else None
    tyre = vehicle.tyre if vehicle.has("tyre") else None
    if tyre is not None:
        yield from _of_one(tyre, "width", "diameter", "the tyre")
        if vehicle.has("track") and tyre.has("width"):
            yield tyre.width, vehicle.track, tyre.path_of("width"), "the tyre and the track"
    if axle is None:
        return
    if axle.has("tube") and axle.tube.has("left_end") and axle.tube.has("right_end") and vehicle.has("track"):
        length = abs(axle.tube.left_end.y - axle.tube.right_end.y)
        yield length, vehicle.track, axle.tube.path_of("left_end"), "the axle tube and the track"
    if tyre is not None and tyre.has("static_radius"):
        what = "the axle and the loaded radius"
        if axle.has("tube") and axle.tube.has("outside_diameter"):
            yield axle.tube.outside_diameter / 2, tyre.static_radius, axle.tube.path_of("outside_diameter"), what
        if axle.has("centre_section") and axle.centre_section.has("radius"):
            yield axle.centre_section.radius, tyre.static_radius, axle.centre_section.path_of("radius"), what


def _of_one(part: Part, size: str, whole: str, what: str) -> Iterator[tuple[float, float, str, str]]:
    if part.has(size) and part.has(whole):
        yield getattr(part, size), getattr(part, whole), part.path_of(size), what
