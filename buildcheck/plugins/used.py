"""The plugins that counted in an inspection: name, version, and a digest of the code that ran."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import NamedTuple

from buildcheck.plugins.loading import BUILT_IN, Collected, installed_plugins


class PluginUsed(NamedTuple):
    """A plugin that was loaded: its name, the version of its distribution ("" for a rule file), and the SHA-256 of its
    code; of a package, of all its Python files. `built_in` marks the rules of buildcheck itself."""

    name: str
    version: str
    sha256: str
    built_in: bool = False

    @property
    def words(self) -> str:
        """Name, version and the start of the digest: `our-shop 1.2.0 (sha256 0a1b2c3d4e5f)`."""
        return f"{self.name}{f' {self.version}' if self.version else ''} ({short(self.sha256)})"


def own(plugins: Iterable[PluginUsed]) -> tuple[PluginUsed, ...]:
    """The plugins without the built-in rules."""
    return tuple(each for each in plugins if not each.built_in)


def short(sha256: str) -> str:
    """A digest as people compare it: its first twelve digits."""
    return f"sha256 {sha256[:12]}" if sha256 else "no digest"


def plugins_used(collected: Collected) -> tuple[PluginUsed, ...]:
    """The plugins that were loaded and not refused, in the order in which they were loaded."""
    installed = [
        PluginUsed(
            point.name,
            point.dist.version if point.dist is not None else "",
            _of_module(point.module.partition(".")[0]),
            point.value == BUILT_IN,
        )
        for point in (installed_plugins() if collected.installed else ())
        if point.name in collected.loaded
    ]
    names = [name for name in collected.loaded if name not in {each.name for each in installed}]
    files = [PluginUsed(name, "", _digest([Path(name)])) for name in names if Path(name).is_file()]
    return (*installed, *files)


@cache
def _of_module(name: str) -> str:
    found = find_spec(name)
    if found is None:
        return ""
    folders = [Path(folder) for folder in found.submodule_search_locations or ()]
    if folders:
        return _digest([file for folder in folders for file in sorted(folder.rglob("*.py"))])
    return _digest([Path(found.origin)] if found.origin else [])


def _digest(files: list[Path]) -> str:
    """The SHA-256 of one file; of several, of their names and digests."""
    try:
        digests = [hashlib.sha256(file.read_bytes()).hexdigest() for file in files]
    except OSError:
        return ""
    if len(files) == 1:
        return digests[0]
    lines = (f"{file.name} {digest}\n" for file, digest in zip(files, digests, strict=True))
    return hashlib.sha256("".join(lines).encode()).hexdigest() if files else ""
