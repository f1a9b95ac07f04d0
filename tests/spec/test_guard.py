"""The guard around a plugin's code: whatever it raises is one sentence in plain text."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest

from buildcheck.build import Build
from buildcheck.spec.guard import LONGEST, Mishap, Unusable, guarded, place_of, plain_text
from buildcheck.spec.names import nearest
from buildcheck.testing import sound_build

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


@pytest.mark.parametrize(
    ("read", "said"),
    [
        (lambda build: build.stering, "Build has no field 'stering'; did you mean steering?"),
        (lambda build: build.lateral_bar.fraem, "LateralBar has no field 'fraem'; did you mean frame?"),
        # Near no field of the build, though it has letters of `brake_lines`: then all that there are.
        (
            lambda build: build.drag_lnk,
            "Build has no field 'drag_lnk'; it has path, label, side, format, units, build, ",
        ),
        (
            lambda build: build.lateral_bar.bushing,
            "LateralBar has no field 'bushing'; it has path, label, side, frame, axle, length, tube, joints",
        ),
    ],
)
def test_a_misspelt_field_names_the_nearest_or_all_of_the_part(read: Callable[[Build], object], said: str) -> None:
    with pytest.raises(Mishap) as raised, guarded():
        read(sound_build())
    assert str(raised.value).startswith(f"AttributeError: {said}")


@pytest.mark.parametrize(
    ("written", "known", "near"),
    [
        ("link-flatnes", ["link-flatness", "link-strength"], "link-flatness"),
        ("fraem", ["frame", "axle"], "frame"),
        ("Frame End", ["frame-end"], "frame-end"),
        ("length", ["free_length", "rate"], "free_length"),  # all of its words
        ("drag_lnk", ["brake_lines"], None),
        ("ab", ["ba"], None),  # two letters, and both are changed
        ("abd", ["abc"], "abc"),  # a third of the letters just passes
        ("abdd", ["abcc"], None),  # half of them does not
    ],
)
def test_the_nearest_name_has_few_typing_errors(written: str, known: list[str], near: str | None) -> None:
    assert nearest(written, known) == near
