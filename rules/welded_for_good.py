"""Every bracket is welded, looked at and tightened as planned, and the axle is still straight.

Checked: at the final weld, for each welded bracket who welded it and what qualifies them, the preheat as measured, no
hotter than the highest temperature between beads, the order of the welds on the axle, the cooling between them, and
that every bead was looked at; for each bolted bracket that its fasteners are new and marked; and how far the axle tubes
are out of straight.

Risk: a weld that nobody looked at, or a bolt that nobody tightened, is found on the road. Heat on one side bends the
tube, and the toe with it.

Worked out: from what the records state. Looking at a bead does not show what is inside it; where a part must not fail,
have it tested by somebody qualified.

Remedy: grind out and weld again what was found; straighten the tube before anything is fitted.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Dimension,
    Job,
    Rule,
    Sample,
    Stage,
    Verdict,
    Welded,
    Words,
    at_least,
    at_most,
    common_practice,
    each,
    met,
)

BY = {"welded_by": "A. Welder", "qualification": "break test of the same joint"}


def brackets(left: dict[str, object], right: dict[str, object], *, bolted: bool) -> dict[str, object]:
    """A welded bracket on each side of the axle, the left one first, and a bolted one."""
    planned = {"parent": "axle-tube", "method": "welded", "weld": {"preheat": "150 degF"}}
    return {
        "arm": {
            "left": {"holds": "links.arm.left", **planned, "as_welded": {**BY, "order": 1, **left}},
            "right": {"holds": "links.arm.right", **planned, "as_welded": {**BY, "order": 2, **right}},
        },
        "bar": {
            "right": {
                "holds": "lateral_bar",
                "method": "bolted",
                "as_bolted": {"new_fasteners": bolted, "marked": bolted},
            }
        },
    }


GOOD: dict[str, object] = {"preheat": "160 degF", "cooled": True, "looked_at": True}
BAD: dict[str, object] = {"preheat": "60 degF", "cooled": False, "looked_at": False}

rule = Rule(
    "welded-for-good",
    area=Area.WELDS,
    page=__doc__,
    from_stage=Stage.FINAL_WELD,
    entries=True,
    samples=(
        Sample(
            "welded, cooled and looked at",
            {"attachments": brackets(GOOD, GOOD, bolted=True), "records.welded": {"tube_bow": "1/64 in"}},
        ),
        Sample(
            "welded cold and in one go, not looked at; old bolts, and a bent tube",
            {"attachments": brackets(BAD, GOOD, bolted=False), "records.welded": {"tube_bow": "1/4 in"}},
            {
                "preheat-reached": Verdict.ERROR,
                "cooled": Verdict.WARNING,
                "looked-at": Verdict.ERROR,
                "new-fasteners": Verdict.WARNING,
                "marked": Verdict.ERROR,
                "tube-bow": Verdict.ERROR,
            },
        ),
        Sample(
            "the weld of a dash",
            {
                "attachments": brackets({**GOOD, "welded_by": "-"}, GOOD, bolted=True),
                "records.welded": {"tube_bow": "1/64 in"},
            },
            {"welder": Verdict.ERROR},
        ),
    ),
)

AXLE_SIDE = ("axle-tube", "centre-section", "axle-end", "knuckle")


def welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is welded."""
    return bracket.not_welded


