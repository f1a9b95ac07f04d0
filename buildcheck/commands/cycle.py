"""`buildcheck cycle`: one spec to its cycling sheet."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from buildcheck.commands.choice import known_name
from buildcheck.commands.output import (
    color_option,
    screen_colour,
    screen_width,
    shown,
    wants_colour,
    write_out,
)
from buildcheck.commands.overwriting import refuse_to_overwrite
from buildcheck.commands.plugged import (
    PLUGIN_FAILED,
    collected_with,
    kept_clear,
    plugin_failures_first,
    plugin_option,
    tell_failures,
)
from buildcheck.commands.progress import progress
from buildcheck.commands.specs import read_spec

if TYPE_CHECKING:
    from buildcheck.checks.rule import Rule
    from buildcheck.job.named_quantity import Quantity
    from buildcheck.output.outcome import Cycled, Refused
    from buildcheck.plugins.loading import Collected

NOTHING_TO_CYCLE = 4
CANNOT_FOLLOW = 1
WRONG_SPEC = 2


class Angle(click.ParamType):  # type: ignore[type-arg,unused-ignore]
    """An angle as a spec writes it, in degrees where it has no unit; no larger than `largest` degrees either way."""

    name = "angle"

    def __init__(self, largest: float) -> None:
        self._largest = math.radians(largest)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The angle in radians; raises click.BadParameter for anything else."""
        from buildcheck.spec.quantity import Dimension, QuantityError, System, parse, show

        try:
            angle = parse(value, Dimension.ANGLE, System.METRIC)
        except QuantityError as error:
            self.fail(str(error), param, ctx)
        if abs(angle) > self._largest:
            self.fail(f"at most {show(self._largest, Dimension.ANGLE, System.METRIC)} either way", param, ctx)
        return angle


@click.command("cycle", short_help="Move the axle from droop to bump: what changes, height by height.")
@click.argument("spec", metavar="SPEC")
@click.option(
    "--steps",
    metavar="NUMBER",
    type=click.IntRange(1, 200),
    default=5,
    show_default=True,
    help="Steps from ride height to full droop, and as many to full bump.",
)
@click.option(
    "--roll", metavar="ANGLE", type=Angle(45), default="0", help="Hold the axle rolled; left side up is positive."
)
@click.option(
    "--lock", metavar="ANGLE", type=Angle(90), default="0", help="Hold the inner wheel turned; to the left is positive."
)
@click.option(
    "--only",
    metavar="NAME",
    multiple=True,
    help="Only this quantity, or group of them; may be given more than once. Names: buildcheck rules --quantities.",
)
@click.option("--output", "kind", type=click.Choice(["text", "csv", "svg", "json"]), default="text", help="Format.")
@click.option("--to", metavar="FILE", type=click.Path(path_type=Path), help="Write to this file, not to the screen.")
@plugin_option
@click.option("--meanings", is_flag=True, help="Text: also what each column means, with its sign.")
@color_option
@click.pass_context
def cycle_spec(
    context: click.Context,
    spec: str,
    steps: int,
    roll: float,
    lock: float,
    only: tuple[str, ...],
    kind: str,
    to: Path | None,
    meanings: bool,
    color: str,
    plugin_files: tuple[Path, ...],
) -> None:
    """Cycle the axle from full droop to full bump: a table, or a picture, of what moves with it.

    SPEC is a file, or - for standard input; buildcheck never writes to it. Roll and lock are held all the way. Like
    the spec's lock_angle, --lock is the angle of the inner wheel, seen from above, from straight ahead on the axle as
    drawn: of the left wheel to the left, of the right wheel to the right. The steering wheel is held where it gives
    that angle at ride height. Write an angle like 6, "6 deg" or "0.1 rad".

    \b
    Example:
      buildcheck cycle examples/tamarack/proposal.buildcheck.yaml

    \b
    Exit status, the first that holds:
      3  a plugin failed
      2  the spec cannot be read or is not valid; or wrong usage
      1  a height cannot be reached, something cannot follow,
         or the links leave the axle free
      0  the axle goes the whole way, and everything follows it
      4  the spec lacks what a cycle needs
    """
    if meanings and kind != "text":
        raise click.UsageError("--meanings adds to the text; leave it out, or leave out --output")
    refuse_to_overwrite(to, [spec], plugin_files)
    from importlib.metadata import version

    from buildcheck.output import json_record
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused

    colour = screen_colour(color) if to is None else wants_colour(color, {}, terminal=False)
    width = screen_width() if to is None else None
    collected = collected_with(plugin_files)
    # What a plugin prints is not part of the sheet.
    with kept_clear(), plugin_failures_first(collected.failures):
        cycled = _cycled(spec, collected, only, steps, roll, lock)
    tell_failures(collected.failures)
    if isinstance(cycled, Refused):
        click.echo(refused(cycled), nl=False, err=True)
        if kind == "json":
            record = json_record.refusal(cycled, collected.failures, version("buildcheck"))
            write_out(record, to, colour=False)
        context.exit(PLUGIN_FAILED if collected.failures else WRONG_SPEC)
    if isinstance(cycled, tuple):
        status, sentences = cycled
        click.echo(sentences, nl=False, err=True)
        context.exit(PLUGIN_FAILED if collected.failures else status)
    text = _text(cycled, collected.rules, kind, width=width, colour=colour, meanings=meanings)
    write_out(text, to, colour=colour)
    if kind != "text" or to is not None:
        _say_breaks(cycled)
    failed = [absent for absent in cycled.cycle.absent if absent.failure]
    for absent in failed:
        click.echo(f"The quantity {absent.name} could not be computed: {shown(absent.reason)}", err=True)
    context.exit(PLUGIN_FAILED if failed or collected.failures else int(cycled.status))


