"""Answers to what a stage asks for: read from what a person types, judged at once, and written into the spec."""

from __future__ import annotations

import math
from collections.abc import Mapping
from contextlib import suppress
from typing import Any, NamedTuple

from buildcheck.build import Point, Stage
from buildcheck.build.measured import FARTHEST_OFF
from buildcheck.shop.needs import BY_HAND, Need
from buildcheck.spec.document import Unreadable, read_text
from buildcheck.spec.names import no_such
from buildcheck.spec.place import join, split
from buildcheck.spec.quantity import Dimension, QuantityError, System, parse, show
from buildcheck.spec.yaml_value import flow

YES, NO = ("yes", "y", "true"), ("no", "n", "false")
FAR = {Dimension.LENGTH: 0.00635, Dimension.ANGLE: math.radians(1.5)}
"""Difference from the plan beyond which an answer is asked for again, SI: the error limits of as-measured, 1/4 in and
1.5 deg. For other dimensions it is `FAR_SHARE` of the plan, as there."""
FAR_SHARE = 0.15
BASELINE = "records.baseline"


class NotAnAnswer(ValueError):
    """The text is no answer to the question; the message says what would be one."""


class Answer(NamedTuple):
    """One answer: the value as a spec writes it, and for a number or a point also in SI."""

    written: Any
    value: Point | float | None


def read_answer(need: Need, typed: str, system: System) -> Answer:
    """The answer in what a person typed. Raises NotAnAnswer."""
    text = typed.strip()
    if not text:
        raise NotAnAnswer("nothing was typed; type a value, or: skip, back, why, quit")
    if need.kind == "yes-no":
        return Answer(_yes_or_no(text), None)
    if need.kind in ("list", "group"):
        return Answer(_several(need, text), None)
    if need.kind == "word":
        if text not in need.choices:
            raise NotAnAnswer(no_such("choice", text, need.choices))
        return Answer(text, None)
    if need.kind == "count":
        if not text.isdecimal():
            raise NotAnAnswer(f"a whole number is wanted, and {text!r} is none")
        return Answer(int(text), float(text))
    if need.kind == "number":
        value = _amount(text, Dimension.RATIO, system)
        return Answer(value, value)
    if need.kind == "amount":
        assert need.dimension is not None
        return Answer(_as_written(text), _amount(text, need.dimension, system))
    if need.kind == "point":
        parts = [part.strip() for part in text.strip("[]").split(",")]
        if len(parts) != 3:
            raise NotAnAnswer("three numbers are wanted, with commas between them: x forward, y left, z up")
        point = Point(*(_amount(part, Dimension.LENGTH, system) for part in parts))
        return Answer([_as_written(part) for part in parts], point)
    return Answer(text, None)


def _several(need: Need, text: str) -> Any:
    """A list or a group, as a spec writes it on one line; empty for `none`."""
    opening, closing = "[]" if need.kind == "list" else "{}"
    if text.casefold() == "none":
        return [] if need.kind == "list" else {}
    example = "" if need.example is None else f", as {flow(need.example)}"
    wanted = f"type none where there is none; otherwise all of it on one line between {opening} and {closing}{example}"
    if not (text.startswith(opening) and text.endswith(closing)):
        raise NotAnAnswer(wanted)
    try:
        document = read_text(f"value: {text}", "the answer")
    except Unreadable as wrong:
        raise NotAnAnswer(wanted) from wrong
    if document.problems:
        raise NotAnAnswer(document.problems[0].sentence)
    return document.data["value"]


def _yes_or_no(text: str) -> bool:
    if text.casefold() in YES:
        return True
    if text.casefold() in NO:
        return False
    raise NotAnAnswer(f"yes or no is wanted, and {text!r} is neither")


def _amount(text: str, dimension: Dimension, system: System) -> float:
    try:
        return parse(_as_written(text), dimension, system)
    except QuantityError as error:
        raise NotAnAnswer(str(error)) from error


def _as_written(text: str) -> float | int | str:
    """A bare number as one, which takes the units of the spec; anything else as it was typed."""
    for number in (int, float):
        with suppress(ValueError):
            return number(text)
    return text


def difference(need: Need, answer: Answer, system: System) -> str:
    """How far the answer is from the plan, or from what is computed for the cycled axle, with its direction; "" where
    there is nothing to compare."""
    if isinstance(need.planned, Point) and isinstance(answer.value, Point):
        axes = zip(answer.value, need.planned, _WAYS, strict=True)
        found = [_way(value - planned, ways, system) for value, planned, ways in axes]
        off = [each for each in found if each]
        return ", ".join(off) if off else "as planned"
    if isinstance(need.planned, float) and isinstance(answer.value, float) and need.dimension is not None:
        off_by = answer.value - need.planned
        if need.dimension in (Dimension.LENGTH, Dimension.ANGLE):
            same = "as computed" if need.path.startswith(BY_HAND) else "as planned"
            return _way(off_by, ("more", "less"), system, need.dimension) or same
        share = off_by / need.planned if need.planned else 0.0
        return f"{share:+.1%}" if share else "as planned"
    return ""