def bolted(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is bolted."""
    return "it is welded" if bracket.method == "welded" else None


def preheated(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where a preheat is planned."""
    return welded(job, bracket) or (None if bracket.weld.has("preheat") else "no preheat is planned")


def on_the_axle(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is welded to the axle."""
    return welded(job, bracket) or (None if bracket.parent in AXLE_SIDE else "it is on the frame")


@rule.must(
    Attachment,
    wanted="a name and a qualification",
    basis=common_practice(
        "a named person answers for each weld, and a test of the same joint shows that they can make it"
    ),
    change=Words("write who welded it under as_welded.welded_by, and what qualifies them"),
    when=welded,
    place="as_welded",
    effect="nobody answers for the weld",
)
def welder(job: Job, bracket: Attachment) -> Answer:
    """The welder of the bracket is named, with a qualification."""
    by, qualified = bracket.as_welded.welded_by, bracket.as_welded.qualification
    named = any(map(str.isalpha, by)) and any(map(str.isalpha, qualified))
    return met(named, f"{by}, {qualified}", otherwise="no name, or no qualification")


def planned_preheat(job: Job, bracket: Attachment) -> float:
    return bracket.weld.preheat


@rule.check(
    Attachment,
    at_least(error="100 %", of=planned_preheat, amounts=Dimension.TEMPERATURE),
    basis=common_practice("the preheat of a procedure is its least: the parts are measured just before the first bead"),
    change=Words("grind the bead out and weld again at the planned preheat; cracks may be under it already"),
    when=preheated,
    place="as_welded.preheat",
    effect="the zone beside the bead is hard and cracks",
)
def preheat_reached(job: Job, bracket: Attachment) -> float:
    """Measured preheat as a share of the planned one, from absolute zero."""
    return bracket.as_welded.preheat


def highest(job: Job, bracket: Attachment) -> float:
    return bracket.weld.interpass


def heat_is_bounded(job: Job, bracket: Attachment) -> bool:
    return bracket.has("weld") and bracket.weld.has("interpass") and bracket.has("as_welded")


@rule.check(
    each(Attachment, where=heat_is_bounded),
    at_most(error="100 %", of=highest, amounts=Dimension.TEMPERATURE),
    basis=common_practice("the highest temperature between beads holds before the first one too"),
    change=Words("measure again; where the parts were this hot, have the metal looked at by somebody qualified"),
    place="as_welded.preheat",
    effect="the metal beside the bead is softened, or grows coarse",
    compares=True,
)
def preheat_not_too_hot(job: Job, bracket: Attachment) -> float:
    """Measured preheat as a share of the highest temperature between beads, from absolute zero."""
    return bracket.as_welded.preheat


@rule.must(
    Attachment,
    wanted="yes",
    otherwise=Verdict.WARNING,
    basis=common_practice("an axle tube that is welded hot on one side stays bent"),
    change=Words("let the tube cool until a hand can stay on it, then check that it is straight"),
    when=on_the_axle,
    place="as_welded.cooled",
    effect="the tube is pulled out of straight",
)
def cooled(job: Job, bracket: Attachment) -> Answer:
    """The parts cooled before the next weld near it."""
    return met(bracket.as_welded.cooled, "yes", otherwise="no")


@rule.must(
    Attachment,
    wanted="yes",
    basis=common_practice("every bead is looked at by somebody who knows what a bad one looks like"),
    change=Words("look at every bead with a glass: cracks, undercut, pores, ends that are not filled, a small leg"),
    when=welded,
    place="as_welded.looked_at",
    effect="a crack or a cold bead goes on the road",
)
def looked_at(job: Job, bracket: Attachment) -> Answer:
    """Every bead of the bracket was looked at."""
    return met(bracket.as_welded.looked_at, "yes", otherwise="no")


def welded_at(job: Job, order: int) -> list[Attachment]:
    """The brackets on the axle with a place in the order of welding: a pair has one place, and is welded in turn."""
    named = job.build.attachments
    brackets = [each for name in sorted(named) for each in named[name] if on_the_axle(job, each) is None]
    return [
        each
        for each in brackets
        if each.has("as_welded") and each.as_welded.has("order") and each.as_welded.order == order
    ]


def mounting(bracket: Attachment) -> str:
    """The name under which a bracket is written, which it shares with its twin alone."""
    return bracket.path.rsplit(".", 1)[0]


def just_before(job: Job, bracket: Attachment) -> list[Attachment]:
    """The brackets on the axle that were welded right before this one; empty for the first."""
    earlier = (welded_at(job, order) for order in range(bracket.as_welded.order - 1, 0, -1))
    return next((brackets for brackets in earlier if brackets), [])


def on_the_frame(job: Job, bracket: Attachment) -> bool:
    """Whether a bracket is welded, has its place in the order, and is not on the axle, where the sides take turns."""
    placed = bracket.has("as_welded") and bracket.as_welded.has("order")
    return placed and bracket.not_welded is None and bracket.parent not in AXLE_SIDE


@rule.must(
    each(Attachment, where=on_the_frame),
    wanted="a place of its own",
    otherwise=Verdict.WARNING,
    basis=common_practice("one weld is made after the other"),
    change=Words("look up the order in which the brackets were welded"),
    place="as_welded.order",
    effect="nobody knows what was hot when it was welded",
    compares=True,
)
def own_place(job: Job, bracket: Attachment) -> Answer:
    """No other bracket than its twin has the place of a bracket on the frame in the order of welding."""
    order, named = bracket.as_welded.order, job.build.attachments
    others = [each for name in sorted(named) for each in named[name] if mounting(each) != mounting(bracket)]
    same = [
        one for one in others if one.has("as_welded") and one.as_welded.has("order") and one.as_welded.order == order
    ]
    found = f"{order}, as the {same[0].label}" if same else ""
    return met(not same, f"{order}", otherwise=found)


@rule.must(
    Attachment,
    wanted="a place of its own, after one of the other side",
    otherwise=Verdict.WARNING,
    basis=common_practice("welds that alternate from side to side keep an axle straight"),
    change=Words("weld a bracket of the other side in between; check now that the tubes are straight"),
    when=on_the_axle,
    place="as_welded.order",
    effect="the heat of one side bends the axle",
)
def sides_alternate(job: Job, bracket: Attachment) -> Answer:
    """The weld before this one on the axle was on the other side."""
    earlier = just_before(job, bracket)
    together = welded_at(job, bracket.as_welded.order)
    stranger = next((each for each in together if mounting(each) != mounting(bracket)), None)
    sides = {each.side for each in (*earlier, *together)}
    after = f"after the {earlier[0].label}" if earlier else "the first on the axle"
    one_sided = bool(earlier) and sides == {bracket.side} and bracket.side != "centre"
    if stranger is not None:
        return met(False, after, otherwise=f"at the same place in the order as the {stranger.label}")
    return met(not one_sided, after, otherwise=f"right {after}, on the same side")


@rule.must(
    Attachment,
    wanted="yes",
    otherwise=Verdict.WARNING,
    basis=common_practice("a lock nut holds once, and a stretched bolt never again"),
    change=Words("fit new bolts, lock nuts and hardened washers"),
    when=bolted,
    place="as_bolted.new_fasteners",
    effect="a used lock nut comes off",
)
def new_fasteners(job: Job, bracket: Attachment) -> Answer:
    """Bolts, lock nuts and washers of the bracket are new."""
    return met(bracket.as_bolted.new_fasteners, "yes", otherwise="no")


@rule.must(
    Attachment,
    wanted="yes",
    basis=common_practice(
        "a line of paint across nut and plate shows whether a bolt was tightened, and whether it turned"
    ),
    change=Words("tighten each bolt to its torque, and mark it across nut and plate"),
    when=bolted,
    place="as_bolted.marked",
    effect="a bolt that was forgotten is not seen",
)
def marked(job: Job, bracket: Attachment) -> Answer:
    """Each bolt of the bracket was marked after it was tightened."""
    return met(bracket.as_bolted.marked, "yes", otherwise="no")


@rule.check(
    Welded,
    at_most(warning="1/32 in", error="1/16 in"),
    basis=common_practice("an even bow h over a length L turns each end by 4 h / L: 0.13 deg for 1/32 in over 56 in"),
    error_basis=common_practice("1/16 in over 56 in turns each end by 0.26 deg, half a degree of toe in all"),
    change=Words("straighten the tube, by heat on the other side or on a press, before anything is fitted"),
    place="tube_bow",
    effect="camber and toe are off, and the shafts and their bearings wear",
)
def tube_bow(job: Job, welded: Welded) -> float:
    """How far the axle tubes are out of straight."""
    return welded.tube_bow
