"""Start of the command, and its end when it is interrupted.

Everything else is imported inside `main`, so that an interruption is met from the first import on.
"""

import contextlib
import gc
import sys

INTERRUPTED = 130

# Objects that are made between two searches for garbage. With Python's 700, these took a quarter of an inspection.
BETWEEN_SEARCHES = 50_000


def main() -> None:
    """Run the command and leave with its exit status; an interruption is 130, with one word on standard error."""
    gc.set_threshold(BETWEEN_SEARCHES, *gc.get_threshold()[1:])
    try:
        from buildcheck.commands.command import run

        status = run()
    except KeyboardInterrupt:
        status = INTERRUPTED
        with contextlib.suppress(OSError, ValueError, AttributeError):  # standard error is closed or missing
            sys.stderr.write("Interrupted\n")
            sys.stderr.flush()
    # A failure while the interpreter ends changes no reading and no status any more, so its traceback is left out.
    sys.unraisablehook = lambda _: None
    sys.exit(status)
