"""Plain Python files as plugins: which files a path names, and the module that one makes."""

from __future__ import annotations

import importlib.util
import io
import stat
import sys
import tokenize
from pathlib import Path
from types import ModuleType

from buildcheck.spec.guard import Unusable

MOST_BYTES = 1_000_000
"""The largest rule file."""

RULE_FILE = "the rule file "
"""Prefix of the name of a module made from a plain Python file."""


def files_of(path: Path) -> list[Path]:
    """Rule files of a path: the file itself, or for a folder that is not a package, its Python files except tests."""
    if not path.is_dir() or (path / "__init__.py").exists():
        return [path]
    files = sorted(each for each in path.glob("*.py") if not each.name.startswith(("test_", "conftest", "_")))
    return files or [path]


def module_of(file: Path, name: str) -> ModuleType:
    """Make a module from the text of a Python file and run it: no other file is written. `name` is the file's name as
    the person wrote it."""
    if file.is_dir():
        return _package_of(file, name)
    try:
        if not stat.S_ISREG(file.stat().st_mode):
            raise Unusable("it is not a file; a plugin on the command line is a Python file")
        with file.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except OSError as error:
        raise Unusable(f"it cannot be read: {(error.strerror or str(error)).lower()}") from None
    if len(raw) > MOST_BYTES:
        raise Unusable(f"it is larger than {MOST_BYTES} bytes, the limit for a rule file")
    encoding, _ = tokenize.detect_encoding(io.BytesIO(raw).readline)
    module = ModuleType(f"{RULE_FILE}{name}")  # not a name that an import statement could use
    module.__file__ = str(file)
    sys.modules[module.__name__] = module  # dataclasses look here for the module of a class
    try:
        exec(compile(raw.decode(encoding), str(file), "exec", dont_inherit=True), module.__dict__)
    except BaseException:
        del sys.modules[module.__name__]
        raise
    return module


def _package_of(folder: Path, name: str) -> ModuleType:
    """Make a package from a folder with an `__init__.py`; its files may import each other with a dot."""
    init = folder / "__init__.py"
    if not init.exists():
        raise Unusable("it is a folder without a Python file that could be a rule")
    called = f"{RULE_FILE}{name.replace('.', '_')}"  # a dot would make it part of another package
    spec = importlib.util.spec_from_file_location(called, init, submodule_search_locations=[str(folder)])
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    writes, sys.dont_write_bytecode = sys.dont_write_bytecode, True  # no bytecode files are written
    sys.modules[called] = module
    try:
        spec.loader.exec_module(module)
    except BaseException:
        del sys.modules[called]
        raise
    finally:
        sys.dont_write_bytecode = writes
    return module
