"""The loads of a build as JSON, as `schemas/loads.schema.json` describes it: all that the sheet says, and every joint's
force as a vector."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from buildcheck.job.load_table import FootForces, Force, LoadTable, size
from buildcheck.output import uses, words
from buildcheck.output.json_record import FORMAT, assumption_of, build_of, number, place_of, plugins_of
from buildcheck.output.loads_text import CAUTIONS
from buildcheck.output.outcome import Spec
from buildcheck.output.words import printable
from buildcheck.plugins.used import PluginUsed
from buildcheck.spec.quantity import Dimension


def sheet(spec: Spec, table: LoadTable, version: str, exit_status: int, plugins: Iterable[PluginUsed] = ()) -> str:
    """The loads of one spec, and the plugins that counted. `version` is the tool's own. Never holds NaN or an
    infinite number."""
    system = spec.build.units

    def amount(value: float, dimension: Dimension = Dimension.FORCE) -> dict[str, Any] | None:
        return number(value, words.amount(value, dimension, system))

    def amounts(values: Iterable[float], dimension: Dimension = Dimension.FORCE) -> list[dict[str, Any] | None]:
        return [amount(value, dimension) for value in values]

    def vectors(forces: Iterable[Force]) -> list[dict[str, Any]]:
        return [
            {
                "size": amount(size(force)),
                "forward": amount(force[0]),
                "left": amount(force[1]),
                "up": amount(force[2]),
            }
            for force in forces
        ]

    def on_foot(foot: FootForces) -> dict[str, Any]:
        moments = {"twists": foot.twists, "tips": foot.tips}
        return {
            "shears": amounts(foot.shears),
            "pulls": amounts(foot.pulls),
            **{key: None if values is None else amounts(values, Dimension.TORQUE) for key, values in moments.items()},
        }

    data = {
        "format": FORMAT,
        "tool": {"name": "buildcheck", "version": version},
        "exit_status": exit_status,
        "file": printable(spec.file),
        "build": build_of(spec.build),
        "plugins": plugins_of(plugins),
        "cases": [{"name": case.name, "meaning": printable(case.meaning)} for case in table.cases],
        "absent": [printable(sentence) for sentence in table.absent],
        "unknown": [printable(sentence) for sentence in table.unknown],
        "assumptions": [assumption_of(spec, assumed) for assumed in table.assumptions],
        "corners": [
            {"side": row.side, "place": place_of(spec, row.path), "weights": amounts(row.forces)}
            for row in table.corners
        ],
        "parts": [
            {
                "label": printable(row.label),
                "joint": row.joint,
                "place": place_of(spec, row.path),
                "forces": amounts(row.forces),
            }
            for row in table.carried
        ],
        "joints": [
            {
                "label": printable(row.label),
                "joint": row.joint,
                "place": place_of(spec, row.path),
                "forces": vectors(row.forces),
            }
            for row in table.joints
        ],
        "links": [
            {
                "label": printable(row.label),
                "place": place_of(spec, row.path),
                "bending_moments": amounts(row.moments, Dimension.TORQUE),
                "thrusts": amounts(row.thrusts),
                "pressed": amounts(row.pressed),
                "stresses": None if row.stresses is None else amounts(row.stresses, Dimension.PRESSURE),
            }
            for row in table.bent
        ],
        "brackets": [
            {
                "label": printable(row.label),
                "place": place_of(spec, row.path),
                "forces": vectors(row.forces),
                "moments": None if row.moments is None else amounts(row.moments, Dimension.TORQUE),
                "about": "" if row.moments is None else row.about.value,
                "bears": amounts(row.bears),
                "foot": None if row.foot is None else on_foot(row.foot),
            }
            for row in table.brackets
        ],
        "for_information": uses.as_json("loads", spec.build.given()) if table.cases else [],
        "cautions": list(CAUTIONS) if table.cases else [],
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"
