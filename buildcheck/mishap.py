"""The one guard around a plugin's code: whatever it raises becomes one sentence in plain text.

A plugin is other people's code, and it runs wherever one of its objects is used: its functions, but also the methods
that printing, comparing and hashing call. So what a plugin hands over is turned into plain data, and all of that runs
inside `guarded`.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import PurePath
from types import FunctionType, MethodType, TracebackType

# Modules whose frames stand between buildcheck and the first line of a plugin.
_BETWEEN = frozenset(("buildcheck", "contextlib", "importlib", "jsonschema", "pluggy", "threading"))


LONGEST = 300
"""Characters of a message that a sentence repeats: a value shown in it may be of any length."""


class Mishap(Exception):
    """A plugin's code failed; the message says how, on one line, with the file and line where they are known."""


class Unusable(Exception):
    """A plugin does not keep to the interface; the message says how, in words of buildcheck."""


@contextmanager
def guarded(function: object = None) -> Iterator[None]:
    """Run a plugin's code, and raise Mishap for whatever it raises; `sys.exit` does not end the run.

    An interruption passes. `function` is the plugin's function, whose place is named where the traceback shows none.
    Not for use around a `yield`: what closes the generator would be taken for a failure of the plugin.
    """
    try:
        yield
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        raise Mishap(told(error, function)) from None


def told(error: BaseException, function: object = None) -> str:
    """The kind of an exception, the first line of its message, and its place in the plugin: on one line.

    Even the message may fail, and then only the kind is given.
    """
    try:
        lines = plain_text(str(error)).strip().splitlines()
    except KeyboardInterrupt:
        raise
    except BaseException:  # a message that cannot be read is no reason to lose the readings
        lines = []
    message = lines[0] if lines else "no message"
    if isinstance(error, Mishap):  # its kind and its place are in the message
        return message
    if len(message) > LONGEST:
        message = f"{message[:LONGEST]}..."
    kind = "" if isinstance(error, Unusable) else f"{_name_of_kind(error)}: "
    place = _place_in(error.__traceback__) or place_of(function)
    return f"{kind}{message}{f' ({place})' if place else ''}"


def plain_text(text: str) -> str:
    """The same text as a plain string, whose methods are Python's own."""
    return str.__str__(text)


def _name_of_kind(error: BaseException) -> str:
    name: str = type.__dict__["__name__"].__get__(type(error))  # a metaclass may have a `__name__` of its own
    return name


def place_of(function: object) -> str:
    """File and line of a plugin's function, `hose.py, line 12`; empty where they are not known."""
    while True:
        if type(function) is partial:
            function = function.func
        elif type(function) is MethodType:
            function = function.__func__
        elif type(function) is FunctionType and "__wrapped__" in vars(function):
            function = vars(function)["__wrapped__"]
        else:
            break
    if type(function) is not FunctionType:
        return ""
    return place(function.__code__.co_filename, function.__code__.co_firstlineno)


def _place_in(trace: TracebackType | None) -> str:
    """Where the plugin's own code was when it failed: the last line in the file in which its code began to run."""
    found: tuple[str, int] | None = None
    for file, module, line in frames(trace):
        if found is None and (module.partition(".")[0] in _BETWEEN or file.startswith("<frozen")):
            continue
        if found is None or file == found[0]:
            found = file, line
    return "" if found is None else place(*found)


def frames(trace: TracebackType | None) -> Iterator[tuple[str, str, int]]:
    """The file, the module's name and the line of each frame of a traceback, the outermost first."""
    while trace is not None:
        name = trace.tb_frame.f_globals.get("__name__")
        yield trace.tb_frame.f_code.co_filename, name if type(name) is str else "", trace.tb_lineno
        trace = trace.tb_next


def place(file: str, line: int) -> str:
    """A line in a file, with its folder, since many a plugin's file is called __init__.py: `hoses/rule.py, line 12`."""
    return f"{PurePath(*PurePath(file).parts[-2:])}, line {line}"
