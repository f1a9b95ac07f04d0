"""Lines of a page: labels in a column, text beside them, wrapped to a width or not at all, with or without
bold type."""

from __future__ import annotations

import re
import textwrap

# The terminal's codes. Bold only adds to the words: the words alone say the same.
_BOLD, _PLAIN = "\x1b[1m", "\x1b[0m"

# A number and the space after it, as in `4 13/16 in` or `0.80 g`: a line never ends there.
NUMBER = re.compile(r"(?<![^\s(])([+-]?\d+(?:\.\d+)?(?:/\d+)?) (?=\S)")
_HELD = "\0"  # put in place of that space while a text is wrapped; no text that is printed has it


class Page:
    """A page that is written from top to bottom.

    `width` is the number of columns to keep to, None to leave every line whole. Words are never broken or
    left out: one that is longer than a line runs over it. A number stays on one line with the word after it.
    `colour` says whether the page may hold the terminal's codes for bold type.
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
            self._lines.append(self._bold(line))

    def text(self, text: str, indent: int = 0, hang: int | None = None) -> None:
        """Running text; `hang` is the indent of its lines after the first."""
        after = indent if hang is None else hang
        self._lines.extend(self._wrapped(text, " " * indent, " " * after))

    def row(self, text: str, *, bold: bool = False) -> None:
        """A line of a table, left as it is at any width."""
        line = text.rstrip()
        self._lines.append(self._bold(line) if bold else line)

    def field(self, label: str, text: str, *, indent: int, column: int, before: str = "", bold: bool = False) -> None:
        """A label at `indent` and its text from `column` on. `before` is printed in the indent; `bold` is for
        the label."""
        start = f"{before:<{indent}}{label}"
        start += " " * max(column - len(start), 1)
        first, *rest = self._wrapped(text, start, " " * column) or [start.rstrip()]
        if bold:
            first = first[:indent] + self._bold(label) + first[indent + len(label) :]
        self._lines.extend([first, *rest])

    def __str__(self) -> str:
        return "".join(f"{line}\n" for line in self._lines)

    def _wrapped(self, text: str, start: str, after: str) -> list[str]:
        if self._width is None:
            return [f"{start}{text}".rstrip()]
        wrapped = textwrap.wrap(
            NUMBER.sub(rf"\1{_HELD}", text),
            max(self._width, len(after) + 20),
            initial_indent=start,
            subsequent_indent=after,
            break_long_words=False,
            break_on_hyphens=False,
            replace_whitespace=False,
            drop_whitespace=True,
        )
        return [line.replace(_HELD, " ") for line in wrapped]

    def _bold(self, text: str) -> str:
        return f"{_BOLD}{text}{_PLAIN}" if self._colour else text
