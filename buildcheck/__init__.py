"""buildcheck checks a solid axle on links before it is ordered, tacked and welded.

    spec = buildcheck.read("build.buildcheck.yaml")
    for reading in buildcheck.inspect(spec).errors:
        print(reading)

Rules are written with `buildcheck.api`.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from buildcheck.build import Missing, Stage
    from buildcheck.checks.limit import Verdict
    from buildcheck.job import Unreached
    from buildcheck.job.parts_list import ListedPart, PartsList
    from buildcheck.library.comparing import compare
    from buildcheck.library.functions import (
        CycleTable,
        Reading,
        Result,
        Series,
        Sweep,
        cycle,
        inspect,
        load_plugins,
        loads,
        sweep,
    )
    from buildcheck.library.orders import Order, work_order
    from buildcheck.library.parts import parts_list
    from buildcheck.library.spec import Spec, SpecProblems, read
    from buildcheck.shop.comparison import Comparison

    __version__: str

__all__ = [
    "Comparison",
    "CycleTable",
    "ListedPart",
    "Missing",
    "Order",
    "PartsList",
    "Reading",
    "Result",
    "Series",
    "Spec",
    "SpecProblems",
    "Stage",
    "Sweep",
    "Unreached",
    "Verdict",
    "__version__",
    "compare",
    "cycle",
    "inspect",
    "load_plugins",
    "loads",
    "parts_list",
    "read",
    "sweep",
    "work_order",
]

# Imported on first use, so that the command does not wait for what it does not need.
_FROM = {
    "Comparison": "buildcheck.shop.comparison",
    "ListedPart": "buildcheck.job.parts_list",
    "Missing": "buildcheck.build",
    "PartsList": "buildcheck.job.parts_list",
    "Order": "buildcheck.library.orders",
    "Spec": "buildcheck.library.spec",
    "SpecProblems": "buildcheck.library.spec",
    "Stage": "buildcheck.build",
    "Unreached": "buildcheck.job",
    "Verdict": "buildcheck.checks.limit",
    "compare": "buildcheck.library.comparing",
    "parts_list": "buildcheck.library.parts",
    "read": "buildcheck.library.spec",
    "work_order": "buildcheck.library.orders",
}

if not TYPE_CHECKING:  # a type checker would take it for a promise that any name is there

    def __getattr__(name: str) -> object:
        if name == "__version__":
            from importlib.metadata import version

            value: object = version("buildcheck")
        elif name in __all__:
            value = getattr(import_module(_FROM.get(name, "buildcheck.library.functions")), name)
        else:
            raise AttributeError(f"module 'buildcheck' has no attribute {name!r}")
        globals()[name] = value
        return value

    def __dir__() -> list[str]:
        return sorted({*globals(), *__all__})
