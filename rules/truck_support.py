"""The truck is held up safely while somebody is under it.

Checked: that the stands are at least a pair, are rated for what they carry and clear of the work, that the
wheels left on the floor are chocked, that the floor is level, and that the load is off the springs.

Risk: people are under the truck while it is cycled and welded. A truck that slides off its stands kills.

Worked out: the stated rating must be at least the whole load on this axle. Some makers rate one stand, others the pair;
this bound is on the safe side either way.

Remedy: larger stands, on a level floor of concrete, with the wheels chocked. Follow what the maker of the
stands and local rules of work safety say; they go before this page.
"""

from buildcheck.api import (
    Answer,
    Area,
    Dimension,
    Job,
    Rule,
    Sample,
    Stage,
    Stand,
    Support,
    Verdict,
    Words,
    at_least,
    common_practice,
    met,
)

rule = Rule(
    "truck-support",
    area=Area.SAFETY,
    page=__doc__,
    from_stage=Stage.TEARDOWN,
    entries=True,
    samples=(
        Sample("larger stands", {"support.stands": [{"where": "frame rails", "count": 2, "rating": "22000 lb"}]}),
        Sample(
            "one stand, and a light one",
            {"support.stands": [{"where": "frame rails behind the cab", "count": 1, "rating": "2000 lb"}]},
            {"stand-rating": Verdict.ERROR, "pair-of-stands": Verdict.ERROR},
        ),
        Sample("a floor that falls off", {"support.level_floor": False}, {"level-floor": Verdict.ERROR}),
        Sample("stands in the way of the axle", {"support.stands_clear": False}, {"stands-clear": Verdict.ERROR}),
        Sample(
            "springs that still carry load", {"support.springs_unloaded": False}, {"springs-unloaded": Verdict.ERROR}
        ),
        Sample("wheels that can roll", {"support.wheels_chocked": False}, {"wheels-chocked": Verdict.ERROR}),
    ),
)

larger_stands = Words("use stands that are each rated for the whole load on this axle")
FALLS = "the truck falls on whoever is under it"


def axle_load(job: Job, stand: Stand) -> float:
    return job.build.vehicle.axle_load


@rule.check(
    Stand,
    at_least(warning="150 %", error="100 %", of=axle_load, amounts=Dimension.MASS),
    change=larger_stands,
    physical_end="100 %",
    basis=common_practice("each stand carries the whole load for a moment, when the truck rocks onto it"),
    place="rating",
    effect=FALLS,
)
def stand_rating(job: Job, stand: Stand) -> float:
    """Rating of a stand as a share of the load on this axle."""
    return stand.rating


@rule.must(
    Stand,
    wanted="2 or more",
    change=Words("set a stand under both sides"),
    basis=common_practice("on one stand a truck tips"),
    place="count",
    effect=FALLS,
)
def pair_of_stands(job: Job, stand: Stand) -> Answer:
    """There is a stand under both sides."""
    return met(stand.count >= 2, f"{stand.count}", otherwise=f"{stand.count}")


@rule.must(
    Support,
    wanted="yes",
    change=Words("chock the wheels that stay on the floor, in front and behind"),
    basis=common_practice("a truck with one axle up rolls on the other"),
    place="wheels_chocked",
    effect=FALLS,
)
def wheels_chocked(job: Job, support: Support) -> Answer:
    """The wheels that stay on the floor are chocked."""
    return met(support.wheels_chocked, "yes", otherwise="no")


@rule.must(
    Support,
    wanted="yes",
    change=Words("move the truck to a level floor"),
    basis=common_practice("stands slide on a floor that falls off, and heights are read from the floor"),
    place="level_floor",
    effect=FALLS,
)
def level_floor(job: Job, support: Support) -> Answer:
    """The floor under the stands is level."""
    return met(support.level_floor, "yes", otherwise="no")


@rule.must(
    Support,
    wanted="yes",
    change=Words("set the stands under the frame, behind the last bracket and clear of tyres, links and driveshaft"),
    basis=common_practice("an axle that swings against a stand pushes it over"),
    place="stands_clear",
    effect=FALLS,
)
def stands_clear(job: Job, support: Support) -> Answer:
    """The stands are clear of the work and of the whole cycle."""
    return met(support.stands_clear, "yes", otherwise="no")


@rule.must(
    Support,
    wanted="yes",
    change=Words("let the axle hang on stands or a jack until no spring carries load; then loosen its bolts"),
    basis=common_practice("a spring under load throws its bolt, and drops the axle"),
    place="springs_unloaded",
    effect="a spring throws a part at whoever loosens it",
)
def springs_unloaded(job: Job, support: Support) -> Answer:
    """The load is off each spring before it is loosened."""
    return met(support.springs_unloaded, "yes", otherwise="no")
