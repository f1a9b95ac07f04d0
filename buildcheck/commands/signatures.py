"""The records of signed stages beside a spec, each held against the spec of today."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from buildcheck.commands.inspect import today
from buildcheck.commands.output import reason
from buildcheck.commands.plugged import kept_clear

if TYPE_CHECKING:
    from collections.abc import Sequence

    from buildcheck.build import Stage
    from buildcheck.checks.rule import Rule
    from buildcheck.output.outcome import Inspected
    from buildcheck.output.report.sign_off import Signed
    from buildcheck.shop.standing import Standing


def records_of(inspected: Inspected, file: Path, rules: Sequence[Rule]) -> dict[Stage, Signed]:
    """The newest record of each stage that has one, as the report shows it; `rules` are those of `standing_of`."""
    from buildcheck.build import Stage
    from buildcheck.output.report.sign_off import no_record, signed
    from buildcheck.shop.signed_record import NotARecord, records_beside

    found: dict[Stage, Signed] = {}
    for stage in Stage:
        files = records_beside(file, stage)
        if not files:
            continue
        newest = files[-1]
        try:
            found[stage] = signed(inspected, newest.name, standing_of(newest, inspected, rules))
        except (NotARecord, OSError, UnicodeDecodeError) as wrong:
            why = reason(wrong) if isinstance(wrong, OSError) else str(wrong)
            found[stage] = no_record(newest.name, why)
    return found


def standing_of(file: Path, inspected: Inspected, rules: Sequence[Rule]) -> Standing:
    """A record, held against the spec of today. `rules` are the very ones that the spec was inspected by: what they
    found is then not computed again. Raises NotARecord for a file that is none."""
    from buildcheck.job import Job
    from buildcheck.shop.signed_record import read_record
    from buildcheck.shop.standing import standing

    standard = None if inspected.used is None else inspected.used.standard
    job = inspected.job or Job(inspected.build)
    record = read_record(file.read_text(encoding="utf-8"))
    with kept_clear():  # what a plugin prints is not part of the answer
        return standing(record, job, rules, standard=standard, today=today())
