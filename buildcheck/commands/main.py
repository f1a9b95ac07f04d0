"""Where the command starts, and ends when it is interrupted.

Everything else is imported inside `main`, so that an interruption is met from the first import on.
"""

import contextlib
import sys

INTERRUPTED = 130


def main() -> None:
    """Run the command and leave with its exit status; an interruption is 130, with one word on standard error."""
    try:
        from buildcheck.commands.command import run

        status = run()
    except KeyboardInterrupt:
        status = INTERRUPTED
        with contextlib.suppress(OSError, ValueError, AttributeError):  # where it takes nothing, or is not there
            sys.stderr.write("Interrupted\n")
            sys.stderr.flush()
    # What fails as the interpreter ends can change no reading and no status any more; nobody needs its traceback.
    sys.unraisablehook = lambda _: None
    sys.exit(status)
