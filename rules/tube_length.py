"""The tube of a link or rod is long enough for both of its ends.

Checked, where the spec states what the joints take up: the length that the tube is cut to, and the room between the
ends of the two shanks inside it.

Risk: inserts that are welded into a short tube share their heat, and no plain tube is left between them. Shanks that
meet inside the tube end the adjustment: the link cannot be made shorter than planned, and the axle stays where it is.

Worked out: from joint centre to joint centre, less what each joint takes up with its thread screwed in as planned: its
shank, less the thread that is engaged, and what the insert stands out of the tube; or the stated length from its centre
to the tube, for a joint that is welded or pressed on. A radius arm is left out, since its yoke is made by the shop.

Remedy: take joints with shorter shanks, or place the ends farther apart.
"""

from buildcheck.api import (
    Area,
    DragLink,
    Job,
    LateralBar,
    Link,
    Rule,
    Sample,
    TieRod,
    Verdict,
    Words,
    at_least,
    common_practice,
    each,
)

BAR = "lateral_bar.joints.{end}.{field}"


def bar(shank: str, shoulder: str = "1/4 in") -> dict[str, object]:
    """A lateral bar whose two joints have these shanks, 1 1/2 in of them engaged."""
    fields = {"shank_length": shank, "thread_engaged": "1 1/2 in", "insert_shoulder": shoulder}
    return {BAR.format(end=end, field=field): value for end in ("frame", "axle") for field, value in fields.items()}


rule = Rule(
    "tube-length",
    area=Area.LINKS,
    page=__doc__,
    samples=(
        Sample(
            "a bar between shanks of 4 in",
            bar("4 in"),
            # The bar is 33 in across and 2.85 in down. Each end takes 4 - 1.5 + 0.25 in up.
            values={"cut-length": "27.6228 in", "between-shanks": "25.1228 in"},
        ),
        Sample(
            "shanks of 16 1/2 in in a bar of 33 1/8 in",
            bar("16 1/2 in"),
            {"cut-length": Verdict.WARNING, "between-shanks": Verdict.WARNING},
        ),
        Sample(
            "shanks of 17 1/2 in in a bar of 33 1/8 in",
            bar("17 1/2 in"),
            {"cut-length": Verdict.ERROR, "between-shanks": Verdict.ERROR},
        ),
        Sample(
            "ends that are welded on",
            {BAR.format(end=end, field="centre_to_tube"): "1 1/8 in" for end in ("frame", "axle")},
            values={"cut-length": "30.8728 in", "between-shanks": "30.8728 in"},
        ),
    ),
)


def of_one_tube(job: Job, rod: Link | LateralBar | DragLink | TieRod) -> bool:
    return job.has_one_tube(rod)


rods = each(Link | LateralBar | DragLink | TieRod, where=of_one_tube)
other_ends = Words("take joints with shorter shanks, or place the ends farther apart")


@rule.check(
    rods,
    at_least(warning="4 in", error="1 in"),
    basis=common_practice("inserts that are welded into a short tube share their heat, and leave no tube between them"),
    change=other_ends,
    place="joints",
    effect="the rod is two inserts welded to each other",
    compares=True,
)
def cut_length(job: Job, rod: Link | LateralBar | DragLink | TieRod) -> float:
    """Length that the tube is cut to."""
    return job.tube_cut(rod)


@rule.check(
    rods,
    at_least(warning="1/4 in", error="0 in"),
    basis=common_practice("shanks that meet inside the tube end the adjustment"),
    change=other_ends,
    place="joints",
    effect="the rod cannot be made shorter",
    compares=True,
)
def between_shanks(job: Job, rod: Link | LateralBar | DragLink | TieRod) -> float:
    """Room between the two shanks inside the tube."""
    return job.between_shanks(rod)
