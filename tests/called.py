"""The command called in this process, as it is called in one of its own: the same streams, statuses and sentences."""

from __future__ import annotations

import sys
from contextlib import chdir
from pathlib import Path
from typing import NamedTuple
from unittest.mock import patch

from click.testing import CliRunner

from buildcheck.commands.command import run


class Ended(NamedTuple):
    """How a call ended, named as by `subprocess`."""

    returncode: int
    stdout: str
    stderr: str


def called(*arguments: str | Path, stdin: str = "", folder: Path | None = None, **environment: str) -> Ended:
    """Call the command in a folder, with its output in a pipe."""
    streams = CliRunner().isolation(stdin, env={"NO_COLOR": None, "FORCE_COLOR": None, **environment})
    argv = patch.object(sys, "argv", ["buildcheck", *map(str, arguments)])
    with chdir(folder or Path.cwd()), streams as (out, error, _), argv:
        status = run()
        sys.stdout.flush()
        sys.stderr.flush()
        # Read while they are open: older releases of click close the streams with the block.
        return Ended(status, out.getvalue().decode(), error.getvalue().decode())
