"""The steering damper has stroke to spare through travel and lock.

Checked: for a steering damper, the stroke that it has left before it is fully compressed and before it is fully
extended, that its stated lengths fit each other, that its end is on the rod that it steadies, and that it resists.

Risk: a damper that bottoms before the steering stops do sets the lock itself: it breaks its bracket or its shaft, or
bends the rod that it is on, and the broken end can jam the steering. One that tops out pulls itself apart.

Worked out: the distance of its two ends, with the axle at five heights and five rolls through travel and articulation,
and the wheels straight ahead, at half and at full lock to each side. Its end on the tie rod or the drag link is taken
at the nearest point of that rod's line, because a rod can turn about its own line. Between these poses the stroke left
may be a little less. Where some of them cannot be solved, a stroke that is enough in the others is not checked.

Remedy: move one of its ends, fit a longer damper or one with more stroke; or set the steering stops to end the lock
sooner.
"""

import math
from collections.abc import Iterator

from buildcheck.api import (
    Answer,
    Area,
    Computed,
    Cure,
    Dimension,
    Job,
    OutOfReach,
    Point,
    Rule,
    Sample,
    Spot,
    Stabiliser,
    Verdict,
    Way,
    Words,
    at_least,
    at_most,
    common_practice,
    each,
    met,
    step_of,
)

DAMPER = {
    "fixed": [6, 12.5, 13],
    "fixed_to": "axle",
    "moving": [8.5, -5, 14.2],
    "steadies": "tie-rod",
    "extended_length": 24,
    "compressed_length": 13,
}

rule = Rule(
    "steering-damper",
    area=Area.BAR_AND_STEERING,
    page=__doc__,
    samples=(
        Sample("a damper from the axle to the tie rod", {"steering.stabiliser": DAMPER}),
        Sample(
            "a damper with too little stroke",
            {"steering.stabiliser": {**DAMPER, "extended_length": 20, "compressed_length": 17}},
            {"stroke-to-close": Verdict.ERROR, "stroke-to-open": Verdict.ERROR},
        ),
    ),
)

SPARE = common_practice("the steering stops end the lock; a damper that does breaks its bracket or jams the steering")


def stated(job: Job, _: object) -> str | None:
    """Why the check does not apply; None where the spec states a steering damper."""
    has_one = job.build.has("steering") and job.build.steering.has("stabiliser")
    return None if has_one else "the spec states no steering damper"


def another(job: Job, damper: Stabiliser) -> Iterator[Way]:
    """Dampers whose stroke spares half an inch at either end, and more with each step."""
    step = 8 * step_of(job, Dimension.LENGTH)

    def edits(steps: int) -> tuple[tuple[str, float], ...]:
        if steps < 1:
            raise OutOfReach
        close, open_ = job.steering_damper.room_to_close().value, job.steering_damper.room_to_open().value
        spare = steps * step
        shorter = math.floor((damper.compressed_length + min(close - spare, 0.0)) / step) * step
        longer = math.ceil((damper.extended_length + max(spare - open_, 0.0)) / step) * step
        if not 0.0 < shorter < longer < 2 * shorter:  # the rod goes into the body
            raise OutOfReach
        return (damper.path_of("compressed_length"), shorter), (damper.path_of("extended_length"), longer)

    yield Way((damper,), edits, lambda _: Cure("fit a damper that is shorter compressed or longer extended"), 4)


@rule.must(
    Stabiliser,
    wanted="an extended length above the compressed one",
    basis=common_practice("a damper has a stroke"),
    change=Words("measure the damper fully extended and fully compressed, and write each length where it belongs"),
    when=stated,
    effect="the stroke that is left is not known",
    name="stroke",
)
def stroke(job: Job, damper: Stabiliser) -> Answer:
    """The steering damper is longer extended than compressed."""
    longer = damper.extended_length > damper.compressed_length
    return met(longer, "longer extended", otherwise="not longer extended than compressed")


def steadies_a_rod(job: Job, damper: Stabiliser) -> bool:
    return damper.steadies in ("tie-rod", "drag-link")


def ends_of_rod(job: Job, damper: Stabiliser) -> tuple[Point, Point]:
    """The centres of the two joints of the rod that a damper steadies."""
    steering = job.build.steering
    if damper.steadies == "tie-rod":
        return steering.tie_rod.left, steering.tie_rod.right
    return steering.drag_link.pitman, steering.drag_link.arm


@rule.check(
    each(Stabiliser, where=steadies_a_rod, may_be_none=True),
    at_most(warning="3 in", error="5 in"),
    basis=common_practice("a clamp holds the damper's end within two or three inches of the middle of the rod"),
    change=Words("measure the damper's moving end again, or write the part that it steadies"),
    place="moving",
    effect="its stroke is computed to a place where it is not",
    compares=True,
)
def off_its_rod(job: Job, damper: Stabiliser) -> float:
    """Distance of the moving end of a steering damper from the line of the rod that it steadies."""
    one, other = ends_of_rod(job, damper)
    along = [b - a for a, b in zip(one, other, strict=True)]
    to_end = [b - a for a, b in zip(one, damper.moving, strict=True)]
    square = sum(a * a for a in along)
    share = sum(a * b for a, b in zip(along, to_end, strict=True)) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return math.dist(to_end, [share * a for a in along])


@rule.check(
    Stabiliser,
    at_least(warning="50 lbf", error="10 lbf"),
    basis=common_practice("steering dampers of trucks resist with 100 to 500 lbf"),
    change=Words("measure the damper's force again, and look at its unit; or fit one that resists"),
    place="force",
    effect="the steering shakes over bumps as if it had none",
    compares=True,
)
def resists(job: Job, damper: Stabiliser) -> float:
    """Stated force of the steering damper."""
    return damper.force


@rule.check(
    Stabiliser,
    at_least(warning="1/2 in", error="0 in"),
    basis=SPARE,
    when=stated,
    follows=("stroke",),
    place="compressed_length",
    change=(
        Computed(another),
        Words("move one end of the damper so that it is {amount} longer at this lock, or fit a shorter one"),
    ),
)
def stroke_to_close(job: Job, damper: Stabiliser) -> Spot:
    """Stroke of the steering damper left before it is fully compressed, at the worst pose and lock."""
    return job.steering_damper.room_to_close().because("it bottoms before the steering stops do, and sets the lock")


@rule.check(
    Stabiliser,
    at_least(warning="1/2 in", error="0 in"),
    basis=SPARE,
    when=stated,
    follows=("stroke",),
    place="extended_length",
    change=(
        Computed(another),
        Words("move one end of the damper so that it is {amount} shorter at this lock, or fit a longer one"),
    ),
)
def stroke_to_open(job: Job, damper: Stabiliser) -> Spot:
    """Stroke of the steering damper left before it is fully extended, at the worst pose and lock."""
    return job.steering_damper.room_to_open().because("it tops out before the steering stops do, and sets the lock")
