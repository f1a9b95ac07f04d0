"""The input of every output: the specs of one call, each inspected, cycled or refused, and the plugins that
failed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import IntEnum
from typing import NamedTuple

from buildcheck.build import Build
from buildcheck.checks.hold_points import HoldPoint, hold_points, nothing_checked
from buildcheck.checks.inspection import ORDER, Inspection, LaterRule
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.checks.standard import Standard
from buildcheck.job import Job
from buildcheck.job.cycle import Cycle
from buildcheck.plugins.loading import PluginFailure
from buildcheck.plugins.used import PluginUsed, own, short
from buildcheck.spec.document import Document, Position, Problem


class Status(IntEnum):
    """The exit status, and what it says."""

    NOTHING_WORSE_THAN_A_WARNING = 0
    ERRORS_FOUND = 1
    SPEC_REFUSED = 2
    RULE_OR_PLUGIN_FAILED = 3
    NOTHING_CHECKED = 4
    NOT_TO_BE_SIGNED_OFF = 5

    @property
    def words(self) -> str:
        """The same in words: `nothing worse than a warning`."""
        return self.name.lower().replace("_", " ")


@dataclass(frozen=True, slots=True)
class Spec:
    """A spec that was read, and the build that it describes."""

    file: str
    document: Document
    build: Build

    def position(self, path: str) -> Position | None:
        """Position of a spec path in the file, or of where it would go; None for the spec as a whole, and
        for a place that is not a spec path."""
        if not path:
            return None
        try:
            return self.document.position(path)
        except ValueError:  # a plugin's rule may call anything a place
            return None


class StandardUsed(NamedTuple):
    """The shop's standard that a spec was inspected by: the file that it was read from, how that was found, and
    whether somebody chose it, for it was not only found beside or above the spec. `sha256` is that of its text;
    `lacking` are the plugins without which it lets nothing be signed, and which could not be used."""

    standard: Standard
    file: str
    found: str
    chosen: bool = True
    sha256: str = ""
    lacking: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """Title, file, how it was found, and the start of its digest."""
        return f"{self.standard.title}; {self.file}, {self.found} ({short(self.sha256)})"


@dataclass(frozen=True, slots=True)
class Inspected(Spec):
    """A spec that was read and inspected. `later` are the rules that belong to a later stage of the job, `used` is the
    shop's standard that it was inspected by, `signing` says whether the call asks to sign off its hold point.
    `plugins` are those that counted; `job` is the one that was inspected, where what it computed is of use again."""

    inspection: Inspection
    later: tuple[LaterRule, ...] = ()
    used: StandardUsed | None = None
    signing: bool = False
    plugins: tuple[PluginUsed, ...] = ()
    job: Job | None = field(default=None, compare=False)

    @property
    def own_plugins(self) -> tuple[PluginUsed, ...]:
        """The plugins that counted, without the built-in rules."""
        return own(self.plugins)

    @property
    def hold_points(self) -> tuple[HoldPoint, ...]:
        """The hold points of the job, as this inspection leaves them."""
        chosen, lacking = (True, ()) if self.used is None else (self.used.chosen, self.used.lacking)
        return hold_points(self.build, self.inspection, chosen=chosen, lacking=lacking)

    @property
    def hold_point(self) -> HoldPoint:
        """The one that this inspection is for."""
        return next(point for point in self.hold_points if point.now)

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Every reading, in the order of the areas of the truck."""
        return self.inspection.readings

    @property
    def items(self) -> tuple[Reading, ...]:
        """The errors and warnings of the build, in the order in which they are numbered: in each area of the truck the
        errors first."""
        found = (
            reading
            for reading in self.readings
            if reading.verdict in (Verdict.ERROR, Verdict.WARNING) and not reading.failure
        )
        return tuple(sorted(found, key=lambda reading: (ORDER[reading.area], reading.verdict is not Verdict.ERROR)))

    def with_verdict(self, verdict: Verdict) -> tuple[Reading, ...]:
        """The readings of one verdict, without those of rules that failed or do not apply."""
        return tuple(
            reading
            for reading in self.readings
            if reading.verdict is verdict and reading.applies and not reading.failure
        )

    @property
    def loosened(self) -> tuple[Reading, ...]:
        """The readings that pass, or are a warning in place of an error, only by a looser limit of the shop's
        standard."""
        return tuple(reading for reading in self.readings if reading.loosened is not None)

    @property
    def failed(self) -> tuple[Reading, ...]:
        """The readings that a rule failed to make."""
        return tuple(reading for reading in self.readings if reading.failure)

    @property
    def nothing_checked(self) -> bool:
        """Whether no reading says anything of the build."""
        return nothing_checked(self.readings)

    @property
    def status(self) -> Status:
        """The exit status that this spec alone would give."""
        if self.failed:
            return Status.RULE_OR_PLUGIN_FAILED
        if self.signing and not self.hold_point.can_be_signed_off:
            return Status.NOT_TO_BE_SIGNED_OFF
        if self.with_verdict(Verdict.ERROR):
            return Status.ERRORS_FOUND
        if self.nothing_checked:
            return Status.NOTHING_CHECKED
        return Status.NOTHING_WORSE_THAN_A_WARNING


