"""The loads of a build as text: the forces on every tyre, part, link and bracket in every case."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from buildcheck.job.load_table import About, FootForces, Force, LoadTable, size
from buildcheck.output import uses, words
from buildcheck.output.cautions import IN_SHORT
from buildcheck.output.loads_worst import worst_cases
from buildcheck.output.outcome import Spec
from buildcheck.output.sheet import build_head, plugins_head, spec_head
from buildcheck.output.text_layout import Page
from buildcheck.plugins.used import PluginUsed
from buildcheck.spec.quantity import Dimension, System

# In a pipe there is no width to keep to; this one lies on a printed page.
_PRINTED = 80
_GAP = "  "

SIGNS = "Tension is positive; at a joint of a radius arm, and on a bracket, the size of the force."
FEET = (
    "On the foot of a bracket: the shear is the force in its plane, the pull the force along its normal, off what it "
    "is fixed to positive; the twist is the moment about that normal, the tip the moment in its plane. The rules for "
    "welds, bolts and plates use these, with the design load where that is larger."
)

ON_FEET = (
    ("shear on each foot", "shears", Dimension.FORCE),
    ("pull on each foot", "pulls", Dimension.FORCE),
    ("twist on each foot", "twists", Dimension.TORQUE),
    ("tip on each foot", "tips", Dimension.TORQUE),
)
"""Heading, name in `FootForces` and dimension of each part of the load on a foot."""

NOTICED = 1e-6  # N m; less is what rounding leaves in a rod that nothing strikes

CAUTIONS = (
    "Each case has the one load that it names; bumps and impacts are not added. Choose joints, bolts and "
    "brackets with a margin on top.",
    *IN_SHORT,
)


class _Block(NamedTuple):
    """Rows of one unit: each a name, and a number for each case."""

    heading: str
    dimension: Dimension
    rows: list[tuple[str, Sequence[float]]]


def sheet(
    spec: Spec,
    table: LoadTable,
    *,
    width: int | None = None,
    colour: bool = False,
    plugins: Iterable[PluginUsed] = (),
) -> str:
    """The loads of one spec, and the plugins that counted; `width` is the number of columns to keep to, None for a
    printed page's."""
    system = spec.build.units
    page = Page(width, colour=colour)
    page.heading("LOADS SHEET")
    build_head(page, spec)
    spec_head(page, spec)
    plugins_head(page, plugins)
    _worst(page, spec, table)
    for block in _blocks(table):
        if block.rows and table.cases:
            _table(page, table, block, system, width or _PRINTED)
    if table.cases:
        page.blank()
        page.text(SIGNS, 0, 2)
        if any(row.foot for row in table.brackets):
            page.text(FEET, 0, 2)
        for sentence in _about(table):
            page.text(sentence, 0, 2)
        page.heading("CASES")
        for case in table.cases:
            page.text(words.printable(f"{case.name}: {case.meaning}"), 2, 4)
    if table.absent or table.unknown:
        page.heading("NOT COMPUTED")
        for sentence in (*table.absent, *table.unknown):
            page.text(words.printable(sentence), 2, 4)
    if not table.cases:
        return str(page)
    if said := uses.in_words("loads", spec.build.given()):
        page.heading("FOR INFORMATION ONLY")
        page.text(said, 2, 4)
    page.heading("CAUTIONS")
    for caution in CAUTIONS:
        page.text(caution, 2, 4)
    return str(page)


def _worst(page: Page, spec: Spec, table: LoadTable) -> None:
    """The worst case of each joint and part, what uses most of its rating first."""
    system, found = spec.build.units, worst_cases(spec.build, table)
    if not found:
        return
    unit = words.unit(Dimension.FORCE, system)
    heads = ("worst case of each", "load", "rating", "used", "in the case")
    rows = [
        (
            each.label,
            words.number(each.load, Dimension.FORCE, system),
            words.number(each.rating, Dimension.FORCE, system) if each.rating else "not stated" if each.rated else "",
            "" if each.share is None else words.amount(each.share, Dimension.RATIO, system),
            each.case,
        )
        for each in found
    ]
    heads = (f"{heads[0]} ({unit})", *heads[1:])
    wide = [max(len(row[column]) for row in (heads, *rows)) for column in range(5)]
    page.blank()
    for number, cells in enumerate((heads, *rows)):
        right = [f"{cell:>{size}}" for cell, size in zip(cells[1:4], wide[1:4], strict=True)]
        page.row(_GAP.join([f"{words.printable(cells[0]):<{wide[0]}}", *right, cells[4]]), bold=not number)


