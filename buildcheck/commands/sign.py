"""`buildcheck sign`: sign off a stage of the job, with a record beside the spec."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from buildcheck.commands.choice import STAGES
from buildcheck.commands.inspect import outcome_of
from buildcheck.commands.output import (
    CannotWrite,
    color_option,
    reason,
    screen_colour,
    screen_width,
    shown,
    write_new_file,
    write_to_screen,
)
from buildcheck.commands.plugged import collected_with, plugin_option
from buildcheck.commands.signatures import standing_of
from buildcheck.commands.specs import STANDARD_INPUT
from buildcheck.commands.standards import found_for, standard_option

if TYPE_CHECKING:
    from collections.abc import Sequence

    from buildcheck.build import Stage
    from buildcheck.checks.rule import Rule
    from buildcheck.output.outcome import Inspected, StandardUsed
    from buildcheck.plugins.loading import Collected
    from buildcheck.shop.key import Key
    from buildcheck.shop.sign_off import Earlier, Provenance
    from buildcheck.shop.standing import Standing

NOT_SIGNED = 5
WRONG_SPEC = 2


@click.command("sign", short_help="Sign off a stage, with a record beside the spec.")
@click.argument("spec", metavar="SPEC")
@click.option(
    "--stage",
    metavar="STAGE",
    type=click.Choice(list(STAGES)),
    required=True,
    help=f"The stage to sign off: {', '.join(STAGES)}.",
)
@click.option("--by", "signed_by", metavar="NAME", required=True, help="Who signs, having looked at the truck.")
@click.option("--checked-by", metavar="NAME", default="", help="A second person, who has looked at it too.")
@click.option("--note", metavar="TEXT", default="", help="Anything that belongs to the record.")
@click.option(
    "--key",
    "key_file",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Also sign the record with this Ed25519 private key (PEM).",
)
@plugin_option
@standard_option
@color_option
@click.pass_context
def sign_stage(
    context: click.Context,
    spec: str,
    stage: str,
    signed_by: str,
    checked_by: str,
    note: str,
    key_file: Path | None,
    color: str,
    plugin_files: tuple[Path, ...],
    standard_file: Path | None,
) -> None:
    """Inspect a spec as at a stage of the job, and sign the stage off where nothing blocks it.

    The record is written beside the spec, as front.final-weld.signed.json beside front.buildcheck.yaml; it is never
    overwritten. It holds the values of the spec, every reading, the waivers, the versions, who signed and when. It
    covers geometry and stated data only, and is no approval to drive.

    A stage is blocked by any error, by any check that was not made, by a warning that is neither fixed nor waived, by
    a value too close to its error limit to tell, by an invalid waiver, by what the spec lacks on record, by an earlier
    stage that is not signed or whose signature does not hold any more, and by what the shop's standard demands.

    \b
    Example:
      buildcheck sign front.buildcheck.yaml --stage proposal --by "A. Fabricator"

    \b
    Exit status, the first that holds:
      3  a rule or a plugin failed
      2  the spec or a standard cannot be read or is not valid; or wrong usage
      5  the stage cannot be signed off
      0  it was signed, and the record was written
    """
    from buildcheck.build import Stage as Stages
    from buildcheck.commands.again import Again
    from buildcheck.output import signed_text
    from buildcheck.output.outcome import Inspected, Status
    from buildcheck.shop.sign_off import Signers, blocking, signed
    from buildcheck.shop.signed_record import next_number, record_file, records_beside, text_of

    file = _spec_file(spec)
    key = _key(key_file)
    standards = found_for([spec], standard_file)
    collected = collected_with(plugin_files, standards.values())
    at = Stages(stage)
    sure = at.number >= Stages.TACKED.number
    again = Again()
    outcome = outcome_of([spec], stage, (), (), collected, standards, how_sure=sure, signing=True, again=again)
    (inspected,) = outcome.specs
    width, colour = screen_width(), screen_colour(color)
    if not isinstance(inspected, Inspected):
        from buildcheck.output.text import record

        click.echo(record(outcome, width=None, colour=False, everything=False), nl=False, err=True)
        context.exit(WRONG_SPEC)
    signers = Signers(signed_by, checked_by)
    earlier, standing_now = _earlier(inspected, file, at, again.rules(collected.rules))
    if standing_now is not None and standing_now.holds:
        raise click.UsageError(
            f"The stage {stage} is signed already: {shown(records_beside(file, at)[-1])}; that signature holds"
        )
    second = None if inspected.used is None else inspected.used.standard.second_signer
    failed = [f"the plugin {each.plugin} failed: {each.sentence}" for each in outcome.plugin_failures]
    blocks = (*failed, *blocking(inspected.hold_point, inspected.inspection, earlier, signers, second))
    if blocks:
        write_to_screen(signed_text.not_signed(inspected, blocks, width=width, colour=colour), colour=colour)
        context.exit(int(outcome.status) if outcome.status is Status.RULE_OR_PLUGIN_FAILED else NOT_SIGNED)
    sign_off = signed(
        inspected.build,
        inspected.inspection,
        inspected.hold_point,
        signers,
        note=note,
        at=datetime.now(UTC),
        spec_file=file.name,
        provenance=provenance_of(inspected.used, collected),
    )
    target = record_file(file, at, next_number(file, at))
    try:
        write_new_file(text_of(sign_off, key), target)
    except FileExistsError as error:
        raise CannotWrite(f"{shown(target)} exists already, and is never overwritten") from error
    except OSError as error:
        raise CannotWrite(f"{shown(target)} cannot be written: {reason(error)}") from error
    write_to_screen(signed_text.now_signed(inspected, sign_off, str(target), width=width, colour=colour), colour=colour)


def _spec_file(spec: str) -> Path:
    """The file of the spec. Ends the command for anything else."""
    if spec == STANDARD_INPUT or not Path(spec).is_file():
        raise click.UsageError(f"{shown(spec)} is not a file; a signature is for one spec, and is kept beside it")
    return Path(spec)


def _key(file: Path | None) -> Key:
    from buildcheck.shop.key import NO_KEY, NotAKey, read_key

    if file is None:
        return NO_KEY
    try:
        return read_key(file.read_bytes())
    except OSError as error:
        raise click.UsageError(f"The key {shown(file)} cannot be read: {reason(error)}") from error
    except NotAKey as wrong:
        raise click.UsageError(f"The key {shown(file)} cannot be used: {wrong}") from wrong


def _earlier(
    inspected: Inspected, file: Path, stage: Stage, rules: Sequence[Rule]
) -> tuple[list[Earlier], Standing | None]:
    """The records of the stages before this one, and whether each still holds; and the standing of this stage's own
    newest record, None without one."""
    from buildcheck.build import Stage as Stages
    from buildcheck.output.signed_text import reasons
    from buildcheck.shop.sign_off import Earlier
    from buildcheck.shop.signed_record import NotARecord, records_beside

    found, own = [], None
    for each in Stages:
        files = records_beside(file, each) if each.number <= stage.number else []
        if not files:
            continue
        try:
            held = standing_of(files[-1], inspected, rules)
        except (NotARecord, OSError, UnicodeDecodeError) as wrong:
            why = reason(wrong) if isinstance(wrong, OSError) else str(wrong)
            found.append(Earlier(each, holds=False, reason=f"{files[-1].name} cannot be read: {why}"))
            continue
        if each is stage:
            own = held
        else:
            found.append(Earlier(each, held.holds, "; ".join(reasons(inspected, held)[:1])))
    return found, own


def provenance_of(used: StandardUsed | None, collected: Collected) -> Provenance:
    """Versions and digests of everything that the readings were made with."""
    from importlib.metadata import version

    from buildcheck.plugins.used import plugins_used
    from buildcheck.shop.sign_off import Provenance, UsedFile
    from buildcheck.shop.signed_record import pages

    standard = None if used is None else UsedFile(used.standard.shop, used.standard.edition, used.sha256)
    plugins = (UsedFile(Path(each.name).name, each.version, each.sha256) for each in plugins_used(collected))
    rules = {rule.name: rule.page for rule in collected.rules}
    return Provenance(version("buildcheck"), standard, tuple(plugins), pages(rules))