@dataclass(frozen=True, slots=True)
class Cycled(Spec):
    """A spec whose axle was cycled, and the plugins that counted."""

    cycle: Cycle
    plugins: tuple[PluginUsed, ...] = ()

    @property
    def status(self) -> Status:
        """The exit status: errors were found where the axle, or what follows it, cannot go the whole way."""
        return Status.NOTHING_WORSE_THAN_A_WARNING if self.cycle.unbroken else Status.ERRORS_FOUND


@dataclass(frozen=True, slots=True)
class Refused:
    """A spec that was refused.

    `readable` says whether its structure could be followed, so that all of it was checked and the spec is not valid;
    otherwise it cannot be read, and more may be wrong with it than the problems say. Where it is the shop's standard
    found for it that cannot be used, `standard` is that file, and the problems are in it.
    """

    file: str
    problems: tuple[Problem, ...]
    readable: bool
    standard: str = ""

    @property
    def state(self) -> str:
        """Reason for the refusal: `not valid`, `not readable`, `standard not usable`."""
        if self.standard:
            return "standard not usable"
        return "not valid" if self.readable else "not readable"

    @property
    def problem_file(self) -> str:
        """The file that has the problems."""
        return self.standard or self.file

    @property
    def status(self) -> Status:
        """The exit status that this spec alone would give."""
        return Status.SPEC_REFUSED


@dataclass(frozen=True, slots=True)
class Outcome:
    """All that one call found."""

    specs: tuple[Inspected | Refused, ...]
    plugin_failures: tuple[PluginFailure, ...] = ()

    @property
    def inspected(self) -> tuple[Inspected, ...]:
        """The specs that were inspected."""
        return tuple(spec for spec in self.specs if isinstance(spec, Inspected))

    @property
    def status(self) -> Status:
        """The exit status of the call; see `combined`."""
        statuses = [spec.status for spec in self.specs]
        if self.plugin_failures:
            statuses.append(Status.RULE_OR_PLUGIN_FAILED)
        return combined(statuses)


def combined(statuses: Iterable[Status]) -> Status:
    """One exit status for several specs.

    What makes the answer least sure goes first: a failed rule or plugin, then a refused spec, then a hold point that
    cannot be signed off, then errors.
    Nothing was checked only where that holds for every spec.
    """
    found = set(statuses)
    for status in (
        Status.RULE_OR_PLUGIN_FAILED,
        Status.SPEC_REFUSED,
        Status.NOT_TO_BE_SIGNED_OFF,
        Status.ERRORS_FOUND,
    ):
        if status in found:
            return status
    if Status.NOTHING_WORSE_THAN_A_WARNING in found:
        return Status.NOTHING_WORSE_THAN_A_WARNING
    return Status.NOTHING_CHECKED
