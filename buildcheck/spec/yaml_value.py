"""A value as a spec would hold it: one line of YAML, in flow style."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence

from buildcheck.spec.yaml_scalar import value_of

# Text without any character that means something to YAML, anywhere in a flow.
_PLAIN = re.compile(r"[A-Za-z0-9.+_/(-](?:[A-Za-z0-9.+_/()%';°·-]| (?!#))*(?<! )")


def flow(value: object) -> str:
    """The value as a spec would hold it: `[5.5, 18, 22.75]`, `{count: 4, length: 1/2 in}`, `true`, `"2026-03-14"`.

    Text is in quotes only where it would be read as something else without them. A value that no spec can hold is in
    quotes, as Python shows it.
    """
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{flow(key)}: {flow(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        return f"[{', '.join(flow(inner) for inner in value)}]"
    if value is None or isinstance(value, bool | int | float):
        return json.dumps(value)
    text = str(value)
    return text if _is_plain(text) else json.dumps(text, ensure_ascii=False)


def _is_plain(text: str) -> bool:
    if not _PLAIN.fullmatch(text) or re.match(r"-(?: |$)|\d{4}-", text):  # a list's dash; what may be a date
        return False
    try:
        return value_of(text, plain=True) == text
    except ValueError:
        return False
