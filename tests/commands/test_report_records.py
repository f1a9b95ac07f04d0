"""Signed stages, and an earlier state of the build, in the report."""

from __future__ import annotations

import re
from pathlib import Path

import signed_specs
from called import called

import buildcheck


def words_of(page: Path, section: str) -> str:
    text = page.read_text(encoding="utf-8")
    (found,) = re.findall(rf'<section id="{section}".*?</section>', text, re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", found).split())


def test_a_signed_stage_shows_its_record_and_what_has_overturned_it(tmp_path: Path, exact: None) -> None:
    file, page = tmp_path / "front.buildcheck.yaml", tmp_path / "page.html"
    file.write_text(signed_specs.spec([]), encoding="utf-8")
    assert called("sign", file, "--stage", "proposal", "--by", "A. Fabricator").returncode == 0
    record = tmp_path / "front.proposal.signed.json"
    called("report", file, "--to", page, "--since", record)
    said = words_of(page, "sign")
    assert re.search(
        r"proposal the plan, .*? signed .*?A\. Fabricator \d{4}-\d\d-\d\d .*? record front\.proposal", said
    )
    assert "does not hold" not in said
    assert "Nothing differs" in words_of(page, "since")
    # A link so short that it binds: the record does not hold any more, and the fold says what has changed.
    changed = buildcheck.read(file).changed({"lateral_bar.frame": [110, 410, 700]})
    file.write_text(changed.text, encoding="utf-8")
    called("report", file, "--to", page, "--since", record)
    said = words_of(page, "sign")
    assert "signed, and does not hold any more" in said
    assert "overturned: error today: " in said
    since = words_of(page, "since")
    assert "lateral_bar.frame.z 545.0 mm, then 700.0 mm; +155 mm" in since
    assert "Got worse" in since
    record.write_text("{", encoding="utf-8")
    called("report", file, "--to", page)
    assert "front.proposal.signed.json cannot be read: it is not JSON" in words_of(page, "sign")
    assert 'id="since"' not in page.read_text(encoding="utf-8")


def test_an_earlier_spec_that_cannot_be_read_is_said_and_nothing_written(tmp_path: Path) -> None:
    file, page = tmp_path / "front.buildcheck.yaml", tmp_path / "page.html"
    file.write_text("format: 1\nunits: metric\n", encoding="utf-8")
    ended = called("report", file, "--to", page, "--since", tmp_path / "absent.buildcheck.yaml")
    assert (ended.returncode, page.exists()) == (2, False)
    assert "there is no such file" in ended.stderr
