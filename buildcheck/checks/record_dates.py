"""The dates of what is on record: none is in the future.

It is judged by the present day, which no rule knows: its readings are made by the inspection itself, as those of
waivers are.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from buildcheck.build import Build
from buildcheck.build.measured import measurements
from buildcheck.build.part import Part
from buildcheck.checks.limit import Requirement, common_practice
from buildcheck.checks.rule import Area, Reading, Rule
from buildcheck.job import Cure
from buildcheck.spec.place import visible

_NOT_AHEAD = Requirement(
    "not-in-the-future",
    "it is dated today or before",
    common_practice("of several readings of one place the last one counts, and a date in the future makes it the last"),
)

RECORD_DATES = Rule(
    name="record-dates",
    area=Area.RECORDS,
    title="Nothing on record is dated in the future",
    page=(
        "Checked: the date of the revision, of the baseline, and of every measurement, against the present day.\n\n"
        "Risk: of several readings of one place the last one counts. One with a wrong year counts instead of every "
        "newer one, and the bracket that was moved since is judged by where it was.\n\n"
        "Worked out: by comparison with the present day. The dates of waivers are judged with the waivers.\n\n"
        "Remedy: correct the date."
    ),
    limits=(_NOT_AHEAD,),
    checks=(),
    samples=(),
)
"""The rule of these readings. It is listed like any other rule, but has no checks of a job."""


class Dated(NamedTuple):
    """A date on record: of what, for people, and its spec path."""

    day: date
    what: str
    place: str


def dated(build: Build) -> Iterator[Dated]:
    """Every date in the records of the spec."""
    if build.has("build") and (day := day_of(build.build, "date")) is not None:
        yield Dated(day, "the revision of the spec", build.build.path_of("date"))
    baseline = build.records.baseline if build.has("records") and build.records.has("baseline") else None
    if baseline is not None and (day := day_of(baseline, "taken_on")) is not None:
        yield Dated(day, "the baseline", baseline.path_of("taken_on"))
    for each in measurements(build):
        if (day := day_of(each, "measured_on")) is not None:
            yield Dated(day, f"the measurement of {visible(each.of)}", each.path_of("measured_on"))


def day_of(part: Part, name: str) -> date | None:
    """The date in a field of a part; None where there is none."""
    try:
        return date.fromisoformat(str(part.given().get(name, "")))
    except ValueError:  # no date, or a build that was not read through the schema
        return None


def in_the_future(build: Build, today: date) -> Iterator[Reading]:
    """An error for each date after the present day."""
    for each in dated(build):
        if each.day > today:
            yield Reading(
                rule=RECORD_DATES.name,
                area=RECORD_DATES.area,
                subject=each.what,
                quantity=_NOT_AHEAD.name,
                meaning=_NOT_AHEAD.meaning,
                verdict=_NOT_AHEAD.if_not,
                place=each.place,
                found=f"it is dated {each.day}, and today is {today}",
                required="a day that is not in the future",
                effect="the last reading of a place counts, so that this one hides those after it",
                basis=_NOT_AHEAD.basis,
                cure=Cure("correct the date"),
            )
