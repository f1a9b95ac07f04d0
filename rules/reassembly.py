"""The truck is put together with new parts where they are due, filled, bled, and dry.

Checked: once it is reassembled, that the parts on the renewal list are new, that the brakes are bled and
nothing leaks, that fluids are at their marks, the vent is open, every bolt is tight, and every line is clipped.

Risk: a brake that was not bled, a seal that was cooked by a weld, a line that hangs into the cycle: each is quiet
until it is needed.

Worked out: from what the records state.

Remedy: do what is left out, before the truck leaves the stands.
"""

from buildcheck.api import (
    Answer,
    Area,
    Job,
    Reassembled,
    RenewedPart,
    Rule,
    Sample,
    Stage,
    Verdict,
    Words,
    common_practice,
    met,
)

DONE = {
    "renewed": {"axle_shaft_seals": {"renewed": True}},
    "brakes_bled": True,
    "no_leaks": True,
    "fluids_filled": True,
    "vent_clear": True,
    "bolts_tightened": True,
    "lines_secured": True,
}
LEFT_OUT = {**dict.fromkeys(DONE, False), "renewed": {"axle_shaft_seals": {"renewed": False}}}

rule = Rule(
    "reassembly",
    area=Area.SAFETY,
    page=__doc__,
    from_stage=Stage.REASSEMBLED,
    entries=True,
    samples=(
        Sample("everything done", {"records.reassembled": DONE}),
        Sample(
            "everything left out",
            {"records.reassembled": LEFT_OUT},
            {
                "renewed": Verdict.WARNING,
                "brakes-bled": Verdict.ERROR,
                "no-leaks": Verdict.ERROR,
                "fluids-filled": Verdict.ERROR,
                "vent-clear": Verdict.WARNING,
                "bolts-tightened": Verdict.ERROR,
                "lines-secured": Verdict.ERROR,
            },
        ),
    ),
)


@rule.must(
    RenewedPart,
    wanted="yes",
    otherwise=Verdict.WARNING,
    basis=common_practice("seals, cotter pins and lock nuts cost little while the truck is apart, and a day later on"),
    change=Words("fit a new one while it is apart"),
    place="renewed",
    effect="it leaks, or lets go, soon after the work",
)
def renewed(job: Job, part: RenewedPart) -> Answer:
    """The part on the renewal list is new."""
    return met(part.renewed, "yes", otherwise="no")


@rule.must(
    Reassembled,
    wanted="yes",
    basis=common_practice("a line that was opened has air in it"),
    change=Words("bleed until the pedal is firm and stays so"),
    place="brakes_bled",
    effect="the brakes fail",
)
def brakes_bled(job: Job, reassembled: Reassembled) -> Answer:
    """The brakes were bled until the pedal is firm."""
    return met(reassembled.brakes_bled, "yes", otherwise="no")


@rule.must(
    Reassembled,
    wanted="yes",
    basis=common_practice("a joint that weeps under a held pedal bursts under a hard one"),
    change=Words("hold the pedal down for a minute, look at every joint, and mend what is wet"),
    place="no_leaks",
    effect="brakes or steering fail",
)
def no_leaks(job: Job, reassembled: Reassembled) -> Answer:
    """Brakes, axle and steering are dry under pressure."""
    return met(reassembled.no_leaks, "yes", otherwise="no")


@rule.must(
    Reassembled,
    wanted="yes",
    basis=common_practice("an axle that was apart is empty"),
    change=Words("fill to the marks"),
    place="fluids_filled",
    effect="gears and pumps run dry",
)
def fluids_filled(job: Job, reassembled: Reassembled) -> Answer:
    """Fluids are at their marks."""
    return met(reassembled.fluids_filled, "yes", otherwise="no")


@rule.must(
    Reassembled,
    wanted="yes",
    otherwise=Verdict.WARNING,
    basis=common_practice("a closed vent pushes oil past the seals, onto the brakes"),
    change=Words("open the vent, and lead its hose so that it reaches at full droop"),
    place="vent_clear",
    effect="oil on the brakes",
)
def vent_clear(job: Job, reassembled: Reassembled) -> Answer:
    """The vent of the axle is open."""
    return met(reassembled.vent_clear, "yes", otherwise="no")


@rule.must(
    Reassembled,
    wanted="yes",
    basis=common_practice(
        "a bolt is tightened once, by a wrench that shows the torque, and marked; rubber is not wound up"
    ),
    change=Words("tighten each bolt to its torque, rubber bushings with the truck on its wheels, and mark it"),
    place="bolts_tightened",
    effect="a joint comes apart, or its rubber tears",
)
def bolts_tightened(job: Job, reassembled: Reassembled) -> Answer:
    """Every bolt is tightened to its torque and marked."""
    return met(reassembled.bolts_tightened, "yes", otherwise="no")


@rule.must(
    Reassembled,
    wanted="yes",
    basis=common_practice("a line that hangs is cut by a tyre or melted by the exhaust"),
    change=Words("clip every line and wire, and cycle the axle once more"),
    place="lines_secured",
    effect="a brake line is cut",
)
def lines_secured(job: Job, reassembled: Reassembled) -> Answer:
    """Every line and wire is clipped, clear of the cycle."""
    return met(reassembled.lines_secured, "yes", otherwise="no")
