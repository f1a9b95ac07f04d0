"""The order and cut lists as JSON, as `schemas/order.schema.json` describes it."""

from __future__ import annotations

import json
from typing import Any

from buildcheck.output import order_words as said
from buildcheck.output import words
from buildcheck.output.cautions import NO_APPROVAL
from buildcheck.output.json_record import FORMAT, build_of, number
from buildcheck.output.outcome import Spec
from buildcheck.output.parts_json import fact
from buildcheck.output.words import printable
from buildcheck.shop.order_list import OrderList
from buildcheck.spec.quantity import Dimension


def sheet(spec: Spec, listed: OrderList, version: str, exit_status: int) -> str:
    """The lists of one spec. `version` is the tool's own. Never holds NaN or an infinite number."""

    def length(value: float | None) -> dict[str, Any] | None:
        return None if value is None else number(value, words.amount(value, Dimension.LENGTH, spec.build.units))

    data = {
        "format": FORMAT,
        "tool": {"name": "buildcheck", "version": version},
        "exit_status": exit_status,
        "file": printable(spec.file),
        "build": build_of(spec.build),
        "incomplete": listed.incomplete,
        "cuts": [
            {
                "label": printable(cut.label),
                "count": cut.number,
                "paths": [printable(path) for path in cut.paths],
                "length": length(cut.length),
                "joint_to_joint": length(cut.joint_to_joint),
                "takes": [{"end": taken.end, "length": length(taken.length)} for taken in cut.takes],
                "set_up_by": [
                    {"name": span.name, "length": length(span.value), "why": printable(span.why)}
                    for span in cut.set_up_by
                ],
                "tube": [fact(spec, each) for each in cut.tube],
                "unknown": [printable(path) for path in cut.unknown],
                "why": printable(cut.why),
            }
            for cut in listed.cuts
        ],
        "lines": [
            {
                "kind": line.kind,
                "count": line.number,
                "words": said.of_line(line, spec.build.units),
                "facts": [fact(spec, each) for each in line.facts],
                "used_for": [printable(name) for name in line.used_for],
                "unknown": [printable(path) for path in line.unknown],
            }
            for line in listed.lines
        ],
        "packing": [
            {
                "name": printable(packed.name),
                "path": printable(packed.path),
                "needed": packed.needed,
                "ordered": packed.ordered,
                "arrived": packed.arrived,
                "inspected": packed.inspected,
                "to_do": list(packed.lacks),
            }
            for packed in listed.packed
        ],
        "not_on_the_packing_list": list(listed.unpacked),
        "renewals": [
            {"name": printable(each.name), "why": printable(each.why), "renewed": each.renewed}
            for each in listed.renewals
        ],
        "absent": list(listed.absent),
        "cautions": [NO_APPROVAL],
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"
