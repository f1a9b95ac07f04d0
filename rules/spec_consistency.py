"""The numbers of a spec fit together."""

from collections.abc import Iterator
from itertools import pairwise

from buildcheck.api import (
    Area,
    Build,
    Dimension,
    Finding,
    Job,
    Limit,
    Pair,
    Part,
    Point,
    Requirement,
    Sample,
    Side,
    Verdict,
    at_most,
    common_practice,
    hold,
    require,
    rule,
)

SLIP = common_practice("a slip of the pen in a spec is found at the desk, or by the truck")

LEFT_IS_LEFT = Requirement(
    "left-is-left", "what is on the left has its points on the left, and right on the right", SLIP
)
COILOVER_LENGTHS = Requirement("coilover-lengths", "a coilover is longer extended than compressed", SLIP)
STOP_LENGTHS = Requirement("stop-lengths", "a bump stop is longer free than crushed", SLIP)
SHAFT_LENGTHS = Requirement("shaft-lengths", "a driveshaft is longer with its slip out than in", SLIP)
MASSES = Requirement("masses", "the unsprung mass is part of the axle load, and that is part of the whole truck", SLIP)
TYRE = Requirement("tyre", "the loaded radius of a tyre is less than half its diameter, and not by a third", SLIP)
KNUCKLE = Requirement("knuckle", "the drag link ends on the side of the knuckle that it moves", SLIP)
TUBE = Requirement("tube", "a tube's wall is no more than half its outside diameter", SLIP)
HOLDS = Requirement("holds", "a bracket holds something that is in the spec", SLIP)
AXLE_HEIGHT = Limit(
    "axle-height",
    "difference between the height of the axle centre and the loaded radius of its tyres",
    Dimension.LENGTH,
    at_most(warning="1/2 in", error="2 in"),
    basis=common_practice("at ride height the tyres stand on the floor, from which all heights are measured"),
)


def lengths(job: Job, build: Build) -> Iterator[Finding]:
    """What is longer at one end of its travel than at the other."""
    for section, name, longer, shorter, limit in (
        ("coilovers", "coilover", "extended_length", "compressed_length", "coilover-lengths"),
        ("bump_stops", "bump stop", "free_length", "crushed_length", "stop-lengths"),
        ("driveshaft", "driveshaft", "longest_length", "shortest_length", "shaft-lengths"),
    ):
        for part in _parts(build, section):
            if not part.has(longer) or not part.has(shorter):
                continue  # one length alone contradicts nothing
            in_order = getattr(part, longer) > getattr(part, shorter)
            wanted = f"{longer.replace('_', ' ')} more than {shorter.replace('_', ' ')}"
            yield require(
                limit,
                met=in_order,
                found=wanted if in_order else f"{longer.replace('_', ' ')} not more than {shorter.replace('_', ' ')}",
                wanted=wanted,
                place=part.path_of(longer),
                effect="" if in_order else f"the {name} is computed as one that does not exist",
                cure="look the two lengths up again",
            )


def _parts(build: Build, section: str) -> list[Part]:
    if not build.has(section):
        return []
    found = getattr(build, section)
    return [found] if isinstance(found, Part) else list(found)


def masses(job: Job, build: Build) -> Iterator[Finding]:
    """Unsprung mass, axle load and total mass in their order, as far as they are stated."""
    if not build.has("vehicle"):
        return
    vehicle = build.vehicle
    stated = [name for name in ("unsprung_mass", "axle_load", "total_mass") if vehicle.has(name)]
    for part, whole in pairwise(stated):
        in_order = getattr(vehicle, part) < getattr(vehicle, whole)
        wanted = f"{part.replace('_', ' ')} less than {whole.replace('_', ' ')}"
        yield require(
            "masses",
            met=in_order,
            found=wanted if in_order else f"{part.replace('_', ' ')} not less than {whole.replace('_', ' ')}",
            wanted=wanted,
            place=vehicle.path_of(part),
            cure="weigh the axle and the truck again",
        )


def tyre(job: Job, build: Build) -> Iterator[Finding]:
    """Loaded radius against diameter, and the axle's height against the loaded radius."""
    if not build.has("vehicle") or not build.vehicle.has("tyre") or not build.vehicle.tyre.has("static_radius"):
        return
    found = build.vehicle.tyre
    if found.has("diameter"):
        fits = 2 / 3 < found.static_radius / (found.diameter / 2) < 1
        yield require(
            "tyre",
            met=fits,
            found="fits" if fits else "does not fit",
            wanted="a loaded radius a little less than half the diameter",
            place=found.path_of("static_radius"),
            cure="measure from the wheel centre to the floor",
        )
    if build.has("axle") and build.axle.has("centre"):
        yield hold(
            "axle-height",
            abs(build.axle.centre.z - found.static_radius),
            place=build.axle.path_of("centre"),
            effect="every height of the spec is off by that, or the tyre is not the one on the truck",
        )


