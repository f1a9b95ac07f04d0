"""Signing off a stage of the job: what blocks it, and the record that is kept of it.

A record covers geometry and stated data only. It is no approval to drive.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from buildcheck.build import Build, Stage
from buildcheck.checks.hold_points import SIGNED_FOR, HoldPoint
from buildcheck.checks.inspection import Inspection
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.checks.standard import SecondSigner
from buildcheck.shop.stated import Value, stated

COVERS = "It covers geometry and stated data only, as the spec gave them on that day. It is no approval to drive."
"""The words that a signature is put under."""


class UsedFile(NamedTuple):
    """A standard or a plugin that counted: its name, its version or edition, and the SHA-256 of its file; "" where it
    has none."""

    name: str
    version: str
    sha256: str


class Provenance(NamedTuple):
    """Everything that the readings were made with: the version of buildcheck, the shop's standard, the plugins, and the
    SHA-256 of each rule's page."""

    version: str
    standard: UsedFile | None
    plugins: tuple[UsedFile, ...]
    rules: Mapping[str, str]


class SignedReading(NamedTuple):
    """One reading as it was signed, in SI. `waived` says by whom and until when it is accepted; "" where it is not."""

    rule: str
    limit: str
    subject: str
    of: str
    verdict: str
    place: str
    value: float | None
    lowest: float | None
    highest: float | None
    found: str
    waived: str


@dataclass(frozen=True, slots=True)
class SignOff:
    """A stage that was signed off: by whom, when, for which spec, and everything that was read at that moment.

    `stated` are the values of the spec by path, in SI (see `buildcheck.shop.stated`). `accepted` are the deviations
    that the signature accepts.
    """

    stage: Stage
    signed_by: str
    checked_by: str
    note: str
    signed_at: datetime
    spec_file: str
    stated: Mapping[str, Value]
    provenance: Provenance
    readings: tuple[SignedReading, ...]
    accepted: tuple[str, ...]

    @property
    def signed_for(self) -> str:
        """The work that it covers."""
        return SIGNED_FOR[self.stage]


class Signers(NamedTuple):
    """The person who signs, and the second one who checked; "" for none."""

    signed_by: str
    checked_by: str = ""


class Earlier(NamedTuple):
    """The record of an earlier stage: whether it still holds, and if not, why; None for a stage without a record."""

    stage: Stage
    holds: bool
    reason: str = ""


def blocking(
    point: HoldPoint,
    inspection: Inspection,
    earlier: Sequence[Earlier],
    signers: Signers,
    second: SecondSigner | None = None,
) -> tuple[str, ...]:
    """Everything that blocks the signature, as sentences; empty where the stage can be signed.

    `earlier` are the records found for the stages before this one, `second` is what the shop's standard demands of a
    second signer.
    """
    return (
        *point.blocking,
        *_too_close(inspection),
        *_not_signed_before(point.stage, earlier),
        *_persons(signers),
        *_second(point.stage, signers, second),
    )


def too_close_to_an_error(reading: Reading) -> bool:
    """Whether a reading is within its limits, and too close to its error limit to tell on which side it is."""
    if reading.verdict not in (Verdict.OK, Verdict.WARNING, Verdict.WAIVED) or not reading.too_near_to_tell:
        return False
    if reading.tolerance:  # left and right are compared: the limit is wider by the tolerance already
        return False
    return reading.error_margin is not None and abs(reading.error_margin) < (reading.plus_or_minus or 0.0)


def _too_close(inspection: Inspection) -> Iterator[str]:
    for reading in inspection.of_stage:
        if too_close_to_an_error(reading):
            yield (
                f"{reading.rule}, {reading.quantity} of the {reading.subject}: too close to its error limit to tell on "
                "which side it is; measure it again, or better"
            )


def _not_signed_before(stage: Stage, earlier: Sequence[Earlier]) -> Iterator[str]:
    found = {each.stage: each for each in earlier}
    for before in SIGNED_FOR:
        if before.number >= stage.number:
            return
        if before not in found:
            yield f"the stage {before.value} is not signed"
        elif not found[before].holds:
            yield f"the signature of the stage {before.value} does not hold any more: {found[before].reason}"


def _persons(signers: Signers) -> Iterator[str]:
    names = {"who signs": signers.signed_by, "who checked": signers.checked_by}
    for who, name in names.items():
        if (name or who == "who signs") and not any(map(str.isalpha, name)):
            yield f"the name of {who} has no letter in it"
    if signers.checked_by and signers.checked_by.strip().casefold() == signers.signed_by.strip().casefold():
        yield "the person who checked is the one who signs; a second person has to check"


def _second(stage: Stage, signers: Signers, second: SecondSigner | None) -> Iterator[str]:
    if second is not None and second.from_stage.number <= stage.number and not signers.checked_by:
        yield f"the shop standard demands a second person, from the stage {second.from_stage.value} on (--checked-by)"


def signed(
    build: Build,
    inspection: Inspection,
    point: HoldPoint,
    signers: Signers,
    *,
    note: str,
    at: datetime,
    spec_file: str,
    provenance: Provenance,
) -> SignOff:
    """The record of a stage that nothing blocks."""
    return SignOff(
        stage=point.stage,
        signed_by=signers.signed_by.strip(),
        checked_by=signers.checked_by.strip(),
        note=note,
        signed_at=at,
        spec_file=spec_file,
        stated=stated(build),
        provenance=provenance,
        readings=tuple(as_signed(reading) for reading in inspection.of_stage),
        accepted=point.accepted,
    )


def as_signed(reading: Reading) -> SignedReading:
    """A reading as a record keeps it."""
    waived = "" if reading.waived is None else f"{reading.waived.who}, until {reading.waived.until}"
    return SignedReading(
        reading.rule,
        reading.quantity,
        reading.subject,
        reading.of,
        reading.verdict.value,
        reading.place,
        reading.value,
        reading.lowest,
        reading.highest,
        reading.found or reading.reason,
        waived,
    )
