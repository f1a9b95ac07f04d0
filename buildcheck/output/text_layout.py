"""Lines of a page: labels in a column, text beside them, wrapped to a width or not at all, with or without
colour."""

from __future__ import annotations

import textwrap
from enum import StrEnum


class Tint(StrEnum):
    """The terminal's codes for what stands out; the words alone say the same."""

    NONE = ""
    HEADING = "\x1b[1m"
    RED_TAG = "\x1b[1;37;41m"
    YELLOW_TAG = "\x1b[1;30;43m"
    GREEN_TAG = "\x1b[32m"


_PLAIN = "\x1b[0m"


class Page:
    """A page that is written from top to bottom.

    `width` is the number of columns to keep to, None to leave every line whole. Words are never broken or
    left out: one that is longer than a line runs over it.
    """

    def __init__(self, width: int | None, *, colour: bool) -> None:
        self._width = width
        self._colour = colour
        self._lines: list[str] = []

    def blank(self) -> None:
        """An empty line, never two in a row and none at the top."""
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def heading(self, text: str) -> None:
        """A line that starts a part of the page."""
        self.blank()
        for line in self._wrapped(text, "", ""):
            self._lines.append(self._tinted(line, Tint.HEADING))

    def text(self, text: str, indent: int = 0, hang: int | None = None) -> None:
        """Running text; `hang` is the indent of its lines after the first."""
        after = indent if hang is None else hang
        self._lines.extend(self._wrapped(text, " " * indent, " " * after))

    def row(self, text: str, tint: Tint = Tint.NONE) -> None:
        """A line of a table, left as it is at any width."""
        self._lines.append(self._tinted(text.rstrip(), tint))

    def field(
        self, label: str, text: str, *, indent: int, column: int, before: str = "", tint: Tint = Tint.NONE
    ) -> None:
        """A label at `indent` and its text from `column` on. `before` stands in the indent; the tint is
        the label's."""
        start = f"{before:<{indent}}{label}"
        start += " " * max(column - len(start), 1)
        first, *rest = self._wrapped(text, start, " " * column) or [start.rstrip()]
        first = first[:indent] + self._tinted(label, tint) + first[indent + len(label) :]
        self._lines.extend([first, *rest])

    def __str__(self) -> str:
        return "".join(f"{line}\n" for line in self._lines)

    def _wrapped(self, text: str, start: str, after: str) -> list[str]:
        if self._width is None:
            return [f"{start}{text}".rstrip()]
        return textwrap.wrap(
            text,
            max(self._width, len(after) + 20),
            initial_indent=start,
            subsequent_indent=after,
            break_long_words=False,
            break_on_hyphens=False,
            replace_whitespace=False,
            drop_whitespace=True,
        )

    def _tinted(self, text: str, tint: Tint) -> str:
        return f"{tint}{text}{_PLAIN}" if self._colour and tint else text
