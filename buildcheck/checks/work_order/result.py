"""The work order: the changes that mend a build, and what they leave."""

from __future__ import annotations

from typing import Any, NamedTuple

from buildcheck.checks.limit import Verdict
from buildcheck.spec.quantity import Dimension


class Named(NamedTuple):
    """A reading by its name: its rule, its limit or requirement, its subject, which of several it is of (`of`), and its
    verdict before the work order."""

    rule: str
    quantity: str
    subject: str
    of: str
    verdict: Verdict


class ValueChange(NamedTuple):
    """One value of the spec that changes: its path, and what it was and becomes.

    Amounts are SI, with their `dimension`; a text, a direction or a yes and no has none. `was` is None for a value that
    the spec does not state.
    """

    path: str
    was: Any
    becomes: Any
    dimension: Dimension | None = None

    @property
    def by(self) -> float | None:
        """How much an amount changes, SI, with its sign; None for any other value."""
        return None if self.dimension is None or self.was is None else float(self.becomes) - float(self.was)


class Alternative(NamedTuple):
    """Other changes that do the same as a line, tried in its place with all other lines made. `slip` is what may have
    been meant, where it corrects a slip of the pen."""

    changes: tuple[ValueChange, ...]
    slip: str = ""


class Line(NamedTuple):
    """One line of a work order: what changes on one part of the truck, left and right together where they are mirror
    images; what may be a slip of the pen has a line of its own.

    number:       from 1, the line that puts most right first
    changes:      the values to write
    slip:         in words, what may have been meant, where the line corrects a slip of the pen; empty for a change of
                  the build
    mends:        the readings that are wrong again where this line alone is left out
    alternatives: other changes that were tried in its place and do the same
    """

    number: int
    changes: tuple[ValueChange, ...]
    slip: str
    mends: tuple[Named, ...]
    alternatives: tuple[Alternative, ...] = ()


class WorkOrder(NamedTuple):
    """The smallest set of changes found after which a build has no error, and what it leaves.

    lines:    the changes to make, all together
    left:     the errors and warnings that remain after all lines, and why there is no line for them
    mended:   the readings that all lines together put right
    proven:   whether the build with all lines was inspected as a whole, and has no reading that is worse or gone
    finished: whether the search ended by itself, and not because its budget was used up or it was stopped
    tried:    the number of changed builds that were tried
    stopped:  whether somebody stopped the search; its lines are then not proven
    """

    lines: tuple[Line, ...] = ()
    left: tuple[tuple[Named, str], ...] = ()
    mended: tuple[Named, ...] = ()
    proven: bool = True
    finished: bool = True
    tried: int = 0
    stopped: bool = False

    @property
    def leaves_errors(self) -> bool:
        """Whether an error remains after all lines."""
        return any(reading.verdict is Verdict.ERROR for reading, _ in self.left)
