"""Brackets are welded by a procedure that is on paper."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Attachment,
    Build,
    Finding,
    Job,
    Requirement,
    Sample,
    Verdict,
    common_practice,
    does_not_apply,
    require,
    rule,
)

PROCEDURE = "shop.our_shop.weld_procedure"
ON_PAPER = common_practice("what is not written down is done another way each time")

NAMED = Requirement("procedure-named", "the procedure has a name, and someone has approved it", basis=ON_PAPER)
DATED = Requirement("procedure-dated", "the procedure was approved before the build was drawn", basis=ON_PAPER)
COVERS = Requirement("process-covered", "the procedure is for the process of the bracket's weld", basis=ON_PAPER)

GOOD = {
    "name": "procedure 7",
    "approved_on": "2026-01-12",
    "approved_by": "an inspector",
    "processes": ["gas-metal-arc"],
}


def covers(job: Job, bracket: Attachment) -> Iterator[Finding]:
    """Each bracket's process against those of the procedure."""
    if bracket.method != "welded":
        yield does_not_apply("it is bolted")
        return
    processes = job.build.value(f"{PROCEDURE}.processes")
    yield require(
        COVERS,
        met=bracket.weld.process in processes,
        found=bracket.weld.process.replace("-", " "),
        wanted=" or ".join(process.replace("-", " ") for process in processes),
        place=bracket.path_of("weld", "process"),
        cure="weld it by a process that the procedure is for, or have a procedure approved for this one",
    )


@rule(
    "weld-procedure",
    area=Area.RECORDS,
    subject="build",
    also=[("attachment", covers)],
    limits=[NAMED, DATED, COVERS],
    samples=[
        Sample("a procedure that is whole", {PROCEDURE: GOOD}),
        Sample(
            "approved after the build was drawn, by nobody, and for another process",
            {PROCEDURE: {**GOOD, "approved_on": "2026-04-01", "approved_by": " ", "processes": ["gas-tungsten-arc"]}},
            {
                "procedure-named": Verdict.ERROR,
                "procedure-dated": Verdict.ERROR,
                "process-covered": Verdict.ERROR,
            },
        ),
    ],
)
def weld_procedure(job: Job, build: Build) -> Iterator[Finding]:
    """Brackets are welded by a procedure that is on paper.

    What it checks: that the welding procedure in the shop's fields is named, approved by someone, approved before the
    day of the build, and for the process of every bracket that is welded.

    Why: a bracket that comes off takes the axle with it, and a procedure found afterwards has held nothing.

    How it is computed: by comparing what the fields say; days as they are written, year first.

    To put it right: have the procedure approved, and write it into the spec.
    """
    name, approver = (build.value(f"{PROCEDURE}.{key}") for key in ("name", "approved_by"))
    yield require(
        NAMED,
        met=bool(name.strip() and approver.strip()),
        found=f"{name.strip() or 'no name'}, approved by {approver.strip() or 'nobody'}",
        wanted="a name, and who approved it",
        place=f"{PROCEDURE}.approved_by" if name.strip() else f"{PROCEDURE}.name",
        cure="write into the spec what the procedure is called and who approved it",
    )
    approved, drawn = build.value(f"{PROCEDURE}.approved_on"), build.build.date
    yield require(
        DATED,
        met=approved <= drawn,
        found=f"approved on {approved}",
        wanted=f"no later than {drawn}, the day of the build",
        place=f"{PROCEDURE}.approved_on",
        cure="have the procedure approved before the build",
    )
