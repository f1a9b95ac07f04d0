"""Value of one YAML scalar by the core schema of YAML 1.2.2 (yaml.org, section 10.3).

Refused, each with a sentence: text that a YAML 1.1 reader would read differently (010, 1_000, 1:30, on, yes), numbers
that are not finite, and text that is too long.
"""

from __future__ import annotations

import math
import re

from buildcheck.spec.place import clean

MAX_CHARACTERS = 2_000
MAX_DIGITS = 15
"""Longest whole number: 15 digits are exact in a double, 17 are not."""

_UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")
_INTEGER = re.compile(r"[-+]?[0-9]+")
_DECIMAL = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_NULLS = frozenset(("", "~", "null", "Null", "NULL"))
_TRUTHS = {word: word.lower() == "true" for word in ("true", "True", "TRUE", "false", "False", "FALSE")}
_SWITCH_WORD = re.compile(r"(?i:y|n|yes|no|on|off)")
_DOUBTFUL_NUMBERS = (
    (
        re.compile(r"[-+]?0[0-9]+"),
        "starts with a zero, which some programs read as base 8; leave the zero out",
    ),
    (re.compile(r"[-+]?0[xob][0-9a-fA-F_]+"), "is not a decimal number; write it in decimal"),
    (
        re.compile(r"(?=[^_]*_)[-+]?(?:[0-9][0-9_]*)?(?:\.[0-9_]*)?(?:[eE][-+]?[0-9]+)?"),
        "has an underscore inside; write only the digits",
    ),
    (
        re.compile(r"[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9_]*)?"),
        "has a colon between digits, which some programs read as base 60; write a plain number",
    ),
    (re.compile(r"[-+]?\.(?i:inf|nan)"), "is not a number that a truck can have; write a finite number"),
)


def value_of(text: str, plain: bool) -> str | float | bool | None:
    """Return the value of a scalar by the YAML 1.2 core schema; raises ValueError, with a sentence, where it is
    refused."""
    if len(text) > MAX_CHARACTERS:
        raise ValueError(f"this text is {len(text)} characters long; the limit is {MAX_CHARACTERS}")
    if not plain:
        if unfit := _UNPRINTABLE.search(text):
            raise ValueError(f"this text holds the unprintable character {clean(unfit[0])}; leave it out")
        return text
    if text in _NULLS:
        return None
    if text in _TRUTHS:
        return _TRUTHS[text]
    if _SWITCH_WORD.fullmatch(text):
        raise ValueError(f'"{text}" can mean a word or a switch; write true or false, or put quotes around the word')
    for pattern, reason in _DOUBTFUL_NUMBERS:
        if pattern.fullmatch(text):
            raise ValueError(f'"{clean(text)}" {reason}, or put quotes around it if it is text')
    if _INTEGER.fullmatch(text):
        if len(text.lstrip("+-")) > MAX_DIGITS:
            raise ValueError(f'"{clean(text)}" has more than {MAX_DIGITS} digits; put quotes around it if it is text')
        return int(text)
    if _DECIMAL.fullmatch(text):
        number = float(text)
        if not math.isfinite(number):
            raise ValueError(f'"{clean(text)}" is too large to compute with; write a finite number')
        return number
    return text
