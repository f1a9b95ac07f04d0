"""Amounts in running text, so that no line ends between a number and the word after it."""

from __future__ import annotations

import re

AMOUNT = re.compile(r"(?<![^\s(>])(?:\d+ : \d+|(?:[+-]?\d+(?:\.\d+)?(?:/\d+)? )+[^\s<:]+)")
"""One or two numbers, as in `4 13/16`, and the word after them; or a scale, `1 : 20`."""

# What is left as it is: tags, and elements whose text is no running text, or is only read out.
_TAGS = re.compile(r'<(svg|script|style|title)\b.*?</\1>|<span class="unseen">.*?</span>|<[^>]*>', re.DOTALL)


def held_in_html(html: str) -> str:
    """A page in which each amount stays on one line; its text is the same, without the indents of its template."""
    parts, last = [], 0
    for tag in _TAGS.finditer(html):
        parts += [_held(html[last : tag.start()]), tag[0]]
        last = tag.end()
    return "".join([*parts, _held(html[last:])])


def _held(text: str) -> str:
    if not text or text.isspace():
        return "\n" if "\n" in text else text
    return AMOUNT.sub(r"<span class=q>\g<0></span>", text)
