"""The report as one self-contained page: template, style and script from this folder, data from the inspection."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from itertools import accumulate
from typing import Any
from unicodedata import east_asian_width

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from buildcheck.build import Build, Stage
from buildcheck.build.measured import as_measured
from buildcheck.checks.rule import Area
from buildcheck.checks.work_order import WorkOrder
from buildcheck.job import Job
from buildcheck.output import words
from buildcheck.output.amounts import held_in_html
from buildcheck.output.items import Item, items
from buildcheck.output.ladder import travel
from buildcheck.output.limits import looser
from buildcheck.output.outcome import Inspected
from buildcheck.output.report import record
from buildcheck.output.report.build_sheet import build_sheet
from buildcheck.output.report.counting import kinds, summed
from buildcheck.output.report.curves import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, panels
from buildcheck.output.report.dimensions import Red
from buildcheck.output.report.figures import Picture, pictures
from buildcheck.output.report.marks import ROUND, anchors, thumb
from buildcheck.output.report.marks import rows as rows_of
from buildcheck.output.report.motion import Motion, in_shop_units, motion
from buildcheck.output.report.motion import record as motion_record
from buildcheck.output.report.numbers import notes, tables
from buildcheck.output.report.parts_list import item_list
from buildcheck.output.report.sign_off import WHEN, Signed, loosened, rows, too_near, whose_stage
from buildcheck.output.report.since import Since, differences
from buildcheck.output.report.views import Sheet, View, sheet
from buildcheck.output.report.within_limits import not_applying, passed
from buildcheck.output.report.work import proven_work, work
from buildcheck.output.words import printable
from buildcheck.spec.quantity import Dimension, System

NARROW, READABLE = 352.0, 12.0
"""Width of a view and height of its letters on a telephone of 390 pixels, in pixels."""

MOST = 1.12
"""Height of letters at which their capitals still fit between two rows of dimensions, in distances of these."""

NEW_LINE = r'"\A "'
"""The end of a line in a string of CSS."""


def page(
    spec: Inspected,
    version: str,
    *,
    paper: str = "",
    short: bool = False,
    live: int = 0,
    order: WorkOrder | None = None,
    records: Mapping[Stage, Signed] | None = None,
    since: Since | None = None,
) -> str:
    """The page of one spec. `version` is the tool's own; `paper` fixes the size of the sheets, else the printer does;
    `short` prints the work order and the drawing alone. `live` is the number of a page that is watched: it asks its
    server for newer ones. `order` is a work order whose lines were proven together; without it each finding's own
    change is shown. `records` are the signed stages, `since` is the comparison with an earlier state of the build.

    The page is complete; it loads nothing from elsewhere.
    """
    build, numbered = spec.build, items(spec)
    job = Job(build) if spec.job is None else spec.job
    found, to_do = (
        motion(job, spec.readings),
        work(spec, numbered) if order is None else proven_work(spec, numbered, order),
    )
    anchored, general = anchors(build, found, to_do.lines)
    drawn = sheet(found.drawing, build.units, frozenset(anchor.view for anchor in anchored))
    measured = as_measured(build)
    block = record.title_block(spec)
    counted = kinds(spec, numbered)
    drawings = pictures(build, found, drawn, anchored, _reds(numbered)) if found.drawing.members else ()
    style = _text("report.css") + _text("print.css") + _own_style(block, drawn, paper) + _narrow_style(drawings)
    script = f"{_text('live.js')}{_text('report.js')}" if live else _text("report.js")
    made = _environment().get_template("report.html").render(
        policy=_policy(style, script, live=bool(live)),
        style=Markup(style),
        script=Markup(script),
        data=_embedded(found, spec),
        version=version,
        block=block,
        sheet=drawn,
        pictures=drawings,
        still=printable(found.drawing.still),
        moves=any(len(at) > 1 for at in (found.heaves, found.rolls, found.locks)),
        slides=_slides(found, build.units),
        motion=found,
        tables=tables(found, build.units),
        notes=notes(found, build.units, rear=_is_rear(build)),
        panels=panels(build, found, dict(spec.inspection.bounds), numbered, measured),
        panel_size=(WIDTH, HEIGHT),
        panel_box={"left": LEFT, "right": RIGHT, "top": TOP, "bottom": BOTTOM},
        measured=measured is not None,
        ladder=travel(job),
        absent=[(each.name, printable(each.reason)) for each in found.absent],
        general=general,
        items=record.item_rows(spec, found, numbered, to_do),
        passed=passed(spec, found),
        not_applying=not_applying(spec),
        shows_how_sure=any(reading.plus_or_minus is not None for reading in spec.readings),
        nothing_checked=spec.nothing_checked,
        failed=record.failed_rows(spec),
        not_checked=record.not_checked(spec),
        assumed=record.assumed_rows(spec),
        later=record.later_rows(spec),
        waived=record.waived_rows(spec, found),
        switched_off=record.switched_off(spec),
        hold_points=rows(spec, records),
        since=differences(since, build.units),
        whose_stage=whose_stage(spec),
        cautions=record.to_mind(spec),
        areas=[area.value for area in Area if any(reading.area is area for reading in spec.readings)],
        kinds=counted,
        summed=summed(spec, counted),
        verdicts=_verdicts(spec),
        when_signed=WHEN,
        looser=[each.sentence for each in looser(spec)],
        loosened=loosened(spec),
        too_near=too_near(spec),
        part_list=item_list(found.drawing),
        build_sheet=build_sheet(build),
        work=to_do,
        mended={line.number: line.mends for line in to_do.lines},
        shown_on={anchor.line.number: anchor.view for anchor in anchored},
        short=short,
        live=live,
    )  # fmt: skip
    return held_in_html(made)


def _is_rear(build: Build) -> bool:
    return build.has("axle") and build.axle.has("position") and build.axle.position == "rear"


def _reds(numbered: Sequence[Item]) -> tuple[Red, ...]:
    """The findings as marks for values on the drawing."""
    return tuple(
        Red(item.number, item.reading.verdict.value, item.reading.quantity, item.reading.place) for item in numbered
    )


def outcome_in_words(spec: Inspected) -> str:
    """The outcome in one sentence."""
    return summed(spec, kinds(spec, items(spec)))


def _verdicts(spec: Inspected) -> list[str]:
    """The verdicts that readings can be filtered by."""
    found = {reading.verdict.value if reading.applies else "does not apply" for reading in spec.readings}
    return [each for each in ("error", "warning", "ok", "waived", "does not apply", "not checked") if each in found]


def _slides(found: Motion, system: System) -> list[dict[str, Any]]:
    """The slides that there is something to move with."""
    every = (
        ("travel", "Travel", found.heaves, ("droop", "bump")),
        ("articulation", "Articulation", found.rolls, ("right up", "left up")),
        ("lock", "Lock", found.locks, ("to the right", "to the left")),
    )
    kinds = (Dimension.LENGTH, Dimension.ANGLE, Dimension.ANGLE)
    return [
        {
            "name": name,
            "title": title,
            "low": ends_at[0],
            "high": ends_at[-1],
            "zero": words.number(0.0, dimension, system),
            "ends": ends,
            "unit": words.unit(dimension, system),
        }
        for (name, title, at, ends), dimension in zip(every, kinds, strict=True)
        if len(ends_at := [round(value, 6) for value in in_shop_units(at, dimension, system).tolist()]) > 1
    ]


def _embedded(found: Motion, spec: Inspected) -> Markup:
    """The motion as JSON that no text of a spec can break out of."""
    data = motion_record(found, spec.build.units)
    text = json.dumps(data, separators=(",", ":"), allow_nan=False)
    return Markup(text.replace("&", r"\u0026").replace("<", r"\u003c").replace(">", r"\u003e"))


def _own_style(block: dict[str, str], drawn: Sheet, paper: str) -> str:
    """The style that depends on the build: the width of the views, and the title block of each printed sheet."""
    size = f"{paper} landscape" if paper else "landscape"
    upper = (
        f"Inspection report  |  Title: {_short(block['name'], 70)}  |  Revision: {_short(block['revision'] or '–', 30)}"
    )
    owner, date = _short(block["owner"], 40), _short(block["date"] or "–", 12)
    lower = f"Owner: {owner}  |  Date: {date}  |  Status: {block['stage']}"
    first, second = (drawn.front, drawn.side) if drawn.third_angle else (drawn.side, drawn.front)
    lines = [
        f":root{{--first:{first.width:.0f}fr;--second:{second.width:.0f}fr}}",
        f":root{{--letter:{drawn.letter:.0f}px}}",
        *(f".view-{view.name}{{--small:{_on_a_narrow_screen(view, drawn):.0f}px}}" for view in drawn.views),
        f"@page{{size:{size}}}",
        f"@page{{@bottom-left{{content:{_css(upper)} {NEW_LINE} {_css(lower)}}}}}",
        "@media print{",
        f".views.third{{grid-template-columns:1fr {_millimetres(drawn, first, second)}!important}}",
        f".views.first{{grid-template-columns:{_millimetres(drawn, first, second)} 1fr!important}}",
        *(f".view-{view.name} svg{{width:{view.width / drawn.scale:.1f}mm}}" for view in drawn.views),
        "}",
    ]
    return "\n".join(lines)


def _millimetres(drawn: Sheet, *views: View) -> str:
    return " ".join(f"{view.width / drawn.scale:.1f}mm" for view in views)


def _narrow_style(drawings: Sequence[Picture]) -> str:
    """Where balloons are on a narrow screen: above their view, each with room for a thumb."""
    lines = []
    for picture in drawings:
        view, apart = picture.view, thumb(picture.view)
        room = rows_of(view, len(picture.marks), apart) * apart / view.width * 100
        sizes = f"--ring:{apart * ROUND:.0f}px;--reach:{apart / 2:.0f}px"
        lines.append(f".view-{view.name} svg{{margin-top:{room:.1f}%}}.view-{view.name}{{{sizes}}}")
        for mark in picture.marks:
            x, y = (to - at for to, at in zip(mark.narrow.balloon, mark.wide.balloon, strict=True))
            lines.append(f"#mark-{mark.line.number} .seat{{transform:translate({x:.0f}px,{y:.0f}px)}}")
    return "\n@media screen and (max-width: 699px){" + "".join(lines) + "}"


def _on_a_narrow_screen(view: View, drawn: Sheet) -> float:
    """Height of letters that is readable where a view is as wide as a telephone, as far as rows of dimensions allow."""
    return min(max(view.width / NARROW * READABLE, drawn.letter), MOST * drawn.row)


def _short(text: str, room: int) -> str:
    """Text cut to so many letters; wide letters count twice."""
    ends = accumulate(2 if east_asian_width(one) in "WF" else 1 for one in text)
    fits = sum(end <= room for end in ends)
    return text if fits == len(text) else f"{text[: fits - 1]}…"


def _css(text: str) -> str:
    """Text as a string of CSS: everything but letters, digits and spaces as an escape."""
    return (
        '"'
        + "".join(one if one.isascii() and (one.isalnum() or one == " ") else f"\\{ord(one):x} " for one in text)
        + '"'
    )


def _policy(style: str, script: str, *, live: bool) -> str:
    """The policy for what a browser may run and load: this style, this script, and nothing else."""
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; base-uri 'none'; "
        "form-action 'none'" + ("; connect-src 'self'" if live else "")
    )


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _text(name: str) -> str:
    return files("buildcheck.output.report").joinpath(name).read_text(encoding="utf-8")


@cache
def _environment() -> Environment:
    return Environment(
        loader=FunctionLoader(_text), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
