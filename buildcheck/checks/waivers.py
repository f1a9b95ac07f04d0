"""Waivers: the readings that a spec has accepted, by whom, why and until when; and invalid waivers.

A waiver never hides anything: a waived reading stays in the record, and a waiver that waives nothing makes one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple

from buildcheck.build import Build, Missing, Stage
from buildcheck.build.records import Waiver
from buildcheck.checks.limit import Basis, Requirement, Verdict, common_practice
from buildcheck.checks.rule import Area, Reading, Rule, Waived
from buildcheck.checks.standard import Standard
from buildcheck.job import Cure
from buildcheck.spec.names import no_such
from buildcheck.spec.place import blank, split

_PRACTICE = common_practice("a deviation is accepted by a named person, for a reason and for a time, and reviewed")
_ORDER = Requirement(
    "in-order", "the waiver names a rule and a place, and says who, when, why and until when", _PRACTICE
)
_ALLOWED = Requirement("allowed", "its rule is one that may be waived", _PRACTICE)
_NOT_ENDED = Requirement("not-ended", "it has not passed its agreed end", _PRACTICE)
_AGREED = Requirement("agreed-for-this", "it was agreed for an error where its rule now finds one", _PRACTICE)
_NEEDED = Requirement("needed", "its rule still finds what it waives", _PRACTICE, if_not=Verdict.WARNING)

WAIVERS = Rule(
    name="waivers",
    area=Area.RECORDS,
    title="Waivers are in order, and still needed",
    page=(
        "Checked: every waiver of the spec: whether its rule and place are known, whether its rule may be "
        "waived, whether it was agreed for an error where its rule finds one, whether it has ended, and whether its "
        "rule still finds what it waives.\n\n"
        "Risk: an accepted deviation that is never reviewed becomes a habit. One accepted as a warning may have become "
        "an error since.\n\n"
        "Worked out: a waiver waives the warnings of its rule at its place or below it, and with "
        "`covers: error` the errors too. Without that an error stays, and the waiver is an error as well. A waiver "
        "ends after its stage or its date. Waived readings stay in the record. The failure of a rule cannot be "
        "waived.\n\n"
        "Remedy: correct the waiver, agree on a new one, or delete it and fix what it waived."
    ),
    limits=(_ORDER, _ALLOWED, _AGREED, _NOT_ENDED, _NEEDED),
    checks=(),
    samples=(),
)
"""The rule of the readings of waivers. It is listed like any other rule, but has no checks of a job."""


class Situation(NamedTuple):
    """The data used to judge waivers: the names of all rules and of those applied, the stage, the shop's standard, and
    the date; without a date, no end date can be judged. With `only`, waivers of other rules are not judged. `use` is
    the truck's intended use; None where the spec states none."""

    known: Collection[str]
    applied: Collection[str]
    stage: Stage
    standard: Standard | None
    today: date | None
    only: Collection[str] | None = None
    use: str | None = None


def waive(build: Build, readings: Iterable[Reading], situation: Situation) -> tuple[Reading, ...]:
    """The readings, with those waived that the build's waivers cover, and one more for each invalid waiver.

    A waiver of a rule that was not applied is judged only by its own fields. Other readings are not changed.
    """
    found = list(readings)
    if not build.has("waivers"):
        return tuple(found)
    judged = [
        (waiver, _wrong(waiver, situation))
        for waiver in build.waivers
        if situation.only is None or waiver.given().get("rule") in situation.only
    ]
    in_order = [waiver for waiver, wrong in judged if wrong is None]
    for index, reading in enumerate(found):
        by = next((waiver for waiver in in_order if _is_of(waiver, reading) and _agreed_for(waiver, reading)), None)
        if by is not None:
            found[index] = _waived(by, reading)
    own: list[Reading] = []
    for waiver, wrong in judged:
        own.extend(_said_of(waiver, found, situation) if wrong is None else [wrong])
    return (*found, *own)


