"""Rules made from the limits in a shop's standard, without Python code."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Annotated, Any, NamedTuple, get_args, get_origin

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Build, Part, Point, Side, Sides, Stage
from buildcheck.build.part import fields
from buildcheck.checks.changes import Change, Move, Resize, Set, Words
from buildcheck.checks.check import Check
from buildcheck.checks.limit import SEVERITY, Limit
from buildcheck.checks.rule import Area, Rule
from buildcheck.checks.subjects import Subject, Whole
from buildcheck.job import Curve, Job, Line, PoseName, Spot, Unreached
from buildcheck.job.named_quantity import Family, Quantity
from buildcheck.job.quantities import families, of_no_part, quantities
from buildcheck.job.subjects import SUBJECTS
from buildcheck.spec.additions import Additions
from buildcheck.spec.names import nearest, no_such
from buildcheck.spec.place import split
from buildcheck.spec.quantity import Dimension

WHERE = {
    "ride": "at ride height",
    "travel": "over the travel",
    "bump": "from ride height to full bump",
    "droop": "from ride height to full droop",
    "articulation": "in articulation",
    "lock": "over the travel at full lock",
}

# The spots of a curve that are compared with the limit; of several, the worst counts.
VALUES: dict[str, Callable[[Curve], tuple[Spot, ...]]] = {
    "": lambda curve: (curve.smallest, curve.largest),
    "largest": lambda curve: (curve.largest,),
    "smallest": lambda curve: (curve.smallest,),
    "farthest-from-zero": lambda curve: (curve.farthest_from_zero,),
    "change": lambda curve: (curve.from_ride().smallest, curve.from_ride().largest),
}

# The section of a spec with the parts of a kind; a bar has every field of a two-point link.
_SECTIONS = {"link-or-bar": "links"}

# The input to change for a quantity of the whole axle, by the quantity's group.
_PLACES = {"axle": "links", "handling": "links", "joints": "links", "steering": "steering", "driveshaft": "driveshaft"}


class Held(NamedTuple):
    """A quantity that a standard may limit: of the whole axle, of every part of a kind, or of one part."""

    name: str
    meaning: str
    of: Quantity | Family


def known(name: str, additions: Additions) -> Held:
    """The quantity of that name, built in or added by a plugin. Raises LookupError, with the nearest name, where there
    is none.

    The name for one part is the part's name before the quantity's: `left-coilover-droop-to-spare`. The parts depend on
    the build, so here every name that begins with a side and ends in a quantity is known.
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
            # The builder's own name of a part may contain only the last word of the noun.
            ending = f"{family.noun.split()[-1]}-{family.name}"
            if rest == ending or rest.endswith(f"-{ending}"):
                part = name.removesuffix(f"-{family.name}").replace("-", " ")
                return Held(name, family.meaning.format(part=part), family)
    raise LookupError(no_such("quantity", name, _names(additions)))


def _names(additions: Additions) -> list[str]:
    every = [family.family for family in families(additions)]
    alone = (quantity.name for quantity in of_no_part(additions))
    return [*alone, *every, *(f"{side}-{one}" for side in Side for one in every)]


def called(where: str, value: str) -> str:
    """The value and the place of a limit in words: `largest over the travel`."""
    which = {"change": "change from ride height, "}.get(value, f"{value.replace('-', ' ')} " if value else "")
    return f"{which}{WHERE[where]}"


def change_of(held: Held, kind: str, path: str, axis: str) -> Change:
    """A change that a standard states: `move` a point along an axis, `resize` a length, or `set` an amount. `path` is a
    field of the quantity's part; for a quantity of the whole axle it is a spec path.

    Raises LookupError for a field that does not exist, ValueError for one that cannot be changed in that way.
    """
    of = held.of
    section, whole = "", path
    if isinstance(of, Family):
        section = _SECTIONS.get(of.kind, f"{of.kind.replace('-', '_')}s")
        whole = f"{section}.NAME.both.{path}"
    declared = _declared(whole)
    amount = get_args(declared)[1] if get_origin(declared) is Annotated else None
    fits = {
        "move": declared is Point,
        "resize": amount is Dimension.LENGTH,
        "set": amount is not None or declared is int,
    }
    if not fits[kind]:
        wanted = {"move": "a point", "resize": "a length", "set": "an amount"}[kind]
        raise ValueError(f'"{path}" is not {wanted}, so it cannot be changed by {kind}')
    part_path, _, field = path.rpartition(".")
    if section and part_path:
        raise ValueError(f'"{path}" is not a field of the {of.noun if isinstance(of, Family) else "part"} itself')

    def who(job: Job, part: Any) -> Part | None:
        found: Part | None = _quantity_of(held, job, part).part if section else job.build.value(part_path)
        return found

    change = Move(field, axis=axis) if kind == "move" else Resize(field) if kind == "resize" else Set(field)
    return change.of(who)


