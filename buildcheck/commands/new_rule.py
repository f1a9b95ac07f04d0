"""A rule and its test, to start from: both run as they are written."""

from __future__ import annotations

import importlib.util
import keyword
import os
import re
import sys
from collections.abc import Collection
from pathlib import Path

import click

from buildcheck.commands.output import CannotWrite, reason, shown, write_new_file

MOST_CHARACTERS = 60
"""The longest name of a rule, so that a line of the record holds it."""

RULE = '''"""Coilovers are near the middle of their stroke at ride height.

Checked: the share of each coilover's stroke that is left for droop.

Risk: a coilover that is at one end of its stroke tops out or bottoms before the truck has used its travel.

Worked out: the distance of its eyes at ride height, against its extended and compressed lengths.

Remedy: move a mount, or choose another stroke.
"""

from buildcheck.api import (
    Area,
    Coilover,
    Job,
    Move,
    Rule,
    Sample,
    Spot,
    Verdict,
    Words,
    between,
    common_practice,
    hook,
)

BUILDCHECK_INTERFACE = 2

rule = Rule(
    "{name}",
    area=Area.SPRINGS,
    page=__doc__,
    samples=(
        Sample("the upper mounts an inch higher", {{"coilovers.coilover.both.frame": [-1.5, 18.5, 46.1]}}),
        Sample(
            "the upper mounts five inches higher",
            {{"coilovers.coilover.both.frame": [-1.5, 18.5, 50.1]}},
            {{"left-for-droop": Verdict.WARNING}},
        ),
        Sample(
            "the upper mounts seven inches higher",
            {{"coilovers.coilover.both.frame": [-1.5, 18.5, 52.1]}},
            {{"left-for-droop": Verdict.ERROR}},
            # 1 in, 2.5 in and 34.6 in apart: 34.705 in by Pythagoras; 35.5 in extended, 21.5 in compressed.
            values={{"left-for-droop": "5.68 %"}},
        ),
        Sample(
            "the upper mounts four inches lower",
            {{"coilovers.coilover.both.frame": [-1.5, 18.5, 41.1]}},
            {{"left-for-droop": Verdict.WARNING}},
        ),
        Sample(
            "the upper mounts six inches lower",
            {{"coilovers.coilover.both.frame": [-1.5, 18.5, 39.1]}},
            {{"left-for-droop": Verdict.ERROR}},
        ),
    ),
)


@rule.check(
    Coilover,
    between(warning=("35 %", "65 %"), error=("15 %", "85 %")),
    basis=common_practice("about as much stroke goes to droop as to bump"),
    change=(Move("frame", axis="z"), Words("move a mount, or choose another stroke")),
    effect="it tops out or bottoms before the travel is used",
)
def left_for_droop(job: Job, coilover: Coilover) -> Spot:
    """Share of the coilover's stroke that is left for droop at ride height."""
    left = coilover.extended_length - job.length(coilover, job.lines.travel).ride
    return left / (coilover.extended_length - coilover.compressed_length)


@hook
def buildcheck_rules() -> list[Rule]:
    """The rules of this file."""
    return [rule]
'''

TEST = '''"""The rule {name} on known builds."""

from pathlib import Path

from buildcheck.api import Build, Verdict, between
from buildcheck.testing import assert_finds_exactly, assert_never_fails, check_rule, rules_in
from buildcheck.testing.strategies import builds
from hypothesis import given, settings

(RULE,) = rules_in(Path(__file__).with_name("{module}.py")).rules
MOUNT = "coilovers.coilover.both.frame"


def test_the_rule_is_right() -> None:
    """Bounds, values worked out by hand, changes, mirror image, other units: see `check_rule`."""
    check_rule(RULE, bounds={{"left-for-droop": between(warning=("35 %", "65 %"), error=("15 %", "85 %"))}})


def test_a_mount_that_is_far_too_high_is_found_at_the_mount() -> None:
    assert_finds_exactly(RULE, {{MOUNT: [-1.5, 18.5, 54.1]}}, {{"left-for-droop": Verdict.ERROR}}, place=MOUNT)


@settings(max_examples=20, deadline=None)
@given(builds())
def test_whatever_the_build_it_does_not_fail(build: Build) -> None:
    assert_never_fails(RULE, build)
'''


def write_new_rule(name: str, folder: Path, taken: Collection[str]) -> str:
    """Write a rule of that name, and its test, into a folder; return the next steps in words.

    Raises click.UsageError for a name that no rule can have or that is in `taken`, and for a file that exists already;
    CannotWrite where the machine refuses. Then neither file is left.
    """
    module = name.replace("-", "_")
    if not re.fullmatch("[a-z][a-z0-9]*(-[a-z0-9]+)*", name):
        raise click.UsageError(
            f'"{shown(name)}" cannot be the name of a rule; write small letters and hyphens, like hose-clamps'
        )
    if len(name) > MOST_CHARACTERS:
        raise click.UsageError(f"The name of a rule has at most {MOST_CHARACTERS} characters, and this has {len(name)}")
    if name in taken:
        raise click.UsageError(f"There is a rule {name} already; choose another name")
    if not folder.is_dir():
        raise click.UsageError(f"{shown(folder)} is not a folder; make it first")
    texts = {
        folder / f"{module}.py": RULE.format(name=name),
        folder / f"test_{module}.py": TEST.format(name=name, module=module),
    }
    for file in texts:
        if os.path.lexists(file):
            raise click.UsageError(f"{shown(file)} exists already; nothing was written")
    if keyword.iskeyword(module) or module in sys.stdlib_module_names or importlib.util.find_spec(module) is not None:
        raise click.UsageError(f"{module} means something in Python; choose a name of two words, such as {name}-check")
    written: list[Path] = []
    try:
        for file, text in texts.items():
            write_new_file(text, file)
            written.append(file)
    except OSError as error:
        for file in written:
            file.unlink(missing_ok=True)
        raise CannotWrite(f"{shown(folder)} cannot be written to: {reason(error)}") from error
    rule, test = (shown(file) for file in texts)
    return (
        f"Written: {rule} and {test}\n"
        f"Test it:  pytest {test}    (pip install 'buildcheck[testing]' brings pytest and hypothesis)\n"
        f"Use it:   buildcheck inspect SPEC --plugin {rule}\n"
    )