def _said_of(waiver: Waiver, readings: Sequence[Reading], situation: Situation) -> Iterator[Reading]:
    """The readings of a valid waiver, after all waivers were applied."""
    matched = [reading for reading in readings if _is_of(waiver, reading)]
    left = [reading for reading in matched if reading.verdict is Verdict.ERROR]
    if left:  # a waiver agreed for an error would have waived these
        yield _not_agreed(waiver, left)
    if not matched:
        yield from _idle(waiver, readings, situation)


def _is_of(waiver: Waiver, reading: Reading) -> bool:
    """Whether a waiver matches a reading: its rule, and its place or one above it; also one already waived."""
    # A failed rule gives an error as well, which no waiver covers.
    if reading.rule != waiver.rule or reading.failure:
        return False
    return reading.verdict in (Verdict.ERROR, Verdict.WARNING, Verdict.WAIVED) and _within(reading.place, waiver.place)


def _agreed_for(waiver: Waiver, reading: Reading) -> bool:
    """Whether a waiver covers the verdict of a reading: always a warning, an error only where it says so."""
    return reading.verdict is not Verdict.ERROR or (waiver.has("covers") and waiver.covers == Verdict.ERROR)


def _not_agreed(waiver: Waiver, errors: Sequence[Reading]) -> Reading:
    worst = ", ".join(dict.fromkeys(f"{error.quantity or error.rule} of the {error.subject}" for error in errors))
    errors_are = f"{len(errors)} readings are errors" if len(errors) > 1 else "1 reading is an error"
    found = f"it covers warnings only, and {errors_are}: {worst}"
    cure = "fix the errors; or agree on them, and write covers: error"
    return _reading(waiver, _AGREED, waiver.path, found, "no error, or a waiver that says covers: error", cure)


def _within(place: str, above: str) -> bool:
    try:
        steps, first = split(place), split(above)
    except ValueError:  # a plugin's rule may call anything a place
        return place == above
    return bool(first) and steps[: len(first)] == first


def _waived(waiver: Waiver, reading: Reading) -> Reading:
    until = f"stage {waiver.until_stage}" if waiver.has("until_stage") else str(waiver.until_date)
    waived = Waived(reading.verdict, waiver.reason, waiver.who, waiver.date, until, waiver.path)
    return reading._replace(verdict=Verdict.WAIVED, waived=waived)


def _wrong(waiver: Waiver, situation: Situation) -> Reading | None:
    """The reading of a waiver that waives nothing; None for a valid one."""
    try:
        return _not_in_order(waiver, situation) or _not_allowed(waiver, situation) or _ended(waiver, situation)
    except Missing as missing:  # only in a build that was not read from a valid spec
        found, cure = f"it lacks {missing.path}", f"write {missing.path}, or delete the waiver"
        return _reading(waiver, _ORDER, missing.path, found, "all of these", cure)


def _not_in_order(waiver: Waiver, situation: Situation) -> Reading | None:
    if waiver.rule not in situation.known:
        sentence = no_such("rule", waiver.rule, situation.known)
        cure = "correct the name, or delete the waiver"
        return _reading(waiver, _ORDER, waiver.path_of("rule"), sentence, "the name of a rule", cure)
    try:
        split(waiver.place)
    except ValueError as error:
        cure = "write the place as the record gives it"
        return _reading(waiver, _ORDER, waiver.path_of("place"), str(error), "a place in the spec", cure)
    for name in ("reason", "who", "date"):
        if blank(getattr(waiver, name)):  # raises Missing where it is absent
            cure = f"write the {name}, or delete the waiver"
            return _reading(waiver, _ORDER, waiver.path_of(name), "it is blank", "something that can be read", cure)
    if situation.today is not None and date.fromisoformat(waiver.date) > situation.today:
        found, cure = f"it was agreed on {waiver.date}, and today is {situation.today.isoformat()}", "correct the date"
        return _reading(waiver, _ORDER, waiver.path_of("date"), found, "a date that is not in the future", cure)
    if not waiver.has("until_date") and not waiver.has("until_stage"):
        found, wanted = "it has no end", "until_stage or until_date"
        return _reading(waiver, _ORDER, waiver.path, found, wanted, "write until_stage or until_date")
    return None


