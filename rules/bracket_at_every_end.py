"""A bracket holds every end of every part that locates or carries the axle.

Checked: that the frame end and the axle end of every link, of the lateral bar, and of every coilover, limit
strap and bump stop are held by a bracket under `attachments`; so must the fixed end of a steering stabiliser and a
carrier bearing be. An end that no bracket holds is not checked: nothing is known of how it is fixed. A part in the
middle, such as the lateral bar, has each end on one side of the truck, and its bracket must be on that side.

Risk: the rules for welds and bolts look at the brackets that the spec states. One that is left out would pass in
silence, and a bracket that tears off lets the axle go.

Worked out: a bracket names in `holds` what it carries. Where its parent is the frame or a crossmember it
holds the frame end of that, otherwise the axle end. A bracket on the left or right holds that one of a pair. What a
bump stop lands on counts as held by a bracket. The two joints of a radius arm on the axle are one end. The mounts
of the steering box, the arms on the knuckles and the tabs of brake lines are not looked for.

Remedy: add the bracket under `attachments`, or add the path of the part to the `holds` of the bracket that
carries it.
"""

from collections.abc import Iterator

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Build,
    CannotTell,
    HeldEnd,
    Job,
    Rule,
    Sample,
    Side,
    Steering,
    Verdict,
    Words,
    common_practice,
    made,
    met,
)

rule = Rule(
    "bracket-at-every-end",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample(
            "a bracket that holds a link and a hose",
            {"attachments.arm_frame_bracket.both.holds": ["links.arm", "brake_lines.line"]},
        ),
        Sample(
            "the frame end of the lateral bar on the right, and its bracket on the left",
            {"lateral_bar.frame": [5.5, -16.5, 22.75], "lateral_bar.axle": [5.5, 16.5, 19.9]},
            {"on-its-side": Verdict.ERROR},
        ),
    ),
)


def ends(job: Job, build: Build) -> Iterator[HeldEnd | Steering]:
    """Every end that a bracket has to hold; and the steering, to say that its mounts are left out."""
    if build.has("steering"):
        yield build.steering
    yield from job.held_ends()


def load_is_computed(job: Job, end: HeldEnd | Steering) -> str | None:
    """Why the check does not apply; None where the load of the end is computed."""
    if isinstance(end, Steering):
        return (
            "the mounts of the steering box and the arms that drag link and tie rod end on are not looked for: their "
            "loads are not computed"
        )
    return None


def on_the_side_of(end: HeldEnd, bracket: Attachment) -> bool:
    """Whether a bracket is on the side of an end; what is in the middle, or of unknown side, contradicts nothing."""
    return Side.CENTRE in (bracket.side, end.side) or bracket.side is end.side


def holder(job: Job, end: HeldEnd) -> Attachment:
    """The bracket that holds an end; of several, one on the side of the end where there is one."""
    brackets = job.holders(end)
    if not brackets:
        where = "the frame or a crossmember" if end.on_frame else "the axle"
        raise CannotTell(f"no bracket on {where} holds {end.path}")
    return next((bracket for bracket in brackets if on_the_side_of(end, bracket)), brackets[0])


@rule.must(
    made("held end", ends),
    wanted="a bracket on the side of the end",
    basis=common_practice("a slip of the pen in a spec is found at the desk, or by the truck"),
    change=Words("move the bracket to the other side in the spec, or turn the sign of y of the end"),
    when=load_is_computed,
    place=lambda job, end: holder(job, end).path_of("holds"),
    effect="its load is computed for a bracket that is somewhere else",
)
def on_its_side(job: Job, end: HeldEnd) -> Answer:
    """The bracket is on the side of the truck that the end is on."""
    bracket = holder(job, end)
    found = f"the {bracket.label}"
    return met(on_the_side_of(end, bracket), found, otherwise=f"{found}, and the end is on the {end.side}")
