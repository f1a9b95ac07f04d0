"""A record dated in the future is an error in every inspection, as soon as it is written."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

from called import called

from buildcheck.build import Build
from buildcheck.checks.inspection import inspect
from buildcheck.checks.limit import Verdict
from buildcheck.checks.record_dates import RECORD_DATES
from buildcheck.testing import changed, sound_spec
from buildcheck.testing.specs import build_of

TODAY = date(2026, 4, 2)
MEASURED = {"of": "lateral_bar.frame.z", "value": "22 3/4 in", "stage": "tacked", "measured_by": "J. Doe"}


def dated(measured_on: str, taken_on: str = "2026-03-01", revised: str = "2026-03-14") -> Build:
    return build_of(
        changed(
            sound_spec(),
            {
                "build.date": revised,
                "records.baseline.taken_on": taken_on,
                "records.measured": [{**MEASURED, "measured_on": measured_on}],
            },
        )
    )


def found(build: Build, today: date | None = TODAY) -> list[tuple[str, Verdict, str]]:
    made = inspect(build, (), today=today, changes=False).readings
    return [(each.place, each.verdict, each.found) for each in made if each.rule == RECORD_DATES.name]


def test_today_is_not_in_the_future_and_tomorrow_is() -> None:
    assert found(dated("2026-04-02")) == []
    said = "it is dated 2026-04-03, and today is 2026-04-02"
    assert found(dated("2026-04-03")) == [("records.measured[0].measured_on", Verdict.ERROR, said)]


def test_the_baseline_and_the_revision_are_judged_too() -> None:
    build = dated("2026-03-20", taken_on="2027-03-01", revised="2026-12-01")
    assert [place for place, *_ in found(build)] == ["build.date", "records.baseline.taken_on"]


def test_without_the_present_day_nothing_is_said() -> None:
    assert found(dated("2030-01-01"), today=None) == []


def test_the_command_names_the_line_and_has_a_page(tmp_path: Path) -> None:
    spec = changed(sound_spec(), {"records.measured": [{**MEASURED, "measured_on": "2999-04-03"}]})
    file = tmp_path / "a.buildcheck.yaml"
    file.write_text(json.dumps(spec, indent=1), encoding="utf-8")
    line = next(n for n, text in enumerate(file.read_text(encoding="utf-8").splitlines(), 1) if "2999" in text)
    ended = called("inspect", file)
    assert ended.returncode == 1
    assert "it is dated 2999-04-03, and today is " in ended.stdout
    assert f":{line}:" in ended.stdout
    assert "NOTHING ON RECORD IS DATED IN THE FUTURE" in called("rules", "record-dates").stdout
