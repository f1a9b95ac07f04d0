"""Waivers: the readings that a spec has accepted, by whom, why and until when; and invalid waivers.

A waiver never hides anything: a waived reading stays in the record, and a waiver that waives nothing makes one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from buildcheck.build import Build, Missing, Side, Stage
from buildcheck.build.records import Waiver
from buildcheck.checks.limit import Basis, Limit, Requirement, Verdict, common_practice
from buildcheck.checks.rule import Area, Reading, Rule, Waived
from buildcheck.checks.standard import Standard, WaiverTerms
from buildcheck.checks.waiver_size import Size, alike, size_of
from buildcheck.job import Cure
from buildcheck.spec.names import no_such
from buildcheck.spec.place import blank, split, with_side
from buildcheck.spec.quantity import QuantityError, System, parse, show

_PRACTICE = common_practice("a deviation is accepted by a named person, for a reason and for a time, and reviewed")
_ORDER = Requirement(
    "in-order", "the waiver names a rule and a place, and says who, when, why and until when", _PRACTICE
)
_ALLOWED = Requirement("allowed", "its rule is one that may be waived", _PRACTICE)
_SIZED = Requirement(
    "sized",
    "it names the limit, and how far the deviation goes: up_to, or accepts for a requirement",
    _PRACTICE,
    if_not=Verdict.WARNING,
)
_WITHIN = Requirement("within-its-size", "what its rule finds is not beyond what was accepted", _PRACTICE)
_NOT_ENDED = Requirement("not-ended", "it has not passed its agreed end", _PRACTICE)
_AGREED = Requirement("agreed-for-this", "it was agreed for an error where its rule now finds one", _PRACTICE)
_NEEDED = Requirement("needed", "its rule still finds what it waives", _PRACTICE, if_not=Verdict.WARNING)

WAIVERS = Rule(
    name="waivers",
    area=Area.RECORDS,
    title="Waivers are in order, and still needed",
    page=(
        "Checked: every waiver of the spec: whether its rule, limit and place are known, whether its rule may be "
        "waived, whether it says how far it goes, whether what its rule finds is beyond that, whether it was "
        "agreed for an error where its rule finds one, whether it has ended, and whether its rule still finds what it "
        "waives.\n\n"
        "Risk: an accepted deviation that is never reviewed becomes a habit. One accepted as a warning may have become "
        "an error since.\n\n"
        "Worked out: a waiver waives the warnings of its limit on the part at its place, or on the parts below it, up "
        "to the value that was accepted (`up_to`; for a requirement what was found, `accepts`), and with `covers: "
        "error` the errors too. A value beyond that, and an error that it does not cover, stay, and the waiver is an "
        "error as well. It holds for the part, also where the place of the repair is another one than before; a value "
        "of the whole build is found by rule and limit alone. A waiver without a limit and a size is of the old form: "
        "it covers warnings only, and is a warning. A waiver ends after its stage or its date, and after the longest "
        "time that the shop's standard allows. Waived readings stay in the record. The failure of a rule cannot be "
        "waived.\n\n"
        "Remedy: correct the waiver, agree on a new one, or delete it and fix what it waived."
    ),
    limits=(_ORDER, _ALLOWED, _SIZED, _WITHIN, _AGREED, _NOT_ENDED, _NEEDED),
    checks=(),
    samples=(),
)
"""The rule of the readings of waivers. It is listed like any other rule, but has no checks of a job."""


class Situation(NamedTuple):
    """The data used to judge waivers: all rules by name, the names of those applied, the stage, the shop's standard,
    and the date; without a date, no end date can be judged. With `only`, waivers of other rules are not judged. `use`
    is the truck's intended use, None where the spec states none; `system` has the units of the spec."""

    known: Mapping[str, Rule]
    applied: Collection[str]
    stage: Stage
    standard: Standard | None
    today: date | None
    only: Collection[str] | None = None
    use: str | None = None
    system: System = System.METRIC


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
    sizes = {
        waiver.path: size_of(waiver, situation.known, situation.system) for waiver, wrong in judged if wrong is None
    }
    for index, reading in enumerate(found):
        covering = (
            waiver
            for waiver, wrong in judged
            if wrong is None and _is_of(waiver, reading) and _agreed_for(waiver, reading)
        )
        by = next((waiver for waiver in covering if sizes[waiver.path].holds(reading)), None)
        if by is not None:
            found[index] = _waived(by, reading, sizes[by.path])
    own: list[Reading] = []
    for waiver, wrong in judged:
        own.extend([wrong] if wrong is not None else _said_of(waiver, sizes[waiver.path], found, situation))
    return (*found, *own)


