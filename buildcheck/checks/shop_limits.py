"""A shop's limit on a quantity, as a rule: without Python, and like any other rule."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from buildcheck.build import Build, Side, Stage
from buildcheck.checks.changes import Words
from buildcheck.checks.check import Check
from buildcheck.checks.limit import SEVERITY, Limit
from buildcheck.checks.rule import Area, Rule
from buildcheck.checks.subjects import Subject, Whole
from buildcheck.job import Job, PoseName, Spot, Unreached
from buildcheck.job.quantities import Family, Quantity, families, of_no_part, quantities
from buildcheck.job.subjects import SUBJECTS
from buildcheck.spec.additions import Additions
from buildcheck.spec.names import nearest, no_such

WHERE = {"travel": "over the travel", "ride": "at ride height", "articulation": "in articulation"}

# The input that one would change for a quantity of the whole axle, by the quantity's group.
_PLACES = {"axle": "links", "handling": "links", "joints": "links", "steering": "steering", "driveshaft": "driveshaft"}


class Held(NamedTuple):
    """A quantity that a standard may hold to a limit: of the whole axle, of every part of a kind, or of one part."""

    name: str
    meaning: str
    of: Quantity | Family


def known(name: str, additions: Additions) -> Held:
    """The quantity of that name, built in or added by a plugin. Raises LookupError, with the nearest name, where there
    is none.

    Of one part it is the part's name before the quantity's: `left-coilover-droop-to-spare`. Which parts there are, a
    build says; so any that begins with a side and ends as such a quantity does is known here.
    """
    for quantity in of_no_part(additions):
        if quantity.name == name:
            return Held(name, quantity.meaning, quantity)
    of_parts = families(additions)
    for family in of_parts:
        if family.family == name:
            return Held(name, family.meaning.format(part=family.noun), family)
    side, _, rest = name.partition("-")
    if side in set(Side):
        for family in of_parts:
            # A part of the builder's own naming may keep no more of the noun than its last word.
            ending = f"{family.noun.split()[-1]}-{family.name}"
            if rest == ending or rest.endswith(f"-{ending}"):
                part = name.removesuffix(f"-{family.name}").replace("-", " ")
                return Held(name, family.meaning.format(part=part), family)
    raise LookupError(no_such("quantity", name, _names(additions)))


def _names(additions: Additions) -> list[str]:
    every = [family.family for family in families(additions)]
    alone = (quantity.name for quantity in of_no_part(additions))
    return [*alone, *every, *(f"{side}-{one}" for side in Side for one in every)]


def own_rule(
    name: str, held: Held, where: str, limit: Limit, message: str, area: Area, from_stage: Stage = Stage.PROPOSAL
) -> Rule:
    """The rule that holds a quantity to a limit; `where` is one of the keys of `WHERE`, `message` what to change."""
    of, when = held.of, None
    subject: Subject = Whole()
    if isinstance(of, Family) and held.name == of.family:
        subject, when = _EveryPart(of.kind), partial(_why_not, of)

    def quantity(job: Job, part: Any) -> Quantity:
        if isinstance(of, Quantity):
            return of
        return _of_one_part(job.build, held.name) if isinstance(subject, Whole) else of.of_part(part)

    def worst(job: Job, part: Any) -> Spot:
        return max(_spots(job, quantity(job, part), where), key=partial(_severity, limit))

    def place(job: Job, part: Any) -> str:
        held_to = quantity(job, part)
        return _PLACES.get(held_to.group, "") if held_to.part is None else held_to.part.path

    title = limit.meaning
    return Rule(
        name,
        area=area,
        title=title[0].upper() + title[1:],
        page=f"Checked: {held.name}, {WHERE[where]}. It is a limit of the shop's own.\n\n"
        f"Risk: {limit.basis.text}\n\nRemedy: {message}",
        limits=(limit,),
        checks=(
            Check(limit.name, subject, worst, limit, place=place, when=when, changes=(Words(lambda *_: message),)),
        ),
        from_stage=from_stage,
    )


@dataclass(frozen=True)
class _EveryPart(Subject):
    """Every part of one of the kinds that quantities are of."""

    kind: str

    @property
    def noun(self) -> str:  # type: ignore[override]
        return self.kind.replace("-", " ")

    def find(self, job: Job) -> list[Any]:
        parts = list(SUBJECTS[self.kind](job.build))
        if not parts:
            raise Unreached(f"no {self.noun} to check")
        return parts


def _why_not(family: Family, job: Job, part: Any) -> str | None:
    return None if family.suits(part) else f"the {part.label} has no such joint"


def _of_one_part(build: Build, name: str) -> Quantity:
    offered = {each.name: each for each in quantities(build)}
    if name in offered:
        return offered[name]
    near = nearest(name, (each.name for each in offered.values() if each.part is not None))
    raise Unreached(f"the build has no part that {name} is of{f'; did you mean {near}?' if near else ''}")


def _severity(limit: Limit, spot: Spot) -> tuple[int, float]:
    verdict = limit.bounds.verdict(spot.value)
    return SEVERITY.index(verdict), -limit.bounds.margin(spot.value, verdict)


def _spots(job: Job, quantity: Quantity, where: str) -> tuple[Spot, ...]:
    """The spots that the worst case is among: the one at ride height, or the smallest and the largest of a line."""
    if where == "ride":  # for which the spec need not state any travel
        here = np.zeros(1)
        value = float(np.asarray(quantity.of(job.moved(here, here)), float)[0])
        return (Spot(_number(quantity, value), PoseName(0.0, 0.0, "ride height")),)
    line = job.lines.travel if where == "travel" else job.lines.articulation
    curve = quantity.over(job, line)
    reached = job.moving.poses.solved[line.picks][: line.declared]
    if np.isinf(curve.values[: line.declared][reached]).any():
        _number(quantity, np.inf)
    return curve.smallest, curve.largest


def _number(quantity: Quantity, value: float) -> float:
    if not np.isfinite(value):
        raise Unreached(f"{quantity.name} has no value, or one without bound, where the axle goes")
    return value
