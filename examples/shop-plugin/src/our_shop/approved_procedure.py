"""Brackets are welded by a written procedure.

Checked: that the welding procedure in the shop's fields has a name, an approver and an approval date no later
than the build, and covers the process of every welded bracket.

Risk: a bracket that comes off takes the axle with it, and a procedure written afterwards does not help.

Worked out: by comparing the fields; dates as written, year first.

Remedy: have the procedure approved, and write it into the spec.
"""

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Build,
    Job,
    Rule,
    Sample,
    Verdict,
    Words,
    common_practice,
    met,
)

PROCEDURE = "shop.our_shop.weld_procedure"
ON_PAPER = common_practice("work without a written procedure is done differently each time")

GOOD = {
    "name": "procedure 7",
    "approved_on": "2026-01-12",
    "approved_by": "an inspector",
    "processes": ["gas-metal-arc"],
}

rule = Rule(
    "approved-procedure",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("a complete procedure", {PROCEDURE: GOOD}),
        Sample(
            "approved after the build was drawn, without an approver, and for another process",
            {PROCEDURE: {**GOOD, "approved_on": "2026-04-01", "approved_by": " ", "processes": ["gas-tungsten-arc"]}},
            {
                "procedure-named": Verdict.ERROR,
                "procedure-dated": Verdict.ERROR,
                "process-covered": Verdict.ERROR,
            },
        ),
    ),
)


def field(job: Job, name: str) -> str:
    """Text of a field of the procedure, without surrounding blanks. Raises Missing where the spec lacks it."""
    return str(job.build.value(f"{PROCEDURE}.{name}")).strip()


def place_of_name(job: Job, build: Build) -> str:
    return f"{PROCEDURE}.approved_by" if field(job, "name") else f"{PROCEDURE}.name"


@rule.must(
    Build,
    wanted="a name, and who approved it",
    basis=ON_PAPER,
    change=Words("write in the spec the name of the procedure and who approved it"),
    place=place_of_name,
)
def procedure_named(job: Job, build: Build) -> Answer:
    """The procedure has a name, and someone has approved it."""
    name, approver = field(job, "name"), field(job, "approved_by")
    found = f"{name or 'no name'}, approved by {approver or 'no one'}"
    return met(bool(name and approver), found, otherwise=found)


@rule.must(
    Build,
    wanted="approved no later than the day of the build",
    basis=ON_PAPER,
    change=Words("have the procedure approved before the build"),
    place=f"{PROCEDURE}.approved_on",
)
def procedure_dated(job: Job, build: Build) -> Answer:
    """The procedure was approved before the build was drawn."""
    approved, drawn = field(job, "approved_on"), build.build.date
    found = f"approved on {approved}, and the build is of {drawn}"
    return met(approved <= drawn, found, otherwise=found)


def welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where the bracket is welded."""
    return "it is bolted" if bracket.method == "bolted" else None


@rule.must(
    Attachment,
    wanted="a process that the procedure covers",
    basis=ON_PAPER,
    change=Words("weld it by a process that the procedure covers, or have a procedure approved for this one"),
    place="weld.process",
    when=welded,
)
def process_covered(job: Job, bracket: Attachment) -> Answer:
    """The procedure covers the process of the bracket's weld."""
    covered, process = job.build.value(f"{PROCEDURE}.processes"), bracket.weld.process
    said = f"{', '.join(covered)}; the weld is {process}".replace("-", " ")
    return met(process in covered, f"the procedure is for {said}", otherwise=f"the procedure is only for {said}")
