"""The guard around a plugin's code: any exception becomes one sentence in plain text.

A plugin's code runs wherever one of its objects is used: in its functions, but also in the methods that printing,
comparing and hashing call. So everything that a plugin returns is converted to plain data, and all of that runs inside
`guarded`.
"""

from __future__ import annotations

import builtins
import linecache
import re
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import partial
from pathlib import PurePath
from types import FunctionType, MethodType, ModuleType, TracebackType

from buildcheck.spec.names import nearest

# Modules with frames between buildcheck and the first line of a plugin.
_BETWEEN = frozenset(("buildcheck", "contextlib", "importlib", "jsonschema", "pluggy", "threading"))


LONGEST = 300
"""Most characters of a message that a sentence repeats: a value in the message may be of any length."""

LONGEST_LINE = 80
"""Most characters of a line of a plugin's code that a sentence repeats."""


class Mishap(Exception):
    """A plugin's code failed; the message describes the failure on one line, with the file and line where known."""


class Unusable(Exception):
    """A plugin breaks the interface; the message explains how, in words of buildcheck."""


# Collects the traceback of each failure inside `with_tracebacks`.
_TRACEBACKS: ContextVar[dict[str, None] | None] = ContextVar("tracebacks", default=None)


@contextmanager
def with_tracebacks() -> Iterator[dict[str, None]]:
    """Keep the whole traceback of each failure of a plugin's code, once, in the dictionary that it yields."""
    kept: dict[str, None] = {}
    token = _TRACEBACKS.set(kept)
    try:
        yield kept
    finally:
        _TRACEBACKS.reset(token)


@contextmanager
def guarded(function: object = None) -> Iterator[None]:
    """Run a plugin's code, and raise Mishap for any exception that it raises; `sys.exit` does not end the run.

    An interruption passes through. `function` is the plugin's function, whose place is named where the traceback shows
    none. Not for use around a `yield`: the exception that closes the generator would count as a failure of the plugin.
    """
    try:
        yield
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        kept = _TRACEBACKS.get()
        if kept is not None and not isinstance(error, Mishap):
            kept["".join(traceback.format_exception(error))] = None
        raise Mishap(described(error, function)) from None


def described(error: BaseException, function: object = None) -> str:
    """Describe an exception on one line: its kind, the first line of its message, and its place in the plugin.

    The name that was probably meant is added for an unknown name, and the line of code for the place. Where reading the
    message fails, only the kind is given.
    """
    try:
        lines = plain_text(str(error)).strip().splitlines()
    except KeyboardInterrupt:
        raise
    except BaseException:  # a message that cannot be read must not lose the readings
        lines = []
    message = lines[0] if lines else "no message"
    if isinstance(error, Mishap):  # its kind and its place are in the message
        return message
    if len(message) > LONGEST:
        message = f"{message[:LONGEST]}..."
    kind = "" if isinstance(error, Unusable) else f"{_name_of_kind(error)}: "
    place = _place_in(error.__traceback__) or place_of(function)
    return f"{kind}{message}{_meant(error)}{f' ({place})' if place else ''}"


def _meant(error: BaseException) -> str:
    """Suggestion of the nearest name, where a name was misspelt; where none is near, the fields of the part that was
    asked for it."""
    try:
        written, known = _written_and_known(error)
        near = nearest(written, known) if written else None
        declared = _declared(error.obj) if type(error) is AttributeError else []
    except KeyboardInterrupt:
        raise
    except BaseException:  # inspecting a plugin's own object may fail
        return ""
    if near:
        return f"; did you mean {near}?"
    return f"; it has {', '.join(declared)}" if written and declared else ""


def _declared(of: object) -> list[str]:
    """The fields that the class of an object declares, such as those of a part of the build."""
    kind = of if isinstance(of, type) else type(of)
    declared = [name for each in reversed(kind.__mro__) for name in vars(each).get("__annotations__", ())]
    return [name for name in dict.fromkeys(declared) if name.islower() and not name.startswith("_")]


def _written_and_known(error: BaseException) -> tuple[str, list[str]]:
    """Unknown name that was written, and the known ones; "" where the error is of another kind."""
    if type(error) is AttributeError and error.name and error.obj is not None:
        of = error.obj if isinstance(error.obj, type | ModuleType) else type(error.obj)
        return error.name, [name for name in (*dir(of), *_declared(error.obj)) if not name.startswith("_")]
    if type(error) is NameError and error.name:
        trace = error.__traceback__
        while trace is not None and trace.tb_next is not None:
            trace = trace.tb_next
        return error.name, [] if trace is None else [
            *trace.tb_frame.f_locals,
            *trace.tb_frame.f_globals,
            *dir(builtins),
        ]
    if type(error) is ImportError and error.name in sys.modules:
        found = re.match(r"cannot import name '(\w+)'", error.msg)
        return (found[1], list(getattr(sys.modules[error.name], "__all__", ()))) if found else ("", [])
    return "", []


def plain_text(text: str) -> str:
    """Convert a text to a plain string, whose methods are Python's own."""
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
    """Place in the plugin's own code where it failed: the last line in the file in which its code began to run."""
    found: tuple[str, int] | None = None
    for file, module, line in frames(trace):
        if found is None and (module.partition(".")[0] in _BETWEEN or file.startswith("<frozen")):
            continue
        if found is None or file == found[0]:
            found = file, line
    if found is None:
        return ""
    text = _as_written(*found)
    return f"{place(*found)}: {text}" if text else place(*found)


def frames(trace: TracebackType | None) -> Iterator[tuple[str, str, int]]:
    """Yield the file, the module's name and the line of each frame of a traceback, the outermost first."""
    while trace is not None:
        name = trace.tb_frame.f_globals.get("__name__")
        yield trace.tb_frame.f_code.co_filename, name if type(name) is str else "", trace.tb_lineno
        trace = trace.tb_next


def place(file: str, line: int) -> str:
    """Line in a file, with its folder, because many plugin files are called __init__.py: `hoses/rule.py, line 12`."""
    return f"{PurePath(*PurePath(file).parts[-2:])}, line {line}"


def _as_written(file: str, line: int) -> str:
    """Text of a line of a file, as written; empty where the file cannot be read."""
    linecache.checkcache(file)  # the file may have changed since it was last shown
    text = linecache.getline(file, line).strip()
    return f"{text[:LONGEST_LINE]}..." if len(text) > LONGEST_LINE else text