def _not_allowed(waiver: Waiver, situation: Situation) -> Reading | None:
    ban = None if situation.standard is None else situation.standard.ban_on_waiving(waiver.rule)
    if ban is None:
        return None
    found = f"the standard allows no waiver of {waiver.rule}, so this one waives nothing"
    cure = f"delete the waiver, and fix what {waiver.rule} finds"
    place = waiver.path_of("rule")
    return _reading(waiver, _ALLOWED, place, found, f"no waiver of {waiver.rule}", cure, basis=ban.basis)


def _ended(waiver: Waiver, situation: Situation) -> Reading | None:
    cure = "fix what it waived and delete it, or agree on a new waiver"
    if waiver.has("until_stage") and situation.stage.number > Stage(waiver.until_stage).number:
        found = f"it ended with stage {waiver.until_stage}, and the stage is now {situation.stage.value}"
        wanted = "a stage that has not passed"
        return _reading(waiver, _NOT_ENDED, waiver.path_of("until_stage"), found, wanted, cure)
    if not waiver.has("until_date"):
        return None
    place = waiver.path_of("until_date")
    if situation.today is None:
        reason = "the present date is not given, so the waiver may have ended, and it waives nothing"
        return _not_known(waiver, place, reason)
    if situation.today > date.fromisoformat(waiver.until_date):
        found = f"it ended on {waiver.until_date}, and today is {situation.today.isoformat()}"
        return _reading(waiver, _NOT_ENDED, place, found, "a date that has not passed", cure)
    return None


def _idle(waiver: Waiver, readings: Sequence[Reading], situation: Situation) -> Iterator[Reading]:
    """The readings of a valid waiver that matches no reading."""
    standard, rule = situation.standard, waiver.rule
    off = "" if standard is None else standard.reason_off(rule, situation.use)
    if rule not in situation.applied and not off:
        return  # the rule was not applied
    of_rule = [reading for reading in readings if reading.rule == rule]
    if any(reading.failure for reading in of_rule):
        return  # the failure has a reading of its own
    unchecked = next((reading for reading in of_rule if reading.verdict is Verdict.NOT_CHECKED), None)
    if unchecked is not None:
        reason = f"{rule} could not check everything ({unchecked.reason}), so this waiver may or may not be needed"
        yield _not_known(waiver, waiver.path, reason)
        return
    wanted = f"something that {rule} finds at {waiver.place}"
    if off:
        found = f"the shop standard switches {rule} off"
        yield _reading(waiver, _NEEDED, waiver.path_of("rule"), found, wanted, "delete the waiver")
        return
    places = dict.fromkeys(reading.place for reading in of_rule if reading.verdict in (Verdict.ERROR, Verdict.WARNING))
    elsewhere = f"; what it finds is at {', '.join(places)}" if places else ""
    cure = "delete the waiver, or correct its place" if places else "delete the waiver"
    found = f"{rule} finds nothing there{elsewhere}"
    yield _reading(waiver, _NEEDED, waiver.path_of("place"), found, wanted, cure)


def _reading(
    waiver: Waiver, broken: Requirement, place: str, found: str, wanted: str, cure: str, basis: Basis | None = None
) -> Reading:
    return Reading(
        rule=WAIVERS.name,
        area=WAIVERS.area,
        subject=waiver.label,
        quantity=broken.name,
        meaning=broken.meaning,
        verdict=broken.if_not,
        place=place,
        found=found,
        required=wanted,
        effect="" if broken is _NEEDED else "the errors and warnings that it should waive still count",
        basis=basis or broken.basis,
        cure=Cure(cure),
    )


def _not_known(waiver: Waiver, place: str, reason: str) -> Reading:
    rule = WAIVERS
    return Reading(rule.name, rule.area, waiver.label, "", rule.title, Verdict.NOT_CHECKED, place, reason=reason)