def _said_of(waiver: Waiver, size: Size, readings: Sequence[Reading], situation: Situation) -> Iterator[Reading]:
    """The readings of a valid waiver, after all waivers were applied."""
    matched = [reading for reading in readings if _is_of(waiver, reading)]
    left = [reading for reading in matched if reading.verdict is not Verdict.WAIVED]
    if not waiver.has("limit"):
        found = "it names no limit and does not say how far it goes, so it covers warnings only"
        cure = "write limit, and up_to with the value that was accepted; or accepts, for a requirement"
        yield _reading(waiver, _SIZED, waiver.path, found, _SIZED.meaning, cure)
    if errors := [reading for reading in left if not _agreed_for(waiver, reading)]:
        yield _not_agreed(waiver, errors)
    if beyond := [reading for reading in left if _agreed_for(waiver, reading) and not size.holds(reading)]:
        yield _beyond(waiver, size, beyond)
    if not matched:
        yield from _idle(waiver, readings, situation)


def _is_of(waiver: Waiver, reading: Reading) -> bool:
    """Whether a waiver matches a warning or an error, also one already waived: by its rule and its place, or one above
    it; where it names a limit, by the limit and the part."""
    # A failed rule gives an error as well, which no waiver covers.
    if reading.rule != waiver.rule or reading.failure:
        return False
    if reading.verdict not in (Verdict.ERROR, Verdict.WARNING, Verdict.WAIVED):
        return False
    if not waiver.has("limit"):
        return _within(reading.place, waiver.place)
    return reading.quantity == waiver.limit and (_within(reading.place, waiver.place) or _is_on(waiver, reading.path))


def _is_on(waiver: Waiver, part: str) -> bool:
    """Whether the place of a waiver is on a part, or above it; always so for the whole build."""
    places = [waiver.place, *(with_side(waiver.place, side.value) for side in (Side.LEFT, Side.RIGHT))]
    return not part or any(_within(part, place) or _within(place, part) for place in places)


def _agreed_for(waiver: Waiver, reading: Reading) -> bool:
    """Whether a waiver covers the verdict of a reading, also of one already waived: always a warning; an error only
    where it says so, and how far."""
    verdict = reading.verdict if reading.waived is None else reading.waived.instead_of
    if verdict is not Verdict.ERROR:
        return True
    return waiver.has("limit") and waiver.has("covers") and waiver.covers == Verdict.ERROR


def _not_agreed(waiver: Waiver, errors: Sequence[Reading]) -> Reading:
    worst = ", ".join(dict.fromkeys(f"{error.quantity or error.rule} of the {error.subject}" for error in errors))
    errors_are = f"{len(errors)} readings are errors" if len(errors) > 1 else "1 reading is an error"
    found = f"it covers warnings only, and {errors_are}: {worst}"
    rest = "" if waiver.has("limit") else "limit, up_to or accepts, and "
    cure = f"fix the errors; or agree on them, and write {rest}covers: error"
    return _reading(waiver, _AGREED, waiver.path, found, "no error, or a waiver that says covers: error", cure)


def _beyond(waiver: Waiver, size: Size, readings: Sequence[Reading]) -> Reading:
    where = ", ".join(dict.fromkeys(f"the {reading.subject}" for reading in readings))
    field = "accepts" if size.accepts else "up_to"
    what = "more"
    if size.accepts:
        what = f"something else ({'; '.join(dict.fromkeys(each.found for each in readings))})"
    found = f"it accepts {waiver.limit} {size.words}, and {waiver.rule} finds {what} on {where}"
    cure = "fix what has become worse, or agree on a new waiver"
    return _reading(waiver, _WITHIN, waiver.path_of(field), found, _WITHIN.meaning, cure)


def _within(place: str, above: str) -> bool:
    try:
        steps, first = split(place), split(above)
    except ValueError:  # a plugin's rule may call anything a place
        return place == above
    return bool(first) and steps[: len(first)] == first


def _waived(waiver: Waiver, reading: Reading, size: Size) -> Reading:
    until = f"stage {waiver.until_stage}" if waiver.has("until_stage") else str(waiver.until_date)
    waived = Waived(reading.verdict, waiver.reason, waiver.who, waiver.date, until, waiver.path, size.words)
    return reading._replace(verdict=Verdict.WAIVED, waived=waived)


def _wrong(waiver: Waiver, situation: Situation) -> Reading | None:
    """The reading of a waiver that waives nothing; None for a valid one."""
    try:
        return (
            _not_in_order(waiver, situation)
            or _not_sized(waiver, situation)
            or _not_allowed(waiver, situation)
            or _ended(waiver, situation)
        )
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