def steering(job: Job, build: Build) -> Iterator[Finding]:
    """The side on which the drag link ends."""
    if not build.has("steering") or not build.steering.has("drag_link"):
        return
    link = build.steering.drag_link
    if link.has("arm") and link.has("knuckle"):
        fits = (link.arm.y > 0) == (link.knuckle == "left")
        yield require(
            "knuckle",
            met=fits,
            found=f"the arm's end is on the {'left' if link.arm.y > 0 else 'right'}",
            wanted=f"the arm's end on the {link.knuckle}",
            place=link.path_of("arm"),
            cure="turn the sign of y, or name the other knuckle",
        )


def tubes(job: Job, build: Build) -> Iterator[Finding]:
    """Wall and diameter of every link's tube, of the bar's, and of the axle's."""
    names = sorted(build.links) if build.has("links") else []
    held: list[Part] = [link for name in names for link in build.links[name]]
    held += [getattr(build, name) for name in ("lateral_bar", "axle", "driveshaft") if build.has(name)]
    for part in held:
        if part.has("tube") and part.tube.has("wall") and part.tube.has("outside_diameter"):
            fits = part.tube.wall <= part.tube.outside_diameter / 2
            yield require(
                "tube",
                met=fits,
                found="fits" if fits else "more than half the diameter",
                wanted="a wall of half the diameter at most",
                place=part.tube.path_of("wall"),
                cure="look the tube up again",
            )


def holds(job: Job, build: Build) -> Iterator[Finding]:
    """What each bracket says that it holds."""
    if not build.has("attachments"):
        return
    for name in sorted(build.attachments):
        for bracket in build.attachments[name]:
            if bracket.has("holds"):
                there = job.stands_in_spec(bracket.holds)
                yield require(
                    "holds",
                    met=there,
                    found="in the spec" if there else "not in the spec",
                    wanted="the spec path of a part, such as links.lower.left",
                    place=bracket.path_of("holds"),
                    effect="" if there else "no load is known for this bracket",
                    cure="write the path of the part that it holds",
                )


@rule(
    "spec-consistency",
    area=Area.RECORDS,
    subject="pair",
    also=(
        ("build", lengths),
        ("build", masses),
        ("build", tyre),
        ("build", steering),
        ("build", tubes),
        ("build", holds),
    ),
    limits=(
        LEFT_IS_LEFT,
        COILOVER_LENGTHS,
        STOP_LENGTHS,
        SHAFT_LENGTHS,
        MASSES,
        TYRE,
        AXLE_HEIGHT,
        KNUCKLE,
        TUBE,
        HOLDS,
    ),
    samples=(
        Sample("the axle a quarter of an inch above its tyres", {"axle.centre": [0, 0, 16.85]}),
        Sample(
            "the left brake line written with its y to the right",
            {"brake_lines.left.axle": [-4.5, -26, 18]},
            {"left-is-left": Verdict.ERROR},
        ),
        Sample(
            "extended and compressed length exchanged",
            {"coilovers.both.extended_length": 21.5, "coilovers.both.compressed_length": 35.5},
            {"coilover-lengths": Verdict.ERROR},
        ),
    ),
)
def spec_consistency(job: Job, pair: Pair) -> Iterator[Finding]:
    """The numbers of a spec fit together.

    What it checks: that left parts have their points on the left (y positive) and right ones on the right; that
    coilovers, bump stops and the driveshaft are longer long than short; that the masses are in order; that the tyre's
    loaded radius fits its diameter and the height of the axle; that the drag link ends at the knuckle that it moves;
    that tubes are tubes; and that every bracket holds something that the spec knows. What is not stated contradicts
    nothing.

    Why: all other rules believe the spec. A sign or a digit that is wrong makes them check another truck.

    How it is computed: by comparing the numbers as they are written.

    To put it right: look up or measure again what is named.
    """
    for part, sign in ((pair.left, 1.0), (pair.right, -1.0)):
        wrong = [name for name, value in part.given().items() if isinstance(value, Point) and value.y * sign <= 0.0]
        side = "left" if part.side is Side.LEFT else "right"
        yield require(
            "left-is-left",
            met=not wrong,
            found="on its side" if not wrong else f"on the other side: {', '.join(wrong)}",
            wanted="y positive" if part.side is Side.LEFT else "y negative",
            place=part.path_of(wrong[0]) if wrong else part.path,
            effect="" if not wrong else f"the {side} part is computed on the wrong side of the truck",
            cure="turn the sign of y, or exchange left and right",
        )