def _declared(path: str) -> Any:
    """The type of the value at a spec path, for any names of links and brackets. Raises LookupError, with the nearest
    name, for a path that no spec has."""
    kind: Any = Build
    for step in split(path):
        origin, held = get_origin(kind), get_args(kind)
        if origin is dict:
            kind = held[1]
        elif (origin is Sides and step in ("both", *Side)) or (origin is tuple and isinstance(step, int)):
            kind = held[0]
        elif isinstance(kind, type) and issubclass(kind, Part) and step in fields(kind):
            kind = fields(kind)[str(step)]
        else:
            known = fields(kind) if isinstance(kind, type) and issubclass(kind, Part) else ()
            raise LookupError(no_such("field", str(step), known))
    return kind


def _quantity_of(held: Held, job: Job, part: Any) -> Quantity:
    """The limited quantity of the part that is checked."""
    if isinstance(held.of, Quantity):
        return held.of
    return _of_one_part(job.build, held.name) if isinstance(part, Build) else held.of.of_part(part)


def own_rule(
    name: str,
    held: Held,
    where: str,
    limit: Limit,
    message: str,
    area: Area,
    from_stage: Stage = Stage.PROPOSAL,
    value: str = "",
    changes: Sequence[Change] = (),
) -> Rule:
    """The rule for a limit on a quantity; `where` is one of the keys of `WHERE`, `value` one of `VALUES`; `changes` are
    the changes to try, and `message` is the advice where none is enough."""
    of, when = held.of, None
    subject: Subject = Whole()
    if isinstance(of, Family) and held.name == of.family:
        subject, when = _EveryPart(of.kind), partial(_why_not, of)

    def worst(job: Job, part: Any) -> Spot:
        return max(_spots(job, _quantity_of(held, job, part), where, value), key=partial(_severity, limit))

    def place(job: Job, part: Any) -> str:
        held_to = _quantity_of(held, job, part)
        return _PLACES.get(held_to.group, "") if held_to.part is None else held_to.part.path

    title = limit.meaning
    return Rule(
        name,
        area=area,
        title=title[0].upper() + title[1:],
        page=f"Checked: {held.name}, {called(where, value)}. It is a limit of the shop's own.\n\n"
        f"Risk: {limit.basis.text}\n\nRemedy: {message}",
        limits=(limit,),
        checks=(
            Check(
                limit.name,
                subject,
                worst,
                limit,
                place=place,
                when=when,
                changes=(*changes, Words(lambda *_: message)),
            ),
        ),
        from_stage=from_stage,
    )


@dataclass(frozen=True)
class _EveryPart(Subject):
    """Every part of a kind that has quantities."""

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
    bounds = limit.bounds_for(spot)
    verdict = bounds.verdict(spot.value)
    return SEVERITY.index(verdict), -bounds.margin(spot.value, verdict)


def _spots(job: Job, quantity: Quantity, where: str, value: str) -> tuple[Spot, ...]:
    """The spots to choose the worst from: the one at ride height, or the requested ones of a line."""
    if where == "ride":  # which needs no stated travel
        here = np.zeros(1)
        at = float(np.asarray(quantity.of(job.moved(here, here)), float)[0])
        return (Spot(_number(quantity, at), PoseName(0.0, 0.0, "ride height")),)
    if where == "lock":
        return tuple(spot for side in (Side.LEFT, Side.RIGHT) for spot in _at_lock(job, quantity, side, value))
    line: Line = getattr(job.lines, where)
    curve = quantity.over(job, line)
    _refuse_unbounded(quantity, curve, job.moving.poses.solved[line.picks])
    return VALUES[value](curve)


def _at_lock(job: Job, quantity: Quantity, side: Side, value: str) -> Iterator[Spot]:
    """The spots over the travel with the wheels held at full lock to one side."""
    angle = job.build.steering.lock_angle
    job.full_lock.at_ride_height(side, angle, "full lock")
    line, lock = job.lines.travel, angle if side is Side.LEFT else -angle
    moved = job.moved(line.heave, line.roll, lock)
    curve = Curve(np.asarray(quantity.of(moved), float), line, quantity.dimension)
    _refuse_unbounded(quantity, curve, moved.poses.solved)
    for spot in VALUES[value](curve):
        yield spot if spot.pose is None else replace(spot, pose=spot.pose._replace(lock=lock))


def _refuse_unbounded(quantity: Quantity, curve: Curve, reached: NDArray[np.bool_]) -> None:
    declared = curve.line.declared
    if np.isinf(curve.values[:declared][reached[:declared]]).any():
        _number(quantity, np.inf)


def _number(quantity: Quantity, value: float) -> float:
    if not np.isfinite(value):
        raise Unreached(f"{quantity.name} has no value, or one without bound, where the axle goes")
    return value
