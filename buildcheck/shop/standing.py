"""Whether a signature still holds: is the record as it was written, what has changed in the spec, and does that
overturn it.

A change of the spec alone does not overturn a signature. It is overturned where today's spec, inspected as that stage,
has an error or a check that is not made, and where a value was changed that was signed as a fact: the baseline, a
measurement, or what was done and seen at a stage.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import NamedTuple

from buildcheck.build import Stage
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading, Rule
from buildcheck.checks.standard import Standard
from buildcheck.job import Job
from buildcheck.shop.sign_off import Provenance, SignOff
from buildcheck.shop.signed_record import Record
from buildcheck.shop.stated import Value, stated

MEASURED = "records.measured["

# The values that are facts from a stage on: what was measured, done or seen on the truck itself.
FACTS = {
    Stage.TEARDOWN: re.compile(r"records\.baseline\."),
    Stage.TACKED: re.compile(r"records\.tacked\.|attachments\..*\.fit_up\."),
    Stage.CYCLED: re.compile(r"records\.cycled\."),
    Stage.FINAL_WELD: re.compile(r"records\.welded\.|attachments\..*\.as_(welded|bolted)\."),
    Stage.REASSEMBLED: re.compile(r"records\.reassembled\."),
    Stage.ALIGNED: re.compile(r"records\.aligned\."),
    Stage.DRIVEN: re.compile(r"records\.driven\."),
}


class Change(NamedTuple):
    """A value of the spec that is not what it was when the stage was signed, in SI; None where it is not stated."""

    path: str
    then: Value | None
    now: Value | None


class Standing(NamedTuple):
    """A record, held against the spec of today.

    `changed` are the values of the spec that have changed since. `facts` are those among them that were signed as
    facts, and `broken` the readings of that stage that are an error or not checked; both overturn the signature.
    `wanted_key` is the public key, in base64, with which the record has to be signed; "" for none.
    """

    record: Record
    changed: tuple[Change, ...]
    facts: tuple[Change, ...]
    broken: tuple[Reading, ...]
    wanted_key: str = ""

    @property
    def without_the_key(self) -> bool:
        """Whether a key is wanted, and the record has no signature with it."""
        signature = self.record.signature
        return bool(self.wanted_key) and (signature is None or signature.public_key != self.wanted_key)

    @property
    def forged(self) -> bool:
        """Whether a signature with a key is in the record that its key did not make."""
        signature = self.record.signature
        return signature is not None and not signature.fits(self.record.sha256)

    @property
    def holds(self) -> bool:
        """Whether the record is as it was written, and nothing overturns it."""
        spoiled = not self.record.intact or self.forged or self.without_the_key
        return not spoiled and not self.facts and not self.broken


def standing(
    record: Record,
    job: Job,
    rules: Iterable[Rule],
    *,
    standard: Standard | None,
    today: date | None,
    wanted_key: str = "",
) -> Standing:
    """Hold a record against the build of a job: inspect it as the stage that was signed, and compare every value.

    `rules`, `standard` and `today` are those of an inspection; `wanted_key` is the public key, in base64, with which
    the record has to be signed, "" for none.
    """
    signed = record.sign_off
    now = stated(job.build)
    changed = tuple(changes(signed.stated, now))
    inspection = inspect(job.build, rules, stage=signed.stage, standard=standard, today=today, changes=False, job=job)
    broken = tuple(each for each in inspection.of_stage if each.verdict in (Verdict.ERROR, Verdict.NOT_CHECKED))
    return Standing(record, changed, tuple(_facts(signed, now)), broken, wanted_key)


def made_otherwise(then: Provenance, now: Provenance) -> tuple[str, ...]:
    """Sentences on what has changed since a record was made: version, standard, plugins, pages of rules."""
    said = []
    if then.version != now.version:
        said.append(f"buildcheck was {then.version}, and is {now.version}")
    if then.standard != now.standard:
        old, new = (each.name if each is not None else "none" for each in (then.standard, now.standard))
        said.append(
            f"the shop's standard was {old}, and is {new}" if old != new else f"the shop's standard {new} has changed"
        )
    if then.plugins != now.plugins:
        said.append("the plugins are not those of that day")
    differ = sorted(name for name in {*then.rules, *now.rules} if then.rules.get(name) != now.rules.get(name))
    if differ:
        said.append(f"these rules are new, gone or have another page: {', '.join(differ)}")
    return tuple(said)


def changes(then: Mapping[str, Value], now: Mapping[str, Value]) -> Iterator[Change]:
    """The values that differ, in the order of their paths."""
    for path in sorted({*then, *now}):
        old, new = then.get(path), now.get(path)
        if old != new or isinstance(old, bool) is not isinstance(new, bool):
            yield Change(path, old, new)


def _facts(signed: SignOff, now: Mapping[str, Value]) -> Iterator[Change]:
    """The facts of this stage and the earlier ones that are not what they were. A measurement may be at another place
    in the list, and new ones may be added."""
    of_stage = [facts for stage, facts in FACTS.items() if stage.number <= signed.stage.number]
    for change in changes(signed.stated, now):
        if any(facts.match(change.path) for facts in of_stage):
            yield change
    kept = [entry for _, entry in _measured(now)]
    for path, entry in _measured(signed.stated):
        if Stage(str(entry["stage"])).number > signed.stage.number:
            continue
        if entry in kept:
            kept.remove(entry)
        else:
            yield Change(path, _in_words(entry), None)


def _measured(values: Mapping[str, Value]) -> list[tuple[str, dict[str, Value]]]:
    """The measurements among the values of a spec that name their stage, each with its path."""
    entries: dict[str, dict[str, Value]] = {}
    for path, value in values.items():
        if path.startswith(MEASURED):
            head, _, name = path.partition("].")
            entries.setdefault(f"{head}]", {})[name] = value
    return [(path, entry) for path, entry in entries.items() if "stage" in entry]


def _in_words(entry: Mapping[str, Value]) -> str:
    return f"the measurement of {entry.get('of', 'something')} at the stage {entry['stage']}"
