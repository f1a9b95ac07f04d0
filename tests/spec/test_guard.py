"""The guard around a plugin's code: whatever it raises is one sentence in plain text."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest

from buildcheck.spec.guard import LONGEST, Mishap, Unusable, guarded, place_of, plain_text

LINE = sys._getframe().f_lineno + 4


def fails(error: BaseException) -> None:
    raise error


class Leaving(str):
    """A text that ends the program wherever it is used."""

    __slots__ = ()

    def leave(self, *_: Any, **__: Any) -> Any:
        raise SystemExit(0)

    __str__ = __format__ = __repr__ = __eq__ = __len__ = __bool__ = splitlines = strip = leave
    __hash__ = leave  # type: ignore[assignment]


class NoMessage(Exception):
    def __str__(self) -> str:
        raise SystemExit(0)


class Renamed(type):
    @property
    def __name__(cls) -> str:  # type: ignore[override]
        raise SystemExit(0)


class NoName(Exception, metaclass=Renamed):
    pass


def sentence(error: BaseException) -> str:
    with pytest.raises(Mishap) as caught, guarded():
        fails(error)
    (said,) = caught.value.args
    assert type(said) is str
    return said.replace(f" (spec/test_guard.py, line {LINE}: raise error)", " (HERE)")


@pytest.mark.parametrize(
    ("error", "said"),  # made in the test alone: pytest shows what it is handed
    [
        (lambda: ValueError("no hose\nat all"), "ValueError: no hose"),
        (lambda: SystemExit(0), "SystemExit: 0"),
        (SystemExit, "SystemExit: no message"),
        (GeneratorExit, "GeneratorExit: no message"),
        (StopIteration, "StopIteration: no message"),
        (NoMessage, "NoMessage: no message"),
        (lambda: NoName("x"), "NoName: x"),
        (lambda: ValueError(Leaving("hidden")), "ValueError: no message"),
        (lambda: Unusable("it returned 5"), "it returned 5"),
        (lambda: ValueError("x" * LONGEST), f"ValueError: {'x' * LONGEST}"),
        (lambda: ValueError("x" * (LONGEST + 1)), f"ValueError: {'x' * LONGEST}..."),
    ],
)
def test_whatever_is_raised_is_one_plain_sentence_with_its_place(error: Callable[[], BaseException], said: str) -> None:
    assert sentence(error()) == f"{said} (HERE)"


def test_a_sentence_that_was_made_already_is_passed_on_as_it_is() -> None:
    assert sentence(Mishap("KeyError: 5 (hose.py, line 3)")) == "KeyError: 5 (hose.py, line 3)"


def test_an_interruption_passes() -> None:
    with pytest.raises(KeyboardInterrupt), guarded():
        raise KeyboardInterrupt


def test_a_text_is_made_plain_without_its_own_methods() -> None:
    plain = plain_text(Leaving("hose"))
    assert (type(plain), plain) == (str, "hose")


def test_the_place_of_a_function_is_found_below_what_wraps_it() -> None:
    def wrapper() -> None:
        """Stands for the function that watches a rule."""

    vars(wrapper)["__wrapped__"] = partial(fails, ValueError())
    assert place_of(wrapper) == place_of(fails) == f"spec/test_guard.py, line {LINE - 1}"
    assert place_of(len) == place_of(None) == ""