def _chosen(only: Sequence[str], offered: Sequence[Quantity]) -> Collection[str] | None:
    """The names of the quantities that are asked for; None for all."""
    if not only:
        return None
    kinds = [[getattr(quantity, kind) for quantity in offered] for kind in ("group", "family", "name")]
    known = dict.fromkeys(name for kind in kinds for name in kind if name)
    asked = {known_name(name, known, "group or quantity") for name in only}
    return {quantity.name for quantity in offered if asked & {quantity.group, quantity.family, quantity.name}}


def _cycled(
    file: str, collected: Collected, only: Sequence[str], steps: int, roll: float, lock: float
) -> Cycled | Refused | tuple[int, str]:
    """The cycle; or the refusal of its spec; or an exit status, and the sentences on why there is none."""
    from buildcheck.build import Missing
    from buildcheck.job import Unreached
    from buildcheck.job.cycle import cycle
    from buildcheck.job.quantities import NOT_STEERED, quantities
    from buildcheck.output.cycle_text import not_cycled
    from buildcheck.output.cycle_words import absent
    from buildcheck.output.outcome import Cycled, Refused
    from buildcheck.output.sheet import lacks
    from buildcheck.plugins.used import plugins_used

    spec = read_spec(file, collected)
    if isinstance(spec, Refused):
        return spec
    offered = list(quantities(spec.build))
    chosen = _chosen(only, offered)
    try:
        with progress("cycling", len(offered)) as after_each:
            found = cycle(spec.build, steps=steps, roll=roll, lock=lock, after_each=after_each)
    except Missing as missing:
        return NOTHING_TO_CYCLE, not_cycled(spec, [lacks(spec, missing.path)])
    except Unreached as unreached:
        return CANNOT_FOLLOW, not_cycled(spec, [str(unreached)])
    asked = found if chosen is None else found.only(chosen)
    cycled = Cycled(spec.file, spec.document, spec.build, asked, plugins_used(collected))
    if cycled.cycle.columns:
        return cycled
    lacking = all(each.missing or each.reason == NOT_STEERED for each in cycled.cycle.absent)
    return NOTHING_TO_CYCLE if lacking else CANNOT_FOLLOW, not_cycled(spec, absent(cycled))


def _text(cycled: Cycled, rules: Sequence[Rule], kind: str, *, width: int | None, colour: bool, meanings: bool) -> str:
    if kind == "csv":
        from buildcheck.output.cycle_csv import table

        return table(cycled)
    if kind == "svg":
        from buildcheck.output.curve_limits import bounds_in_use
        from buildcheck.output.cycle_svg import picture

        return picture(cycled, bounds_in_use(cycled.build, rules))
    if kind == "json":
        from importlib.metadata import version

        from buildcheck.output import cycle_json

        return cycle_json.sheet(cycled, version("buildcheck"))
    from buildcheck.output import cycle_text

    return cycle_text.sheet(cycled, width=width, colour=colour, meanings=meanings)


def _say_breaks(cycled: Cycled) -> None:
    """Say on standard error what cannot go the whole way, where the text is not on the screen."""
    from buildcheck.output.cycle_words import breaks

    for sentence in breaks(cycled):
        click.echo(sentence, err=True)
