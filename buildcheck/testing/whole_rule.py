"""All the assertions of the kit about one rule: `check_rule`.

It finds wrong rules, not only failing ones: bounds that differ from those in the test, values that differ from those
computed by hand, confused sides or units, and a change that does not put things right.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from random import Random
from typing import Any

from buildcheck.build import Build, Stage
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Bounds, ByUse, Limit, Range, ShareOf, Verdict
from buildcheck.checks.rule import Reading, Rule, Sample
from buildcheck.job import Job
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.quantity import Dimension, QuantityError, System, parse
from buildcheck.spec.units import UNITS
from buildcheck.testing.assertions import assert_never_fails, check_samples
from buildcheck.testing.rewritten import OTHER, in_other_units, mirror_image, sides_written_out
from buildcheck.testing.specs import SOUND, build_of, changed, sound_spec

EXAMPLES = (SOUND, "three-link-metric.buildcheck.yaml", "four-link-rear.buildcheck.yaml", "minimal.buildcheck.yaml")
BROKEN = (Verdict.WARNING, Verdict.ERROR)

# A value computed by hand agrees to within this share of it: three digits. Common practice, no source.
BY_HAND = 0.002
# A bound is found by this many halvings between two samples. The verdict is then checked slightly to each side of it,
# farther away than rounding.
HALVINGS = 40
HAIR = 1e-6
# A value smaller than this counts as zero when two builds are compared.
SAME = 1e-7

BOUNDS = {
    "warn_below": (Verdict.OK, Verdict.WARNING),
    "warn_above": (Verdict.OK, Verdict.WARNING),
    "fail_below": (Verdict.WARNING, Verdict.ERROR),
    "fail_above": (Verdict.WARNING, Verdict.ERROR),
}


def check_rule(
    rule: Rule, *, bounds: Mapping[str, Range | ByUse | ShareOf], additions: Additions = NOTHING_ADDED
) -> None:
    """Assert that a rule agrees with its samples and its test. The AssertionError says what is wrong and what to do.

    `bounds` repeats, apart from the rule, the bounds of every limit with a number, so that an error in one of the two
    shows. The assertions are: every sample gives its stated findings; each quantity has a sample with a value computed
    by hand, and every such value is right; each bound agrees with `bounds`, and lies between a sample that passes and
    one that does not; each change with an amount puts its reading right; the mirror image of each sample has the same
    values on the other side; each sample in the other units has the same values; and the rule fails on no example, with
    or without the data that the samples change. `additions` are the names that plugins add to a spec.
    """
    check_samples(rule, additions)
    check_bounds(rule, bounds, additions)
    check_values(rule, additions)
    check_changes(rule, additions)
    check_mirror_image(rule, additions)
    check_other_units(rule, additions)
    check_every_example(rule, additions)


def check_bounds(
    rule: Rule, bounds: Mapping[str, Range | ByUse | ShareOf], additions: Additions = NOTHING_ADDED
) -> None:
    """Assert that each bound of each limit agrees with `bounds`, and lies between two samples."""
    limits = {limit.name: limit for limit in rule.limits if isinstance(limit, Limit)}
    if limits.keys() != bounds.keys():
        raise AssertionError(
            f"{rule.name} has the limits {', '.join(limits) or 'none'}; bounds= names {', '.join(bounds) or 'none'}"
        )
    for name, limit in limits.items():
        stated = bounds[name]
        said = (stated if isinstance(stated, Range) else stated.otherwise).bounds(limit.dimension)
        for bound in BOUNDS:
            one, other = getattr(limit.bounds, bound), getattr(said, bound)
            if not (one == other or math.isclose(one, other, rel_tol=1e-9)):
                raise AssertionError(
                    f"{rule.name}: {name} is {_called(bound)} {one:g} (SI), and the test says {other:g}"
                )
            if math.isfinite(one):
                _check_crossed(rule, name, bound, limit.bounds, additions)


def _called(bound: str) -> str:
    verdict, _, end = bound.partition("_")
    return f"{'a warning' if verdict == 'warn' else 'an error'} {end}"


def _check_crossed(rule: Rule, name: str, bound: str, bounds: Bounds, additions: Additions) -> None:
    """Assert that the worst value of a limit crosses a bound between two samples, and that the verdict changes exactly
    there."""
    level: float = getattr(bounds, bound)
    above = bound.endswith("above")

    def beyond(value: float) -> bool:
        return value > level if above else value < level

    for way in _ways_between_samples(rule, additions):
        ends = [_values(rule, name, way(share)) for share in (0.0, 1.0)]
        if not ends[0] or not ends[1] or any(map(beyond, ends[0])) or not any(map(beyond, ends[1])):
            continue
        low, high = 0.0, 1.0
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            if any(map(beyond, _values(rule, name, way(middle)))):
                high = middle
            else:
                low = middle
        inside, outside = (
            {each.verdict for each in _readings(rule, way(share)) if each.quantity == name}
            for share in (max(low - HAIR, 0.0), min(high + HAIR, 1.0))
        )
        better, worse = BOUNDS[bound]
        if worse in outside and worse not in inside and better.value != worse.value:
            return
    raise AssertionError(
        f"{rule.name}: no two samples have {name} on both sides of the bound: {_called(bound)} {level:g} (SI);"
        " add a sample that passes there and one that does not"
    )


def check_values(rule: Rule, additions: Additions = NOTHING_ADDED) -> None:
    """Assert that each quantity has a sample with a value computed by hand, and that the rule finds each such value."""
    numbers = [limit for limit in rule.limits if isinstance(limit, Limit)]
    stated = {key.partition(" of the ")[0] for sample in rule.samples for key in sample.values}
    for number in numbers:
        if number.name not in stated:
            raise AssertionError(
                f"{rule.name}: no sample has a value of {number.name}; compute one by hand, from the spec's points,"
                f' and write it in the shop\'s units: Sample(..., values={{"{number.name}": "41 3/8 in"}})'
            )
    for sample in rule.samples:
        readings = _readings(rule, build_of(changed(sound_spec(), sample.change), additions))
        for key, text in sample.values.items():
            if not isinstance(text, str) or text.strip()[-1:].isdigit():
                raise AssertionError(f'{rule.name}, {sample.says}: write the value of {key} with its unit, as "9 in"')
            name, _, subject = key.partition(" of the ")
            limit = rule.limit(name)
            if not isinstance(limit, Limit):
                raise AssertionError(f"{rule.name}, {sample.says}: {name} has no number, and a value for it is stated")
            found = [each for each in readings if each.quantity == name and subject in ("", each.subject)]
            if not found:
                raise AssertionError(f"{rule.name}, {sample.says}: there is no reading {key}")
            wanted = parse(text, limit.dimension, System.METRIC)
            for reading in found:
                if reading.value is None or abs(reading.value - wanted) > _slack(text, wanted, limit.dimension):
                    raise AssertionError(
                        f"{rule.name}, {sample.says}: {name} of the {reading.subject} is {reading.value!r} (SI), and by"
                        f" hand it is {text}, which is {wanted!r}"
                    )


def _slack(text: str, value: float, dimension: Dimension) -> float:
    """The tolerance of a value computed by hand: three digits, or half of its last decimal place."""
    decimals = re.search(r"\.(\d+)", text)
    half = 0.0
    if decimals:
        step = re.sub(r"[\d.]+", f"0.{'0' * len(decimals[1])}5", text.lstrip("-"), count=1)
        zero = parse(re.sub(r"[\d.]+", "0", text.lstrip("-"), count=1), dimension, System.METRIC)
        half = abs(parse(step, dimension, System.METRIC) - zero)
    return max(BY_HAND * abs(value), half)


def check_changes(rule: Rule, additions: Additions = NOTHING_ADDED) -> None:
    """Assert that each change with an amount, made alone, puts its reading of a sample right."""
    for sample in rule.samples:
        build = build_of(changed(sound_spec(), sample.change), additions)
        for reading in _readings(rule, build):
            if reading.verdict not in BROKEN:
                continue
            if reading.cure is None:
                raise AssertionError(f"{rule.name}, {sample.says}: {reading.quantity} does not say what to change")
            if not reading.cure.edits:
                continue
            after = _readings(rule, Job(build).changed_by(reading.cure).build)
            same = [
                each
                for each in after
                if (each.subject, each.quantity, each.of) == (reading.subject, reading.quantity, reading.of)
            ]
            if any(each.verdict in BROKEN for each in same):
                raise AssertionError(
                    f"{rule.name}, {sample.says}: after its change, {reading.cure.words}, {reading.quantity} is"
                    f" {same[0].verdict.value}"
                )


def check_mirror_image(rule: Rule, additions: Additions = NOTHING_ADDED) -> None:
    """Assert that the mirror image of each sample gives the same values on the other side, except for the sign."""
    for spec in _specs_of_samples(rule):
        sides = sides_written_out(spec)
        found, image = (_grouped(rule, build_of(written, additions)) for written in (sides, mirror_image(sides)))
        swapped = {
            (quantity, " ".join(OTHER.get(word, word) for word in subject.split())): values
            for (quantity, subject), values in image.items()
        }
        if found != swapped:
            raise AssertionError(f"{rule.name} finds {_differing(found, swapped)} in the mirror image")


def check_other_units(rule: Rule, additions: Additions = NOTHING_ADDED) -> None:
    """Assert that each sample in the other units, with a unit for each amount, gives the same values."""
    for spec in _specs_of_samples(rule):
        found, other = (
            _grouped(rule, build_of(written, additions)) for written in (spec, in_other_units(Random(0), spec))
        )
        if found != other:
            raise AssertionError(f"{rule.name} finds {_differing(found, other)} in the other units")


def check_every_example(rule: Rule, additions: Additions = NOTHING_ADDED) -> None:
    """Assert that the rule fails on no example, nor on the sound truck with a rear axle or with another shop's fields:
    with and without the changes of the samples, and without each section of the spec."""
    for spec in _every_kind_of_spec():
        for sample in (Sample("as it is", {}), *rule.samples):
            try:
                with_sample = changed(spec, sample.change)
                build = build_of(with_sample, additions)
            except (LookupError, AssertionError):
                continue  # this example has no such part to change
            assert_never_fails(rule, build)
            for section in set(with_sample) - {"format", "units"}:
                less = {key: value for key, value in with_sample.items() if key != section}
                try:
                    partial = build_of(less, additions)
                except AssertionError:
                    continue  # a section that every spec needs
                assert_never_fails(rule, partial)


def _every_kind_of_spec() -> Iterator[dict[str, Any]]:
    for name in EXAMPLES:
        yield sound_spec(name)
    rear = sound_spec()
    for of_a_front_axle in ("steering", "driveshaft", "records"):
        rear.pop(of_a_front_axle, None)
    yield changed(rear, {"axle.position": "rear"})
    yield changed(sound_spec(), {"shop.another_shop": {"bay": 3}})


def _specs_of_samples(rule: Rule) -> Iterator[dict[str, Any]]:
    yield sound_spec()
    for sample in rule.samples:
        yield changed(sound_spec(), sample.change)


def _readings(rule: Rule, build: Build) -> tuple[Reading, ...]:
    readings = inspect(build, [rule], stage=Stage.DRIVEN).readings
    failures = [f"{reading.subject}: {reading.failure}" for reading in readings if reading.failure]
    if failures:
        raise AssertionError(f"{rule.name}: {'; '.join(failures)}")
    return readings


def _values(rule: Rule, name: str, build: Build) -> list[float]:
    return [
        # A comparison of readings has its bounds wider by their tolerance; both are back where they are without it.
        each.value - math.copysign(each.tolerance, each.value)
        for each in _readings(rule, build)
        if each.quantity == name and each.value is not None
    ]


Grouped = dict[tuple[str, str], list[tuple[float | None, str]]]


def _grouped(rule: Rule, build: Build) -> Grouped:
    """The sizes of all values, rounded so that equal builds compare equal, and verdicts, by quantity and subject."""
    found: Grouped = {}
    for each in _readings(rule, build):
        size = None if each.value is None else _rounded(abs(each.value))
        found.setdefault((each.quantity, each.subject), []).append((size, each.verdict.value))
    return {key: sorted(values, key=repr) for key, values in found.items()}


def _rounded(size: float) -> float:
    return 0.0 if size < SAME else float(f"{size:.6g}")


def _differing(one: Grouped, other: Grouped) -> str:
    for key in sorted({*one, *other}):
        if one.get(key) != other.get(key):
            quantity, subject = key
            what = f"{quantity} of the {subject}" if quantity else f"something of the {subject}"
            return f"{what}: {one.get(key, 'nothing')}, and {other.get(key, 'nothing')}"
    raise AssertionError("the two groups of readings do not differ")


class _Way:
    """Builds between two samples: share 0 is the first and 1 the second."""

    def __init__(self, start: Mapping[str, Any], end: Mapping[str, Any], additions: Additions) -> None:
        self._start, self._end, self._additions = start, end, additions

    def __call__(self, share: float) -> Build:
        change = {path: _between(self._start[path], self._end[path], share) for path in self._end}
        return build_of(changed(sound_spec(), change), self._additions)


def _ways_between_samples(rule: Rule, additions: Additions) -> Iterator[_Way]:
    """The ways from the sound build, and from each sample, to each other sample that changes the same numbers."""
    for end in rule.samples:
        for start in (Sample("the sound build", {}), *rule.samples):
            if start is end:
                continue
            from_values = {path: start.change.get(path, _value_in_sound_spec(path)) for path in end.change}
            if all(_can_be_between(from_values[path], end.change[path]) for path in end.change):
                yield _Way(from_values, end.change, additions)


def _value_in_sound_spec(path: str) -> Any:
    held: Any = sound_spec()
    for step in re.findall(r"[^.\[\]]+", path):
        try:
            held = held[int(step)] if isinstance(held, list) else held[step]
        except (LookupError, TypeError, ValueError):
            return None
    return held


def _can_be_between(start: Any, end: Any) -> bool:
    try:
        _between(start, end, 0.5)
    except (TypeError, ValueError):
        return False
    return True


def _between(start: Any, end: Any, share: float) -> Any:
    """The value between two values of a spec: numbers, amounts with units, and lists and groups of these. Raises
    TypeError or ValueError where there is none."""
    if start == end:
        return end
    if isinstance(end, dict) and isinstance(start, dict) and start.keys() == end.keys():
        return {key: _between(start[key], end[key], share) for key in end}
    if isinstance(end, list) and isinstance(start, list) and len(start) == len(end):
        return [_between(one, other, share) for one, other in zip(start, end, strict=True)]
    if isinstance(start, bool) or isinstance(end, bool):
        raise TypeError(f"nothing lies between {start!r} and {end!r}")
    if isinstance(start, int | float) and isinstance(end, int | float):
        return start + (end - start) * share
    one, other, unit = _amounts(start, end)
    return f"{one + (other - one) * share!r} {unit}"


def _amounts(start: Any, end: Any) -> tuple[float, float, str]:
    """Two amounts in SI, at least one of them with a unit, and the name of their SI unit. A bare number is in the units
    of the sound spec. Raises ValueError for anything but two amounts of one dimension."""
    system = System(sound_spec()["units"])
    for dimension in _kinds(start, end):
        unit = next((unit for unit in UNITS[dimension] if unit.factor == 1 and unit.offset == 0), None)
        if unit is not None:
            return parse(start, dimension, system), parse(end, dimension, system), unit.name
    raise ValueError(f"nothing lies between {start!r} and {end!r}")


def _kinds(*amounts: Any) -> Iterable[Dimension]:
    for dimension in Dimension:
        try:
            for amount in amounts:
                parse(amount, dimension, System.METRIC)
        except (QuantityError, TypeError, AttributeError):
            continue
        yield dimension
