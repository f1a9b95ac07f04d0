"""The brackets are ready to weld: old mounts off, bare metal, a close fit, and tacks that can be cut again.

Checked: from the tacked stage on, that the old mounts are off, that the rotation was set from the side of the
differential, that each jam nut fits, and for each welded bracket the gap to its parent, the bare metal, and whether
the tacks can be reached.

Risk: a bracket across a gap is held by half a bead. Paint and plating make pores, and the fume of zinc is poisonous. A
tack that no wheel reaches makes a bracket final before the axle was cycled.

Worked out: from what the records state.

Remedy: fit the bracket closer, or pad the gap; grind; set the tacks where they can be reached.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Job,
    Rule,
    Sample,
    Stage,
    Tacked,
    Verdict,
    Words,
    at_most,
    common_practice,
    from_memory,
    met,
)

DONE = {"old_mounts_removed": True, "rotation_set_from": "differential-side", "jam_nuts_fitted": True}


def one_bracket(gap: str, *, good: bool) -> dict[str, object]:
    fit_up = {"gap": gap, "bare_metal": good, "tacks_in_reach": good}
    return {"arm_frame_bracket": {"both": {"holds": "links.arm", "method": "welded", "fit_up": fit_up}}}


rule = Rule(
    "tacked-up",
    area=Area.WELDS,
    page=__doc__,
    from_stage=Stage.TACKED,
    entries=True,
    samples=(
        Sample(
            "a bracket that fits",
            {
                "attachments": one_bracket("1/32 in", good=True),
                "records.tacked": DONE,
            },
        ),
        Sample(
            "a bracket across a gap, on paint, and the old mounts still on",
            {
                "attachments": one_bracket("1/4 in", good=False),
                "records.tacked": {
                    "old_mounts_removed": False,
                    "rotation_set_from": "other-side",
                    "jam_nuts_fitted": False,
                },
            },
            {
                "gap": Verdict.ERROR,
                "bare-metal": Verdict.ERROR,
                "tacks-in-reach": Verdict.WARNING,
                "old-mounts-removed": Verdict.ERROR,
                "rotation-set-from": Verdict.WARNING,
                "jam-nuts-fitted": Verdict.ERROR,
            },
        ),
    ),
)


def welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is welded."""
    return bracket.not_welded


@rule.check(
    Attachment,
    at_most(warning="1/16 in", error="3/16 in"),
    basis=from_memory(
        "AWS D1.1, assembly of fillet welds",
        "parts are as close as practicable; beyond 1/16 in the leg grows by the gap",
    ),
    error_basis=from_memory("AWS D1.1, assembly of fillet welds", "the gap is no more than 3/16 in"),
    change=Words("fit the bracket closer; or make the leg larger by the gap"),
    when=welded,
    place="fit_up.gap",
    effect="the bead bridges the gap and holds by less than its leg",
)
def gap(job: Job, bracket: Attachment) -> float:
    """Largest gap between the bracket and what it is welded to."""
    return bracket.fit_up.gap


@rule.must(
    Attachment,
    wanted="yes",
    basis=common_practice("paint, plating, rust and old weld make pores and cracks"),
    change=Words("grind to bright metal, an inch to each side of the weld; keep out of the fume of zinc"),
    when=welded,
    place="fit_up.bare_metal",
    effect="the weld has pores, or does not fuse",
)
def bare_metal(job: Job, bracket: Attachment) -> Answer:
    """The metal is bare where the bracket is welded."""
    return met(bracket.fit_up.bare_metal, "yes", otherwise="no")


@rule.must(
    Attachment,
    wanted="yes",
    otherwise=Verdict.WARNING,
    basis=common_practice("what the cycle shows may move a bracket, and its tacks are cut"),
    change=Words("tack it where a cutting wheel gets in"),
    when=welded,
    place="fit_up.tacks_in_reach",
    effect="the bracket cannot be moved after the cycle",
)
def tacks_in_reach(job: Job, bracket: Attachment) -> Answer:
    """A cutting wheel reaches every tack of the bracket."""
    return met(bracket.fit_up.tacks_in_reach, "yes", otherwise="no")


@rule.must(
    Tacked,
    wanted="yes",
    basis=common_practice("a new bracket on the stub of an old mount sits crooked, and hides cracks"),
    change=Words("cut the old mounts off, grind the tube smooth and look for cracks"),
    place="old_mounts_removed",
    effect="brackets sit on old weld",
)
def old_mounts_removed(job: Job, tacked: Tacked) -> Answer:
    """The old mounts are cut off, and tube and frame are ground smooth."""
    return met(tacked.old_mounts_removed, "yes", otherwise="no")


@rule.must(
    Tacked,
    wanted="the side of the differential first",
    otherwise=Verdict.WARNING,
    basis=common_practice("the casting leaves the least room, so its bracket decides the rotation of both"),
    change=Words("set the rotation of the bracket beside the differential, and the other one to match"),
    place="rotation_set_from",
    effect="the bracket beside the casting has to be twisted to fit, and the caster with it",
)
def rotation_set_from(job: Job, tacked: Tacked) -> Answer:
    """The rotation of the brackets was set from the side of the differential."""
    found = tacked.rotation_set_from
    return met(found == "differential-side", "the side of the differential first", otherwise="the other side first")


@rule.must(
    Tacked,
    wanted="yes",
    basis=common_practice("a joint that cannot be screwed in far enough shows when the link is fitted for the cycle"),
    change=Words("screw each joint in as far as planned and turn its jam nut home; shorten a tube that is too long"),
    place="jam_nuts_fitted",
    effect="a joint works loose in its thread",
)
def jam_nuts_fitted(job: Job, tacked: Tacked) -> Answer:
    """Every joint with a shank is screwed in as planned, and its jam nut fits."""
    return met(tacked.jam_nuts_fitted, "yes", otherwise="no")
