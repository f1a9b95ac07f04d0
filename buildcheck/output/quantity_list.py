"""The quantities of the moving axle, as a shop's standard may name them: what each is, its unit and its sign."""

from __future__ import annotations

import json

from buildcheck.job.named_quantity import Family, Quantity
from buildcheck.job.quantities import families, of_no_part
from buildcheck.output import words
from buildcheck.output.text_layout import Page
from buildcheck.output.words import printable
from buildcheck.spec.additions import Additions
from buildcheck.spec.quantity import System

FORMAT = 1
_COLUMN = 26


def text(system: System, additions: Additions, *, width: int | None = None, colour: bool = False) -> str:
    """Every quantity under the part of the truck that it belongs to, with its unit, its meaning and its sign."""
    page = Page(width, colour=colour)
    for heading, group in _groups(additions).items():
        page.heading(heading.upper())
        for each in group:
            unit = words.unit(each.dimension, system)
            described = f"{each.dimension.value}{f', {unit}' if unit else ''}; {_meaning(each)}"
            if not each.compared:
                described += "; for information only"
            page.field(printable(_name(each)), printable(described), indent=2, column=_COLUMN)
    page.heading("OF ONE PART")
    page.text(
        "A quantity of every coilover, strap, stop or line is one part's with the part's name before it: "
        "left-coilover-droop-to-spare. buildcheck cycle SPEC lists a build's own.",
        2,
    )
    page.heading("FOR INFORMATION ONLY")
    page.text("No rule compares these with a limit. A shop's standard can: it may hold any quantity to limits.", 2)
    return str(page)


def data(system: System, additions: Additions) -> str:
    """The same as JSON."""
    listed = [
        {
            "name": printable(_name(each)),
            "of": heading,
            "every": each.noun if isinstance(each, Family) else None,
            "dimension": each.dimension.value,
            "unit": words.unit(each.dimension, system),
            "meaning": printable(_meaning(each)),
            "for_information": not each.compared,
        }
        for heading, group in _groups(additions).items()
        for each in group
    ]
    return json.dumps({"format": FORMAT, "units": system.value, "quantities": listed}, indent=2) + "\n"


def _groups(additions: Additions) -> dict[str, list[Quantity | Family]]:
    """The quantities by the part of the truck, in the order of the cycling sheet."""
    groups: dict[str, list[Quantity | Family]] = {}
    for quantity in of_no_part(additions):
        groups.setdefault(quantity.group, []).append(quantity)
    for family in families(additions):
        groups.setdefault(f"every {family.noun}", []).append(family)
    return groups


def _name(each: Quantity | Family) -> str:
    return each.family if isinstance(each, Family) else each.name


def _meaning(each: Quantity | Family) -> str:
    return each.meaning.format(part=each.noun) if isinstance(each, Family) else each.meaning