def csv_rows(table: LoadTable, system: System) -> Iterator[Sequence[str]]:
    """The same as rows of a table: a head, then one row for each tyre, part, joint, link or bracket and case."""
    force, moment, stress = Dimension.FORCE, Dimension.TORQUE, Dimension.PRESSURE
    unit = words.unit(force, system)
    yield (
        "kind",
        "part",
        "joint",
        "spec path",
        "case",
        f"force ({unit})",
        f"forward ({unit})",
        f"to the left ({unit})",
        f"up ({unit})",
        f"bending moment ({words.unit(moment, system)})",
        f"stress ({words.unit(stress, system)})",
        f"moment on the bracket ({words.unit(moment, system)})",
        "moment about",
        *(f"{heading} ({words.unit(dimension, system)})" for heading, _, dimension in ON_FEET),
    )
    names = [case.name for case in table.cases]

    def number(value: float, dimension: Dimension = force) -> str:
        return words.number(value, dimension, system)

    def vector(value: Force) -> list[str]:
        return [number(size(value)), *(number(part) for part in value)]

    blank, none = [""] * 3, [""] * 8
    for tyre in table.corners:
        for name, weight in zip(names, tyre.forces, strict=True):
            yield ("corner weight", tyre.label, "", tyre.path, name, number(weight), *blank, *none)
    for row in table.carried:
        for name, value in zip(names, row.forces, strict=True):
            yield ("part", row.label, row.joint, row.path, name, number(value), *blank, *none)
    for joint in table.joints:
        for name, pull in zip(names, joint.forces, strict=True):
            yield ("joint", joint.label, joint.joint, joint.path, name, *vector(pull), *none)
    for link in table.bent:
        for at, name in enumerate(names):
            stressed = "" if link.stresses is None else number(link.stresses[at], stress)
            bending = number(link.moments[at], moment)
            yield (
                "link",
                link.label,
                "",
                link.path,
                name,
                number(link.thrusts[at]),
                *blank,
                bending,
                stressed,
                *[""] * 6,
            )
    for bracket in table.brackets:
        for at, name in enumerate(names):
            turning = ["", ""]
            if bracket.moments is not None:
                turning = [number(bracket.moments[at], moment), bracket.about.value]
            yield (
                *("bracket", bracket.label, "", bracket.path, name, *vector(bracket.forces[at]), "", ""),
                *(*turning, *_on_foot(bracket.foot, at, system)),
            )


def _on_foot(foot: FootForces | None, case: int, system: System) -> Iterator[str]:
    """Shear, pull, twist and tip of a foot in one case; empty where they are not known."""
    for _, key, dimension in ON_FEET:
        values = getattr(foot, key, None)
        yield "" if values is None else words.number(values[case], dimension, system)


def _blocks(table: LoadTable) -> Iterator[_Block]:
    carried = [(f"{row.label}, {row.joint}" if row.joint else row.label, row.forces) for row in table.carried]
    bent = [(row.label, row.moments) for row in table.bent if max(row.moments) > NOTICED]
    stressed = [(row.label, row.stresses) for row in table.bent if row.stresses is not None]
    brackets = [(row.label, [size(force) for force in row.forces]) for row in table.brackets]
    turned = [(row.label, row.moments) for row in table.brackets if row.moments is not None]
    feet = [(row.label, row.foot) for row in table.brackets if row.foot is not None]
    yield _Block("weight on the tyres", Dimension.FORCE, [(row.label, row.forces) for row in table.corners])
    yield _Block("forces", Dimension.FORCE, list(carried))
    yield _Block("largest bending moment", Dimension.TORQUE, list(bent))
    yield _Block("largest stress", Dimension.PRESSURE, list(stressed))
    yield _Block("net force on each bracket", Dimension.FORCE, list(brackets))
    yield _Block("moment on each bracket", Dimension.TORQUE, list(turned))
    for heading, key, dimension in ON_FEET:
        known = [(label, getattr(foot, key)) for label, foot in feet if getattr(foot, key) is not None]
        yield _Block(heading, dimension, known)


