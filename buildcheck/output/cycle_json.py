"""A cycle as JSON: all that the sheet says, for a program."""

from __future__ import annotations

import json
import math
from typing import Any

from buildcheck.output import words
from buildcheck.output.cautions import CYCLING
from buildcheck.output.cycle_sections import as_data
from buildcheck.output.cycle_words import breaks, held
from buildcheck.output.json_record import FORMAT, build_of, number, place_of, plugins_of
from buildcheck.output.outcome import Cycled
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension


def sheet(spec: Cycled, version: str) -> str:
    """The sheet of one spec. `version` is the tool's own. Never holds NaN or an infinite number."""
    cycle, system = spec.cycle, spec.build.units

    def amount(value: float, dimension: Dimension) -> dict[str, Any] | None:
        return None if math.isnan(value) else number(value, words.amount(value, dimension, system))

    data = {
        "format": FORMAT,
        "tool": {"name": "buildcheck", "version": version},
        "exit_status": int(spec.status),
        "file": printable(spec.file),
        "build": build_of(spec.build),
        "plugins": plugins_of(spec.plugins),
        "held": {
            "words": held(spec),
            "roll": amount(cycle.roll, Dimension.ANGLE),
            "lock": amount(cycle.lock, Dimension.ANGLE),
        },
        "poses": [
            {"name": pose.name, "height": amount(pose.heave, Dimension.LENGTH), "reached": bool(reached)}
            for pose, reached in zip(cycle.poses, cycle.reached, strict=True)
        ],
        "columns": [
            {
                "name": column.quantity.name,
                "group": column.quantity.group,
                "heading": column.quantity.heading,
                "meaning": column.quantity.meaning,
                "dimension": column.quantity.dimension.value,
                "for_information": not column.quantity.compared,
                "values": [amount(float(value), column.quantity.dimension) for value in column.values],
            }
            for column in cycle.columns
        ],
        "cannot_follow": list(breaks(spec)),
        "absent": [
            {"name": absent.name, "missing": place_of(spec, absent.missing), "reason": printable(absent.reason)}
            for absent in cycle.absent
        ],
        **as_data(spec),
        "cautions": list(CYCLING),
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"