_WAYS = (("farther forward", "farther back"), ("farther left", "farther right"), ("higher", "lower"))


def _way(off: float, ways: tuple[str, str], system: System, dimension: Dimension = Dimension.LENGTH) -> str:
    amount = show(abs(off), dimension, system)
    return "" if amount == show(0.0, dimension, system) else f"{amount} {ways[off < 0]}"


def is_far(need: Need, answer: Answer) -> bool:
    """Whether an answer is so far from the plan that it is asked for again."""
    if isinstance(need.planned, Point) and isinstance(answer.value, Point):
        return math.dist(need.planned, answer.value) > FAR[Dimension.LENGTH]
    if isinstance(need.planned, float) and isinstance(answer.value, float) and need.dimension is not None:
        return abs(answer.value - need.planned) > FAR.get(need.dimension, FAR_SHARE * abs(need.planned))
    return False


def is_of_something_else(need: Need, answer: Answer) -> bool:
    """Whether an answer is so far from the plan that no record can hold it: it is of something else."""
    if isinstance(need.planned, Point) and isinstance(answer.value, Point):
        return math.dist(need.planned, answer.value) > FARTHEST_OFF[Dimension.LENGTH][0]
    if isinstance(need.planned, float) and isinstance(answer.value, float) and need.dimension is not None:
        far = FARTHEST_OFF.get(need.dimension, (10 * abs(need.planned), 0.0))[0]
        return abs(answer.value - need.planned) > far
    return False


class Taken(NamedTuple):
    """By whom, on which day and at which stage a value was measured, and the tool for lengths."""

    stage: Stage
    by: str
    on: str
    tool: str


def changes(data: Mapping[str, Any], need: Need, answer: Answer, taken: Taken) -> Mapping[str, Any]:
    """The changes of a spec's plain data that record an answer: a measurement more, or the value at its path; and the
    stage that the job has come to, where the spec states an earlier one."""
    return {**_recorded(data, need, answer, taken), **_come_to(data, taken.stage)}


def _come_to(data: Mapping[str, Any], stage: Stage) -> Mapping[str, Any]:
    stated = (data.get("build") or {}).get("stage")
    return {"build.stage": stage.value} if stated is not None and Stage(stated).number < stage.number else {}


def _recorded(data: Mapping[str, Any], need: Need, answer: Answer, taken: Taken) -> Mapping[str, Any]:
    if not need.measured:
        return _dated(data, need, taken, _at(data, need.path, answer.written))
    entry = {
        "stage": taken.stage.value,
        "of": need.path,
        "value": answer.written,
        **_tool(need, taken),
        "measured_on": taken.on,
        "measured_by": taken.by,
    }
    measured = (data.get("records") or {}).get("measured") or []
    if measured:
        return {f"records.measured[{len(measured)}]": entry}
    return _at(data, "records.measured", [entry])


def _dated(data: Mapping[str, Any], need: Need, taken: Taken, changes: Mapping[str, Any]) -> Mapping[str, Any]:
    """The changes that record an answer; with the first one of the baseline the day and the name as well."""
    if not need.path.startswith(f"{BASELINE}."):
        return changes
    held = (data.get("records") or {}).get("baseline") or {}
    who_and_when = {"taken_on": taken.on, "taken_by": taken.by}
    if held:
        return {**changes, **{f"{BASELINE}.{key}": value for key, value in who_and_when.items() if key not in held}}
    ((path, made),) = changes.items()  # the baseline is new, and perhaps the records around it
    if path == BASELINE:
        return {path: {**who_and_when, **made}}
    return {path: {**made, "baseline": {**who_and_when, **made["baseline"]}}}


def _tool(need: Need, taken: Taken) -> dict[str, str]:
    """The tool, where the dimension says which: a length is measured with the one stated, an angle with a gauge."""
    if need.dimension is Dimension.LENGTH:
        return {"tool": taken.tool}
    return {"tool": "angle-gauge"} if need.dimension is Dimension.ANGLE else {}


def _at(data: Mapping[str, Any], path: str, value: Any) -> Mapping[str, Any]:
    """The change that puts a value at a path: in the group that is there, with those in between that are not."""
    steps = split(path)
    held: Any = data
    above = ""
    for number, step in enumerate(steps):
        there = isinstance(held, Mapping) and held.get(str(step)) is not None
        if not there or number == len(steps) - 1:
            for inner in reversed(steps[number + 1 :]):
                value = {str(inner): value}
            return {join(above, step): value}
        above, held = join(above, step), held[step]
    raise ValueError("a path has at least one step")
