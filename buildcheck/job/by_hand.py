"""Readings of the axle as it is cycled by hand, as the spec gives them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from buildcheck.build import Side
from buildcheck.job.curve import Unreached
from buildcheck.job.job import Job
from buildcheck.job.margins import parts_of


class _Reading(NamedTuple):
    """A field of `CycledSide`: the kind of part it is read on, and what is computed for it, m; None for never."""

    kind: str
    computed: Callable[[Job, Any], float | None]
    never: str = ""


READ = {
    "stop_touches_at": _Reading(
        "bump-stop",
        lambda job, stop: job.stop_height(stop, job.lines.bump).first_at_most(stop.free_length),
        "by the spec the stop never touches",
    ),
    "strap_tight_at": _Reading(
        "limit-strap",
        lambda job, strap: job.length(strap, job.lines.droop).first_at_least(strap.length),
        "by the spec the strap is never tight",
    ),
    "coilover_left_in_bump": _Reading(
        "coilover", lambda job, part: job.length(part, job.lines.bump).end.value - part.compressed_length
    ),
    "coilover_left_in_droop": _Reading(
        "coilover", lambda job, part: part.extended_length - job.length(part, job.lines.droop).end.value
    ),
    "brake_line_slack": _Reading(
        "brake-line", lambda job, hose: hose.free_length - job.brake_line_length(hose, job.lines.droop).end.value
    ),
}


def read_by_hand(job: Job, field: str, part: Any) -> float:
    """The computed value of a field of `CycledSide` for a stop, strap, coilover or brake line, m. Raises Missing, and
    Unreached where the axle does not go there or the part never comes to it."""
    reading = READ[field]
    found = reading.computed(job, part)
    if found is None:
        raise Unreached(f"{reading.never}, so there is nothing computed to compare")
    return found


def first_read_by_hand(job: Job, field: str, side: Side) -> float | None:
    """The same for the first such part on a side; None where the spec has none. Raises as `read_by_hand`."""
    found = [part for part in parts_of(job.build, READ[field].kind) if part.side is side]
    return read_by_hand(job, field, found[0]) if found else None
