"""Hold points: the records that a stage of the job needs before it can be signed off, and everything that blocks it.

The command, the JSON and the report all use this judgement. A stage that can be signed off has nothing in the record
that blocks it; this never says that anything is fit for use.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any, NamedTuple

from buildcheck.build import Build, Side, Stage
from buildcheck.build.linkage import LateralBar, Link
from buildcheck.build.measured import Unreadable, measurements, read_measurement
from buildcheck.build.part import Part, Point, fields
from buildcheck.build.records import Baseline, Measurement
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.limit import Verdict
from buildcheck.checks.record_dates import dated, day_of
from buildcheck.checks.rule import Reading
from buildcheck.checks.waivers import WAIVERS
from buildcheck.spec.place import blank, join, split, visible, with_side

SIGNED_FOR = {
    Stage.PROPOSAL: "the plan, before anything is taken apart",
    Stage.TEARDOWN: "the baseline, before anything is cut",
    Stage.TACKED: "brackets tacked and measured, before final welds",
    Stage.CYCLED: "the axle cycled by hand through travel, articulation and lock",
    Stage.FINAL_WELD: "welds and fasteners, before anything else is fitted",
    Stage.REASSEMBLED: "everything fitted, filled and bled, before the truck moves",
    Stage.ALIGNED: "the alignment, before the road",
    Stage.DRIVEN: "the first drives, and every bolt checked again",
}
"""The work that the signature at each stage covers."""

# The records that each stage needs are common practice, no source. A value that can no longer be measured after the
# truck is taken apart, cut or welded is measured before, with a name and a date.
BASELINE_OF_EACH_SIDE = ("wheelbase", "ride_height")
"""The values that a baseline needs for each side: the position of the axle lengthwise and in height."""

LOCATED = ("links", "lateral_bar", "coilovers", "limit_straps", "bump_stops")
"""The sections whose points are measured when their brackets are tacked, and again when they are welded."""

MEASURED_AT = (Stage.TACKED, Stage.CYCLED, Stage.FINAL_WELD)
"""The stages at which places on the truck are measured."""

HELD_ON_SIDES = (*LOCATED, "attachments")
"""The sections whose parts are measured on both sides."""


class HoldPoint(NamedTuple):
    """The hold point of a stage. `now` says whether the inspection is for it.

    `blocking` are the reasons why it cannot be signed off, as sentences, checks not made first; only the stage of the
    inspection has any. `accepted` are the deviations that a signature accepts. `recorded` and `lacking` are the records
    that the spec has for the stage, and those that it needs and does not have.
    """

    stage: Stage
    signed_for: str
    now: bool
    blocking: tuple[str, ...]
    accepted: tuple[str, ...]
    recorded: tuple[str, ...]
    lacking: tuple[str, ...]

    @property
    def can_be_signed_off(self) -> bool:
        """Whether nothing blocks it; always False for a stage that the inspection is not for."""
        return self.now and not self.blocking


class _Entry(NamedTuple):
    """The last record of one measurement that a stage needs."""

    place: str
    day: date | None
    who: str


def hold_points(
    build: Build, inspection: Inspection, *, chosen: bool = True, lacking: Sequence[str] = ()
) -> tuple[HoldPoint, ...]:
    """The hold points in the order of the job.

    `chosen` says whether the user named the shop's standard. A standard that was only found beside the spec may be
    stricter than the built-in limits; a reading that it makes milder cannot be signed off. `lacking` are the plugins
    that the standard demands and that could not be used.
    """
    return tuple(_hold_point(build, inspection, stage, chosen, lacking) for stage in SIGNED_FOR)


def nothing_checked(readings: Iterable[Reading]) -> bool:
    """Whether no check of the build was made. Readings of waivers do not count."""
    return all(
        reading.verdict is Verdict.NOT_CHECKED or not reading.applies
        for reading in readings
        if reading.rule != WAIVERS.name
    )


def _hold_point(build: Build, inspection: Inspection, stage: Stage, chosen: bool, lacking: Sequence[str]) -> HoldPoint:
    now = stage is inspection.stage
    blocking: tuple[str, ...] = ()
    if now:
        earlier = [each for each in SIGNED_FOR if each.number <= stage.number]
        not_on_record = [sentence for each in earlier for sentence in _not_on_record(build, each)]
        dates = _wrong_dates(build, earlier, inspection.today)
        standard = (*_lacking(lacking), *(() if chosen else _unchosen(inspection)))
        blocking = (*_not_checked(inspection), *_not_ok(inspection), *standard, *not_on_record, *dates)
    return HoldPoint(
        stage,
        SIGNED_FOR[stage],
        now,
        blocking,
        _accepted(inspection, chosen=chosen) if now else (),
        _recorded(build, inspection, stage, now=now),
        tuple(_not_on_record(build, stage)),
    )


# The result of the inspection.


def _not_checked(inspection: Inspection) -> Iterator[str]:
    """The checks that were not made, which may hide any error and so are reported first."""
    failed = sum(bool(reading.failure) for reading in inspection.of_stage)
    if failed:
        yield f"{_count(failed, 'reading')} that a rule failed to make"
    if inspection.some_rules:
        yield "only some of the rules were applied (--only, --area)"
    if nothing_checked(inspection.of_stage):
        yield "nothing was checked"
    unchecked = sum(reading.verdict is Verdict.NOT_CHECKED for reading in inspection.of_stage)
    if unchecked:
        yield f"{_count(unchecked, 'reading')} not checked{_known_errors(inspection)}"


def _known_errors(inspection: Inspection) -> str:
    """The number of readings not checked whose known part is already an error by the built-in limits, which a shop's
    looser limit must not hide. Empty for none."""
    number = sum(
        reading.verdict is Verdict.NOT_CHECKED
        and reading.loosened is not None
        and reading.loosened.instead_of is Verdict.ERROR
        for reading in inspection.of_stage
    )
    return f", {number} of them {'an error' if number == 1 else 'errors'} by the built-in limit" if number else ""


def _not_ok(inspection: Inspection) -> Iterator[str]:
    for verdict in (Verdict.ERROR, Verdict.WARNING):
        found = sum(reading.verdict is verdict and not reading.failure for reading in inspection.of_stage)
        if found:
            yield f"{_count(found, verdict.value)}, neither fixed nor waived"


def _lacking(plugins: Iterable[str]) -> Iterator[str]:
    for plugin in plugins:
        yield f"the shop standard demands the plugin {visible(plugin)}, which is not installed or cannot be used"


def _unchosen(inspection: Inspection) -> Iterator[str]:
    name_it = "a standard that was found beside the spec; name the standard to accept it: --standard FILE"
    milder = sum(reading.loosened is not None for reading in inspection.of_stage)
    if milder:
        yield f"{_count(milder, 'reading')} made milder by {name_it}"
    if inspection.switched_off:
        yield f"{_switched_off(inspection)} by {name_it}"


def _switched_off(inspection: Inspection) -> str:
    limits = sum(bool(each.limit) for each in inspection.switched_off)
    rules = len(inspection.switched_off) - limits
    said = [_count(number, what) for number, what in ((rules, "rule"), (limits, "limit")) if number]
    return f"{' and '.join(said)} switched off"


def _accepted(inspection: Inspection, *, chosen: bool) -> tuple[str, ...]:
    """The deviations that a signature accepts: they block nothing, but must be read before signing."""
    readings = inspection.of_stage
    near = sum(reading.verdict is Verdict.OK and reading.too_near_to_tell for reading in readings)
    milder = len([each for each in readings if each.loosened and each.verdict is not Verdict.NOT_CHECKED and chosen])
    off = [visible(each.name) for each in inspection.switched_off] if chosen else []
    looser = [visible(f"{rule}/{limit.name}") for rule, limit in inspection.looser]
    waived = sum(reading.verdict is Verdict.WAIVED for reading in readings)
    said = (
        (waived, f"{_count(waived, 'reading')} waived"),
        (milder, f"{_count(milder, 'reading')} milder only by a looser limit of the shop standard"),
        (len(looser), f"{_count(len(looser), 'limit')} looser than built in: {', '.join(looser)}"),
        (len(off), f"{_switched_off(inspection)} by the shop standard: {', '.join(off)}"),
        (near, f"{_count(near, 'reading')} too near to a limit to be sure"),
        (
            len(inspection.assumptions),
            f"{_count(len(inspection.assumptions), 'number')} assumed, since the spec does not state them",
        ),
    )
    return tuple(sentence for number, sentence in said if number)


# The records in the spec.


def _recorded(build: Build, inspection: Inspection, stage: Stage, *, now: bool) -> tuple[str, ...]:
    recorded = []
    if now:
        within = sum(reading.verdict is Verdict.OK and reading.applies for reading in inspection.of_stage)
        recorded.append(f"{_count(within, 'reading')} within limits")
    baseline = _baseline(build)
    if stage is Stage.TEARDOWN and baseline is not None:
        on, by = _text(baseline, "taken_on"), _text(baseline, "taken_by")
        recorded.append(f"baseline taken{f' on {on}' if on else ''}{f' by {by}' if by else ''}")
    days = [day_of(each, "measured_on") for each in measurements(build) if _text(each, "stage") == stage.value]
    if days:
        last = max((day for day in days if day is not None), default=None)
        recorded.append(f"{_count(len(days), 'value')} measured{f', the last on {last}' if last else ''}")
    return tuple(recorded)


def _not_on_record(build: Build, stage: Stage) -> Iterator[str]:
    """The records that a stage needs and the spec does not have."""
    if stage is Stage.TEARDOWN:
        yield from _missing_in_baseline(build)
        return
    needed = measured_at(build, stage)
    if not needed and stage in MEASURED_AT:
        yield f"the spec has nothing in it that is measured at the stage {stage.value}"
    entries = _entries(build, stage)
    found = {entry.place for entry in entries}
    absent = [place for place in needed if place not in found]
    if absent:
        yield f"{_of(absent, needed)} not measured at the stage {stage.value}: {', '.join(absent)}"
    for what, without in (
        ("the day on which it was measured", [entry.place for entry in entries if entry.day is None]),
        ("the name of who measured it", [entry.place for entry in entries if not entry.who]),
    ):
        if without:
            yield f"{_of(without, needed)} without {what}, at the stage {stage.value}: {', '.join(without)}"


def _missing_in_baseline(build: Build) -> Iterator[str]:
    baseline = _baseline(build)
    if baseline is None:
        yield "no baseline is in the spec (records.baseline)"
        return
    for name, what in (("taken_on", "day"), ("taken_by", "name of who took it")):
        if not _text(baseline, name):
            yield f"the baseline has no {what} ({baseline.path_of(name)})"
    for name, what in (("photographs", "photographs"), ("steering_centred", "steering centred")):
        if baseline.given().get(name) is not True:
            yield f"the baseline does not say that it was taken with {what} ({baseline.path_of(name)}: true)"
    sides = {part.side: part for part in baseline.sides} if baseline.has("sides") else {}
    absent = [
        baseline.path_of("sides", side.value, name)
        for side in (Side.LEFT, Side.RIGHT)
        for name in BASELINE_OF_EACH_SIDE
        if side not in sides or not sides[side].has(name)
    ]
    if absent:
        yield f"the baseline does not state {', '.join(absent)}"


def measured_at(build: Build, stage: Stage) -> list[str]:
    """The spec paths of the values to measure at a stage: the joints, straps and stops of the tacked brackets, with
    links and bar as built; the travel of the cycled axle; and after welding the points again, each weld, and the torque
    of the bolts."""
    if stage is Stage.TACKED:
        return [*_points(build), *_as_built(build)]
    if stage is Stage.CYCLED:
        lock = ["steering.lock_angle"] if build.has("steering") else []
        return ["travel.bump", "travel.droop", "travel.articulation", *lock]
    if stage is Stage.FINAL_WELD:
        return [*_points(build), *_joints_of_brackets(build)]
    return []


def _points(build: Build) -> list[str]:
    parts = [part for section in LOCATED for part in _parts(build, section)]
    return [
        part.own_path_of(name)
        for part in parts
        for name in fields(type(part))
        if part.has(name) and isinstance(getattr(part, name), Point)
    ]


def _as_built(build: Build) -> list[str]:
    """The length of each link and of the bar, and the threads that are screwed in, where the spec plans these."""
    found = []
    for part in (*_parts(build, "links"), *_parts(build, "lateral_bar")):
        assert isinstance(part, Link | LateralBar)
        found.append(part.own_path_of("length"))
        joints = part.joints.given() if part.has("joints") else {}
        found += [each.own_path_of("thread_engaged") for each in joints.values() if each.has("thread_engaged")]
    return found


def _joints_of_brackets(build: Build) -> list[str]:
    """The leg of each weld and the torque of each bolted bracket, where the spec states one that can be measured."""
    found = []
    for bracket in _parts(build, "attachments"):
        for holder, name in (("weld", "leg"), ("bolts", "torque")):
            if bracket.has(holder) and getattr(bracket, holder).has(name):
                found.append(bracket.own_path_of(holder, name))
    return found


def _parts(build: Build, section: str) -> list[Part]:
    if not build.has(section):
        return []
    held: Any = getattr(build, section)
    return [held] if isinstance(held, Part) else [part for name in held for part in held[name]]


def _entries(build: Build, stage: Stage) -> list[_Entry]:
    """The last readable measurement of each place that a stage needs. Three coordinates measured separately count as a
    point."""
    of: dict[str, list[Measurement]] = {}
    for each in measurements(build):
        if _text(each, "stage") == stage.value and _readable(build, each):
            of.setdefault(_plain(each.of), []).append(each)
    entries = []
    for place in measured_at(build, stage):
        for written in dict.fromkeys((place, *_under_both(build, place))):
            whole = of.get(written, [])
            axes = [of.get(f"{written}.{axis}", []) for axis in Point._fields]
            if whole:
                entries.append(_entry(place, [max(whole, key=_when)]))
            elif all(axes):
                entries.append(_entry(place, [max(each, key=_when) for each in axes]))
            else:
                continue
            break
    return entries


def _plain(path: str) -> str:
    """A spec path without unnecessary quotes."""
    plain = ""
    for step in split(path):
        plain = join(plain, step)
    return plain


def _entry(place: str, measured: Sequence[Measurement]) -> _Entry:
    """The entry for a place from its measurement, or from those of its coordinates, with the oldest date."""
    days = [day_of(each, "measured_on") for each in measured]
    names = [_text(each, "measured_by") for each in measured]
    return _Entry(place, None if None in days else min(day for day in days if day), "" if "" in names else names[0])


def _when(measurement: Measurement) -> date:
    return day_of(measurement, "measured_on") or date.min


def _under_both(build: Build, place: str) -> list[str]:
    """The same place under `both`, where the spec states left and right together."""
    both = place
    for side in (Side.LEFT, Side.RIGHT):
        both = with_side(both, "both", instead_of=side.value)
    section = str(split(place)[0])
    held = _parts(build, section) if section in HELD_ON_SIDES else []
    written_once = any(both == part.path or both.startswith(f"{part.path}.") for part in held)
    return [both] if both != place and written_once else []


def _readable(build: Build, measurement: Measurement) -> bool:
    try:
        read_measurement(build, measurement)
    except Unreadable:
        return False
    return True


# Dates.


def _wrong_dates(build: Build, stages: Sequence[Stage], today: date | None) -> Iterator[str]:
    """Dates in the future, and dates that do not follow the order of the job."""
    on_record = list(dated(build))
    if on_record and today is None:
        yield "the present date is not given, so the dates of the records cannot be judged"
    for day, what, place in on_record:
        if today is not None and day > today:
            yield f"{what} ({place}) is dated {day}, which is in the future: today is {today}"
    if Stage.TEARDOWN in stages:
        yield from _baseline_too_late(build)
    before: tuple[date, str] | None = None
    for stage in stages:
        days = [(entry.day, entry.place) for entry in _entries(build, stage) if entry.day is not None]
        if not days:
            continue
        oldest, newest = min(days), max(days)
        if before is not None and oldest[0] < before[0]:
            yield (
                f"{oldest[1]} was measured at the stage {stage.value} on {oldest[0]}, before {before[1]} on "
                f"{before[0]}; measure it again"
            )
        before = newest[0], f"{newest[1]} at the stage {stage.value}"


def _baseline_too_late(build: Build) -> Iterator[str]:
    """The sentence for a baseline taken after brackets were tacked, when the truck was already changed."""
    baseline = _baseline(build)
    taken = None if baseline is None else day_of(baseline, "taken_on")
    after = [stage.value for stage in Stage if stage.number > Stage.TEARDOWN.number]
    days = [day_of(each, "measured_on") for each in measurements(build) if _text(each, "stage") in after]
    first = min((day for day in days if day is not None), default=None)
    if taken is not None and first is not None and first < taken:
        yield f"the baseline is dated {taken}, after the first measurement of what was tacked, on {first}"


# Words.


def _baseline(build: Build) -> Baseline | None:
    return build.records.baseline if build.has("records") and build.records.has("baseline") else None


def _text(part: Part, name: str) -> str:
    """A text of a part, safe to print; "" where it is absent or blank."""
    text = str(part.given().get(name, ""))
    nameless = name in ("taken_by", "measured_by") and not any(map(str.isalpha, text))  # a dash is not a name
    return "" if blank(text) or nameless else visible(text)


def _count(number: int, one: str) -> str:
    return f"{number} {one}{'' if number == 1 else 's'}"


def _of(some: Sequence[str], needed: Sequence[str]) -> str:
    return f"{len(some)} of {_count(len(needed), 'value')}"
