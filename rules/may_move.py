"""What may be moved is in the spec, and its range holds the present place.

Checked: that each entry of `may_move` names a point, a length or a part of the spec; that one that is not fixed names
an axis where it is of a point, and a range; and that the range holds the place where the spec has it.

Risk: an entry that names nothing leaves a point free that is not free. The work order then moves what is welded.

Worked out: from the entries as written.

Remedy: correct the entry.
"""

from buildcheck.api import (
    Answer,
    Area,
    Job,
    MayMove,
    Missing,
    Point,
    Rule,
    Sample,
    Verdict,
    Words,
    common_practice,
    each,
    met,
)

FRAME = "links.arm.both.frame"

rule = Rule(
    "may-move",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample(
            "holes in the rail, and a welded end",
            {
                "may_move": [
                    {"of": FRAME, "axis": "z", "least": "-2 in", "most": "1 in", "step": "1/2 in"},
                    {"of": "lateral_bar.frame", "fixed": True},
                ]
            },
        ),
        Sample(
            "an entry of nothing",
            {"may_move": [{"of": "links.arms.both.frame", "fixed": True}]},
            {"possible": Verdict.ERROR},
        ),
        Sample(
            "a point without an axis",
            {"may_move": [{"of": FRAME, "least": "-2 in", "most": "1 in"}]},
            {"possible": Verdict.ERROR},
        ),
        Sample(
            "a range that leaves out the present place",
            {"may_move": [{"of": FRAME, "axis": "z", "least": "1/2 in", "most": "1 in"}]},
            {"possible": Verdict.ERROR},
        ),
        Sample(
            "an entry without a range",
            {"may_move": [{"of": FRAME, "axis": "z"}]},
            {"possible": Verdict.ERROR},
        ),
    ),
)


def problem(job: Job, entry: MayMove) -> str:
    """Reason why an entry cannot be followed; empty where it can."""
    try:
        value = job.build.value(entry.of)
    except (Missing, ValueError):
        return f"{entry.of} is not in the spec"
    if entry.has("fixed") and entry.fixed:
        return f"{entry.of} is fixed and has a range" if entry.has("least") or entry.has("most") else ""
    if isinstance(value, Point) is not entry.has("axis"):
        return f"{entry.of} is a point and needs an axis" if isinstance(value, Point) else f"{entry.of} has no axes"
    if not isinstance(value, Point | float):
        return f"{entry.of} is neither a point nor a length"
    if not (entry.has("least") or entry.has("most")):
        return f"{entry.of} has no range: state least or most, or fixed"
    holds = (entry.least if entry.has("least") else 0.0) <= 0.0 <= (entry.most if entry.has("most") else 0.0)
    if not holds:
        return f"the range of {entry.of} leaves out where the spec has it"
    farthest = max(-(entry.least if entry.has("least") else 0.0), entry.most if entry.has("most") else 0.0)
    return f"the step of {entry.of} is longer than its range" if entry.has("step") and entry.step > farthest else ""


def shown(entry: MayMove) -> str:
    """The entry as it is followed."""
    if entry.has("fixed") and entry.fixed:
        return f"{entry.of} stays"
    least, most = ((getattr(entry, end) if entry.has(end) else 0.0) for end in ("least", "most"))
    steps = f" in steps of {entry.step * 1000:.1f} mm" if entry.has("step") else ""
    axis = f" along {entry.axis}" if entry.has("axis") else ""
    return f"{entry.of}{axis} from {least * 1000:+.1f} to {most * 1000:+.1f} mm{steps}"


@rule.must(
    each(MayMove),
    wanted="a point with its axis, a length or a part of the spec, and a range that holds the present place",
    basis=common_practice("a work order is no use where it moves what cannot be moved"),
    change=Words("correct the entry"),
    place="of",
    effect="the work order does not keep to it",
    compares=True,
)
def possible(job: Job, entry: MayMove) -> Answer:
    """An entry of what may be moved can be followed."""
    wrong = problem(job, entry)
    return met(not wrong, shown(entry), otherwise=wrong)
