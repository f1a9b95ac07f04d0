"""`buildcheck measure`: ask for what a stage still needs, and write each answer into the spec."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.choice import STAGES, stage_option
from buildcheck.commands.output import shown, write_to_file
from buildcheck.commands.plugged import collected_with, kept_clear, plugin_option, tell_failures
from buildcheck.commands.specs import STANDARD_INPUT, read_spec

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from buildcheck.build import Build, Stage
    from buildcheck.commands.again import Again
    from buildcheck.library.spec import Spec
    from buildcheck.plugins.loading import Collected
    from buildcheck.shop.measuring import Answer, Taken
    from buildcheck.shop.needs import Need

WRONG_SPEC = 2
TOOLS = ("tape", "rule", "plumb-bob", "calipers", "square")
WORDS = "Type a value, or: again (the last one), skip, back, why, quit"


@click.command("measure", short_help="Ask for what a stage still needs, one at a time.")
@click.argument("spec", metavar="SPEC")
@stage_option
@click.option("--by", metavar="NAME", default="", help="Who measures. Asked for where it is left out.")
@click.option(
    "--tool",
    metavar="TOOL",
    type=click.Choice(TOOLS),
    default="tape",
    show_default=True,
    help=f"Tool that lengths are measured with: {', '.join(TOOLS)}.",
)
@plugin_option
@click.pass_context
def measure_spec(
    context: click.Context, spec: str, stage: str | None, by: str, tool: str, plugin_files: tuple[Path, ...]
) -> None:
    """Ask, one at a time, for what a stage of the job still needs: what its checks lack, and what is measured on the
    truck. Each answer is written into the spec at once, and every other byte of it stays, so you may stop at any time
    and go on later.

    Amounts may be fractions (34 1/2 in); a bare number has the units of the spec. A point is three numbers with commas
    between them: x forward, y left, z up. A list or a group is typed as a spec writes it on one line.

    \b
    Example:
      buildcheck measure front.buildcheck.yaml --stage tacked --by "A. Fabricator"

    \b
    Exit status:
      0  you were asked for everything, or you stopped
      2  the spec cannot be read or is not valid; or wrong usage
    """
    from buildcheck.build import Stage as Stages
    from buildcheck.output.cycle_text import refused
    from buildcheck.output.outcome import Refused
    from buildcheck.shop.measuring import Taken

    if spec == STANDARD_INPUT or not Path(spec).is_file():
        raise click.UsageError(f"{shown(spec)} is not a file; the answers are written into the spec")
    collected = collected_with(plugin_files)
    read = read_spec(spec, collected)
    tell_failures(collected.failures)
    if isinstance(read, Refused):
        click.echo(refused(read, "MEASURE: SPEC NOT READ"), nl=False, err=True)
        context.exit(WRONG_SPEC)
    at = _stage(read.build, stage)
    who = by or _line("Who measures? ")
    if who is None or not any(map(str.isalpha, who)):
        raise click.UsageError("a measurement has a name: --by NAME")
    _ask(read, Path(spec), collected, Taken(Stages(at), who.strip(), date.today().isoformat(), tool))


def _stage(build: Build, asked: str | None) -> str:
    if asked is not None:
        return asked
    stated = build.build.stage if build.has("build") and build.build.has("stage") else next(iter(STAGES))
    return str(stated)


def _ask(spec: Spec, file: Path, collected: Collected, taken: Taken) -> None:
    """Ask for each need in turn until none is left, or the person stops."""
    from buildcheck.commands.again import Again

    skipped: set[str] = set()
    before: list[Spec] = []
    titles = {rule.name: rule.title for rule in collected.rules}
    again = Again()
    click.echo(WORDS)
    left: list[Need] = []
    while True:
        left = left or [need for need in _needs(spec, again, collected, taken.stage) if _key(need) not in skipped]
        if not left:
            click.echo(f"Nothing more is asked for at the stage {taken.stage.value}.")
            return
        need = left[0]
        _show(spec, need, len(left))
        command, answer = _answer(spec, need, titles)
        if command == "quit":
            click.echo(f"Stopped; {len(left)} left. Everything you answered is in {shown(file)}.")
            return
        if command == "skip":
            skipped.add(_key(need))
            left = left[1:]
        elif command:
            left = []
            if before:
                spec = _save(before.pop().text, file, spec)
            else:
                click.echo("  There is no answer before this one.")
                skipped.clear()
        elif answer is not None:
            changed = _written(spec, file, need, answer, taken)
            if changed is not None:
                before.append(spec)
                spec = changed
                left = left[1:] if need.measured or answer.value is not None else []  # a word may change what applies


def _key(need: Need) -> str:
    return f"{need.measured} {need.path}"


def _needs(spec: Spec, again: Again, collected: Collected, stage: Stage) -> tuple[Need, ...]:
    from buildcheck.checks.inspection import inspect
    from buildcheck.shop.needs import needs

    job, rules = again.job(spec.build), collected.rules
    with kept_clear():  # what a plugin prints is no question
        found = inspect(job.build, rules, stage=stage, today=date.today(), changes=False, all_missing=True, job=job)
        return needs(job, found, rules)


def _show(spec: Spec, need: Need, left: int) -> None:
    """The question: what, where, and the planned value."""
    from buildcheck.build import Point
    from buildcheck.output.where_picture import picture
    from buildcheck.output.words import amount
    from buildcheck.shop.needs import BY_HAND
    from buildcheck.spec.quantity import Dimension

    units = spec.build.units
    click.echo(f"\n{left} left. {'Measure' if need.measured else 'State'} {shown(need.path)}")
    if need.words:
        click.echo(f"  {shown(need.words)}")
    if need.choices:
        other = "" if need.kind == "word" else ", or a word that a plugin adds"
        click.echo(f"  One of: {', '.join(need.choices)}{other}")
    elif need.kind == "yes-no":
        click.echo("  Answer yes or no.")
    if isinstance(need.planned, Point):
        click.echo("  Planned: " + ", ".join(amount(axis, Dimension.LENGTH, units) for axis in need.planned))
        for line in picture(spec.build, need.planned):
            click.echo(f"    {line}")
    elif isinstance(need.planned, float) and need.dimension is not None:
        name = "Computed" if need.path.startswith(BY_HAND) else "Planned"
        click.echo(f"  {name}: {amount(need.planned, need.dimension, units)}")
    elif need.kind in ("list", "group"):
        for line in _how_to_list(spec, need):
            click.echo(f"  {line}")
    elif need.example is not None and not need.choices:
        click.echo(f"  For example: {shown(need.example)}")


def _how_to_list(spec: Spec, need: Need) -> Iterator[str]:
    """How a list or a group is typed; and of gaps the smallest that are computed."""
    from buildcheck.job import Job
    from buildcheck.output.words import amount, pose
    from buildcheck.shop.sheets import SEEN_GAPS, smallest_gaps
    from buildcheck.spec.quantity import Dimension
    from buildcheck.spec.yaml_value import flow

    units = spec.build.units
    for gap in smallest_gaps(Job(spec.build)) if need.path == SEEN_GAPS else ():
        where = "" if gap.smallest.pose is None else f" {pose(gap.smallest.pose, units)}"
        size = amount(gap.smallest.value, Dimension.LENGTH, units)
        yield shown(f"Computed: {gap.first.label} to {gap.second.label} {size}{where}")
    if need.example is not None:
        yield f"For example: {shown(flow(need.example))}"
    yield "Type none where there is none."


def _answer(spec: Spec, need: Need, titles: Mapping[str, str]) -> tuple[str, Answer | None]:
    """A command, or an answer that was accepted. `titles` are those of the rules, by name."""
    from buildcheck.shop.measuring import NotAnAnswer, difference, is_far, is_of_something_else, read_answer

    while True:
        typed = _line("> ")
        if typed is None or typed.strip() == "quit":
            return "quit", None
        word = typed.strip().casefold()
        if word in ("skip", "back", "again"):
            return word, None
        if word == "why":
            for line in _why(need, titles):
                click.echo(f"  {line}")
            continue
        try:
            answer = read_answer(need, typed, spec.build.units)
        except NotAnAnswer as wrong:
            click.echo(f"  {shown(wrong)}")
            continue
        off = difference(need, answer, spec.build.units)
        if off:
            click.echo(f"  {off}")
        if is_of_something_else(need, answer):
            click.echo("  That is too far from the plan to be of the same thing; measure again.")
            continue
        if is_far(need, answer) and not _kept(need):
            continue
        return "", answer


def _why(need: Need, titles: Mapping[str, str]) -> Iterator[str]:
    """The reason for a question: each rule that asks, with its title; of what is measured, those that read it."""
    from textwrap import wrap

    if need.measured:
        yield "What is computed is for the truck in the spec; this says whether the truck is that one."
        if need.rules:
            yield f"{len(need.rules)} rules need it; buildcheck rules NAME says what each checks:"
            yield from wrap(", ".join(need.rules), 76, break_on_hyphens=False)
        return
    yield "It is needed to check that"
    for rule in need.rules:
        yield f"- {shown(titles[rule])} (buildcheck rules {rule})"


def _kept(need: Need) -> bool:
    from buildcheck.shop.needs import BY_HAND

    of = "what is computed" if need.path.startswith(BY_HAND) else "the plan"
    typed = _line(f"  That is far from {of}. Keep it? (yes, or measure again) ")
    return typed is not None and typed.strip().casefold() in ("yes", "y")


def _written(spec: Spec, file: Path, need: Need, answer: Answer, taken: Taken) -> Spec | None:
    """The spec with an answer, written to its file; None where its field does not allow the answer."""
    from buildcheck.library.spec import SpecProblems
    from buildcheck.shop.measuring import changes

    try:
        changed = spec.changed(changes(spec.document.data, need, answer, taken))
        text = changed.text
    except SpecProblems as wrong:
        for problem in wrong.problems:
            click.echo(f"  {shown(problem.sentence)}")
        return None
    except ValueError as wrong:
        click.echo(f"  {shown(wrong)}")
        return None
    return _save(text, file, spec)


def _save(text: str, file: Path, instead_of: Spec) -> Spec:
    """Write the spec, and read it again, so that the next answer is put into this text and not into the first one.
    Ends the command where somebody has changed the file meanwhile, so that nothing of theirs is lost."""
    from buildcheck.library.spec import read

    if file.read_bytes().decode("utf-8", "replace").removeprefix("\ufeff") != instead_of.document.text.removeprefix(
        "\ufeff"
    ):
        raise click.UsageError(f"{shown(file)} was changed by somebody else meanwhile; start again, nothing is lost")
    write_to_file(text, file)
    return read(file, plugins=instead_of.plugins)


def _line(prompt: str) -> str | None:
    """One line from the person; None at the end of the input."""
    click.echo(prompt, nl=False)
    try:
        return input()
    except EOFError:
        click.echo()
        return None
