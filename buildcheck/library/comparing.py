"""Two states of a build compared, for Python programs."""

from __future__ import annotations

from buildcheck.library.functions import Result, inspect
from buildcheck.library.spec import Spec
from buildcheck.shop import comparison
from buildcheck.shop.comparison import Comparison, State
from buildcheck.spec.arguments import instance, refuse_any


def compare(before: Spec | Result, after: Spec | Result) -> Comparison:
    """The differences of two specs, or of two inspections: values of the spec, verdicts, numbers, limits.

    A spec is inspected as `inspect(spec, changes=False)` does. To compare stages or standards, hand over two results:
    `compare(inspect(spec, stage="tacked"), inspect(spec, stage="cycled"))`. Numbers are SI; `worse` has the readings
    whose verdict got worse, `inputs` the values of the spec that differ. Raises what `inspect` raises.
    """
    refuse_any((("compare()", before, _STATE), ("compare()", after, _STATE)))
    return comparison.compare(_state(before), _state(after))


_STATE = instance("a Spec, as buildcheck.read returns", Spec) | instance("a Result of buildcheck.inspect", Result)


def _state(of: Spec | Result) -> State:
    result = inspect(of, changes=False) if isinstance(of, Spec) else of
    return comparison.state_of(result.spec.build, result.inspection)
