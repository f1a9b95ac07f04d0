"""The example truck from `begin` to the follow-up after the first drives, with the real commands at a real terminal.

The short tier ends with the cycled axle; by then the job has been killed three times.
"""

from __future__ import annotations

import json
import math
import os
import re
import signal
import sys
import time
from contextlib import nullcontext
from pathlib import Path

import pexpect
import signed_specs
from called import called
from known_exactly import known_exactly

from buildcheck.build import Build, Point, Stage
from buildcheck.build.measured import planned
from buildcheck.build.stage_records import NearWelds
from buildcheck.library import spec as specs
from buildcheck.shop.signed_record import read_record

WHO = "A. Fabricator"
QUESTION = r"(\d+) left\. (State|Measure) (\S+)\r?\n(?s:.*?)\n> $"
END = "Nothing more is asked"
AS_SEEN = {
    **signed_specs.BASELINE,
    **dict(re.findall(r"(\w+): ([\d.]+)", signed_specs.SIDE)),
    "ended_up_by": "bump-stop",
    "ended_down_by": "limit-strap",
    "ended_left_up_by": "bump-stop",
    "ended_right_up_by": "nothing",
    "touched_at_left_lock": "nothing",
    "touched_at_right_lock": "nothing",
    "rotation_set_from": "differential-side",
    **dict.fromkeys(NearWelds.SAID, "shielded"),
    "tube_bow": "0.3",
    "toe_in": "0.1",
    "thrust": "0.05",
    "camber": "0.2",
    "gaps": "none",
    "renewed": "{axle_shaft_seals: {renewed: true}, cotter_pins: {renewed: true}}",
    "torque_checks": "[{planned_after: 80 km, done_after: 75 km, all_tight: true}]",
}
"""The answers at a truck that is as planned; yes to everything else."""


def terminal(*arguments: object) -> pexpect.spawn[str]:
    return pexpect.spawn(
        sys.executable,
        ["-m", "buildcheck", *map(str, arguments)],
        encoding="utf-8",
        timeout=120,
        env={**os.environ, "NO_COLOR": "1"},
    )


def answer(how: str, path: str, build: Build) -> str:
    """The answer of somebody at the truck to one question."""
    name = path.rpartition(".")[2]
    if how == "State":
        return hand_cycled(path) if path.startswith("records.cycled.sides") else AS_SEEN.get(name, "yes")
    value = planned(build, path)
    if isinstance(value, Point):
        return ", ".join(f"{1000 * axis:.3f}" for axis in value)
    if name in ("articulation", "lock_angle"):
        return f"{math.degrees(value):.4f} deg"
    return f"{1000 * value:.3f}"


def hand_cycled(path: str) -> str:
    """A reading as the axle is cycled by hand, which is as computed."""
    side, name = path.split(".")[-2:]
    of_side = signed_specs.done()[1].partition(f"{side}: {{")[2].partition("}")[0]
    return dict(re.findall(r"(\w+): (-?\d+)", of_side))[name]


def measured(file: Path, stage: Stage, *, killed_after: int | None = None) -> int:
    """Answer what is asked at a stage, and return how many questions; killed in the middle of an answer after some."""
    session = terminal("measure", file, "--stage", stage.value, "--by", WHO)
    build = specs.read(file).build
    answered = 0
    while session.expect([QUESTION, END]) == 0:
        _, how, path = session.match.groups()
        reply = answer(how, path, build)
        if answered == killed_after:
            before = file.read_bytes()
            session.send(reply[:-1])
            session.kill(signal.SIGKILL)
            session.wait()
            assert file.read_bytes() == before, "an answer that was not finished leaves the spec as it was"
            specs.read(file)
            break
        session.sendline(reply)
        answered += 1
    session.close(force=True)
    return answered


def killed_while_signing(file: Path, stage: Stage, seconds: float) -> None:
    """Kill the command a moment after it starts: there is a whole record then, or none."""
    session = terminal("sign", file, "--stage", stage.value, "--by", WHO)
    time.sleep(seconds)
    session.kill(signal.SIGKILL)
    session.wait()
    for written in file.parent.glob(f"*{stage.value}*"):
        assert read_record(written.read_text(encoding="utf-8")).intact


def test_the_example_truck_from_begin_to_follow_up_although_it_is_killed_three_times(
    tmp_path: Path, long_tier: bool
) -> None:
    stages = list(Stage)[: None if long_tier else Stage.CYCLED.number + 1]
    measured_at = list(Stage) if long_tier else []
    file, copied = tmp_path / "front.buildcheck.yaml", tmp_path / "last.buildcheck.yaml"
    copied.write_bytes(signed_specs.METRIC.read_bytes())
    begun = terminal("begin", file, "--from", copied)
    begun.expect("Next:")
    begun.expect(pexpect.EOF)
    # The shop's own hand: stands, tools, and what was done to each bracket.
    tools = "records:\n" + "".join(f"  {line}\n" for line in signed_specs.FINE)
    file.write_text(signed_specs.built(file.read_text(encoding="utf-8")) + tools, encoding="utf-8")
    asked = {}
    for stage in stages:
        killed = {Stage.TEARDOWN: 3, Stage.TACKED: 2}.get(stage)
        first = measured(file, stage, killed_after=killed)
        assert killed is None or first == killed
        asked[stage] = first + (measured(file, stage) if killed is not None else 0)
        if stage is Stage.CYCLED:
            killed_while_signing(file, stage, 0.4)
        with nullcontext() if stage in measured_at else known_exactly():
            signing = called("sign", file, "--stage", stage.value, "--by", WHO)
        assert signing.returncode == 0, signing.stdout
        assert specs.read(file).build.build.stage == stage.value
    assert asked[Stage.PROPOSAL] == 0
    assert all(number >= 4 for stage, number in asked.items() if stage is not Stage.PROPOSAL), asked
    # Everything that was signed still holds, and the follow-up sheet has every bolt with the distance of its check.
    for stage in stages:  # the signature of a stage holds only while the earlier ones do
        (record,) = tmp_path.glob(f"*.{stage.value}.signed.json")
        assert json.loads(record.read_text(encoding="utf-8"))["signed_by"] == WHO
    assert called("signed", tmp_path / f"front.{stages[-1].value}.signed.json").returncode == 0
    assert called("compare", tmp_path / "front.teardown.signed.json").returncode == 0
    assert called("sheet", file, "--kind", "follow-up", "--to", tmp_path / "follow-up.html").returncode == 0
    distance = "after 80" if stages[-1] is Stage.DRIVEN else "after ________"
    assert distance in (tmp_path / "follow-up.html").read_text(encoding="utf-8")