def _not_sized(waiver: Waiver, situation: Situation) -> Reading | None:
    """The reading of a waiver whose limit is not known, or whose size is not of that limit; None for a valid one, and
    for one of the old form, which has neither."""
    rule = situation.known[waiver.rule]
    sizes = [name for name in ("up_to", "accepts") if waiver.has(name)]
    if not waiver.has("limit"):
        if not sizes:
            return None
        found, cure = f"it has {' and '.join(sizes)}, and names no limit", "write limit, as the record names it"
        return _reading(waiver, _ORDER, waiver.path_of(sizes[0]), found, "the name of a limit", cure)
    limit = next((each for each in rule.limits if each.name == waiver.limit), None)
    if limit is None:
        found = no_such(f"limit of {rule.name} called", waiver.limit, [each.name for each in rule.limits])
        cure = "correct the name, or delete the waiver"
        return _reading(waiver, _ORDER, waiver.path_of("limit"), found, "the name of a limit of its rule", cure)
    wanted, what = (
        ("up_to", "a value") if isinstance(limit, Limit) else ("accepts", "a requirement, which has no number")
    )
    if sizes != [wanted]:
        has = f"it has {' and '.join(sizes)}" if sizes else "it does not say how far it goes"
        found, place = f"{limit.name} is of {what}, and {has}", waiver.path_of(sizes[0] if sizes else "limit")
        return _reading(waiver, _ORDER, place, found, f"{wanted}, and nothing else", f"write {wanted}")
    if isinstance(limit, Limit):
        return _not_up_to(waiver, limit, situation.system)
    return None


def _not_up_to(waiver: Waiver, limit: Limit, system: System) -> Reading | None:
    """The reading of a waiver that accepts no amount of its limit, or a value that the limit allows anyway."""
    place = waiver.path_of("up_to")
    try:
        up_to = parse(waiver.up_to, limit.dimension, system)
    except QuantityError as wrong:
        return _reading(waiver, _ORDER, place, str(wrong), f"a value of {limit.name}", "write it with its unit")
    if limit.bounds.verdict(up_to) is not Verdict.OK:
        return None
    found = f"it accepts up to {show(up_to, limit.dimension, system)}, which is within the limit anyway"
    return _reading(waiver, _ORDER, place, found, "a value outside of the limit", "write the value that was accepted")


def _not_allowed(waiver: Waiver, situation: Situation) -> Reading | None:
    if situation.standard is None:
        return None
    ban, terms = situation.standard.ban_on_waiving(waiver.rule), situation.standard.waivers
    if ban is None:
        return None if terms is None else _against(waiver, terms)
    found = f"the standard allows no waiver of {waiver.rule}, so this one waives nothing"
    cure = f"delete the waiver, and fix what {waiver.rule} finds"
    place = waiver.path_of("rule")
    return _reading(waiver, _ALLOWED, place, found, f"no waiver of {waiver.rule}", cure, basis=ban.basis)


def _against(waiver: Waiver, terms: WaiverTerms) -> Reading | None:
    """The reading of a waiver against the terms of the shop's standard; None for one that keeps them."""
    if terms.who and not any(alike(waiver.who, name) for name in terms.who):
        found, wanted = f"{waiver.who} accepted it", f"one of {', '.join(terms.who)}, by the standard"
        cure = "have one of them accept it, or fix what it waived"
        return _reading(waiver, _ALLOWED, waiver.path_of("who"), found, wanted, cure, basis=terms.basis)
    last = _last_day(waiver, terms)
    if last is not None and waiver.has("until_date") and date.fromisoformat(waiver.until_date) > last:
        found = f"it runs until {waiver.until_date}, longer than {terms.longest_days} days from {waiver.date}"
        wanted, cure = f"an end by {last}, by the standard", f"write an end by {last}"
        return _reading(waiver, _ALLOWED, waiver.path_of("until_date"), found, wanted, cure, basis=terms.basis)
    return None


def _last_day(waiver: Waiver, terms: WaiverTerms | None) -> date | None:
    """The last day of a waiver by the shop's standard; None where it sets no longest time."""
    if terms is None or terms.longest_days is None:
        return None
    return date.fromisoformat(waiver.date) + timedelta(days=terms.longest_days)


def _ended(waiver: Waiver, situation: Situation) -> Reading | None:
    cure = "fix what it waived and delete it, or agree on a new waiver"
    if waiver.has("until_stage") and situation.stage.number > Stage(waiver.until_stage).number:
        found = f"it ended with stage {waiver.until_stage}, and the stage is now {situation.stage.value}"
        wanted = "a stage that has not passed"
        return _reading(waiver, _NOT_ENDED, waiver.path_of("until_stage"), found, wanted, cure)
    last = _last_day(waiver, None if situation.standard is None else situation.standard.waivers)
    if last is not None and situation.today is not None and situation.today > last:
        found = f"by the standard it ended on {last}, and today is {situation.today.isoformat()}"
        return _reading(waiver, _NOT_ENDED, waiver.path_of("date"), found, "a date that has not passed", cure)
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