def _about(table: LoadTable) -> Iterator[str]:
    """Points that the moments on the brackets are about, and the brackets of which something is not known."""
    for about in About:
        of = [row.label for row in table.brackets if row.moments is not None and row.about is about]
        if of:
            yield words.printable(f"Moment about {about}: {', '.join(of)}.")
    unknown = [row.label for row in table.brackets if row.moments is None]
    if unknown:
        yield words.printable(f"No moment; the spec lacks the bracket's point or height: {', '.join(unknown)}.")
    footless = [row.label for row in table.brackets if row.foot is None]
    if footless:
        yield words.printable(f"No load on the foot; the spec lacks the bracket's normal: {', '.join(footless)}.")


def _table(page: Page, table: LoadTable, block: _Block, system: System, width: int) -> None:
    heading = f"{block.heading} ({words.unit(block.dimension, system)})"
    first = max(len(heading), *(len(name) for name, _ in block.rows))
    cells = [
        [_number(values[case], block.dimension, system) for _, values in block.rows] for case in range(len(table.cases))
    ]
    heads = [_head(case.name) for case in table.cases]
    wide = [max(len(part) for part in (*head, *column)) for head, column in zip(heads, cells, strict=True)]
    for cases in _side_by_side(wide, width - first):
        page.blank()
        columns = [wide[case] for case in cases]
        if any(heads[case][0] for case in cases):
            page.row(_row("", [heads[case][0] for case in cases], first, columns), bold=True)
        page.row(_row(heading, [heads[case][1] for case in cases], first, columns), bold=True)
        for number, (name, _) in enumerate(block.rows):
            page.row(_row(name, [cells[case][number] for case in cases], first, columns))


def _number(value: float, dimension: Dimension, system: System) -> str:
    """A number of a table; a stress to three figures, since its inputs are known no better."""
    if dimension is not Dimension.PRESSURE or value == 0.0:
        return words.number(value, dimension, system)
    shown = float(words.number(value, dimension, system, 9))
    decimals = max(2 - math.floor(math.log10(abs(shown))), 0) if shown else 0
    rounded = round(shown, 2 - math.floor(math.log10(abs(shown)))) if shown else 0.0
    return f"{rounded:.{decimals}f}"


def _head(name: str) -> tuple[str, str]:
    """The name of a case on two lines, as narrow as can be."""
    parts = name.split(" ")
    halves = [(" ".join(parts[:number]), " ".join(parts[number:])) for number in range(len(parts))]
    return min(halves, key=lambda pair: (max(map(len, pair)), pair))


def _side_by_side(wide: Sequence[int], room: int) -> Iterator[list[int]]:
    """The numbers of the cases that have room beside each other, table by table, about as many in each."""
    fewest = len(list(_filled(wide, room, len(wide))))
    most = next(n for n in range(1, len(wide) + 1) if len(list(_filled(wide, room, n))) == fewest)
    yield from _filled(wide, room, most)


def _filled(wide: Sequence[int], room: int, most: int) -> Iterator[list[int]]:
    """At most so many cases in a table, and no more than have room."""
    together: list[int] = []
    used = 0
    for case, columns in enumerate(wide):
        if together and (used + columns + len(_GAP) > room or len(together) == most):
            yield together
            together, used = [], 0
        together.append(case)
        used += columns + len(_GAP)
    if together:
        yield together


def _row(name: str, cells: Sequence[str], first: int, wide: Sequence[int]) -> str:
    return _GAP.join([f"{name:<{first}}", *(f"{cell:>{size}}" for cell, size in zip(cells, wide, strict=True))])
