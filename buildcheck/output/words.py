"""The words for what a reading holds; every format takes them from here, so that no two disagree.

Numbers are worded by `buildcheck.spec.quantity` alone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from buildcheck.build import Build
from buildcheck.checks.limit import Verdict
from buildcheck.checks.rule import Reading
from buildcheck.job import Cure, PoseName
from buildcheck.job.layout import Assumption
from buildcheck.spec.place import visible
from buildcheck.spec.quantity import Dimension, System, parse, show, show_fraction
from buildcheck.spec.units import INCH, USUAL

if TYPE_CHECKING:
    from buildcheck.checks.hold_points import HoldPoint

# A margin that rounds to nothing is shown with up to this many decimals more than usual.
FINER = 6


SIGNING_OFF = (
    "A stage can be signed off when every rule that applies was checked, every error and warning is fixed or waived, "
    "and the spec records what the stage needs. The person who signs has looked at the truck; buildcheck has only "
    "compared the spec with limits. It is not an approval."
)
"""Meaning of "can be signed off"."""

printable = visible
"""Text made safe to print, whole: one line, with everything invisible as an escape."""


def count(number: int, one: str, many: str = "") -> str:
    """A number of things: `1 spec`, `2 specs`."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def amount(value: float, dimension: Dimension, system: System, digits: int | None = None) -> str:
    """An SI value in the shop's unit."""
    return show(value, dimension, system, digits=digits)


def rough_amount(value: float, dimension: Dimension, system: System) -> str:
    """A value above zero in the shop's unit to two significant digits, for what is known no better."""
    one = parse(1, dimension, system)
    digits = 1 - math.floor(math.log10(value / one))
    return show(round(value / one, digits) * one, dimension, system, digits=max(digits, 0))


def rough_difference(value: float, dimension: Dimension, system: System) -> str:
    """A difference of zero or more to two significant digits, or to none where it is too small to measure."""
    finest = USUAL[system][dimension].decimals + FINER
    for digits in range(finest):
        shown = difference(value, dimension, system, digits)
        if len(re.sub(r"[^0-9]", "", shown.split(" ")[0]).lstrip("0")) >= 2:
            return shown
    return difference(value, dimension, system)


def unit(dimension: Dimension, system: System) -> str:
    """The shop's unit of a dimension, as in the head of a column; "" for counts."""
    return show(0.0, dimension, system).partition(" ")[2]


def number(value: float, dimension: Dimension, system: System, digits: int | None = None, *, sign: bool = False) -> str:
    """An SI value in the shop's unit without naming it, for a column that has the unit in its head."""
    return show(value, dimension, system, digits=digits, sign=sign).removesuffix(f" {unit(dimension, system)}")


def limit_amount(value: float, dimension: Dimension, system: System) -> str:
    """A limit in the shop's unit, with more decimals than usual where they make it exact: 1/16 in is `0.0625 in`."""
    return show(value, dimension, system, digits=_exact_digits(value, dimension, system))


def difference(value: float, dimension: Dimension, system: System, digits: int | None = None) -> str:
    """A difference of two SI values in the shop's unit; temperatures too, whose scale does not start at
    zero."""
    return show(value + parse(0, dimension, system), dimension, system, digits=digits)


@dataclass(frozen=True, slots=True)
class Measured:
    """The numbers of a reading as shown; "" for what it does not have."""

    value: str = ""
    lowest: str = ""
    highest: str = ""
    margin: str = ""


@lru_cache(maxsize=4)  # the words of one reading ask for it several times
def measured(reading: Reading, system: System) -> Measured:
    """The numbers of a reading, all with the same number of decimals: enough to show value and limit
    as different."""
    dimension = reading.dimension
    if dimension is None or reading.value is None:
        return Measured()
    limits = [limit for limit in (reading.lowest, reading.highest) if limit is not None]
    exact = [_exact_digits(limit, dimension, system) for limit in limits]
    digits = max([_margin_digits(reading.margin, dimension, system), *exact])
    return Measured(
        value=amount(reading.value, dimension, system, digits),
        lowest="" if reading.lowest is None else amount(reading.lowest, dimension, system, digits),
        highest="" if reading.highest is None else amount(reading.highest, dimension, system, digits),
        margin=(
            ""
            if reading.margin is None or not math.isfinite(reading.margin)
            else difference(abs(reading.margin), dimension, system, digits)
        ),
    )


def _margin_digits(margin: float | None, dimension: Dimension, system: System) -> int:
    """The decimals with which a margin is not shown as zero."""
    usual = USUAL[system][dimension].decimals
    if margin is None or margin == 0 or not math.isfinite(margin):
        return usual
    for digits in range(usual, usual + FINER):
        if re.search("[1-9]|without", difference(abs(margin), dimension, system, digits)):
            return digits
    return usual + FINER


def _exact_digits(limit: float, dimension: Dimension, system: System) -> int:
    """The decimals with which a limit is shown as it is: the usual ones and up to two more; else the usual ones."""
    usual = USUAL[system][dimension].decimals
    return _fewest_digits(limit, dimension, system, range(usual, usual + 3))


def _fewest_digits(value: float, dimension: Dimension, system: System, choice: Iterable[int]) -> int:
    """The fewest of these decimals with which a value is shown as it is; the usual ones where none are enough."""
    for digits in choice:
        shown, finer = (show(value, dimension, system, digits=one).split(" ")[0] for one in (digits, digits + FINER))
        if finer == f"{shown if digits else shown + '.'}{'0' * FINER}":
            return digits
    return USUAL[system][dimension].decimals


def state(point: HoldPoint) -> str:
    """Whether the hold point that an inspection is for can be signed off."""
    return "can be signed off" if point.can_be_signed_off else "cannot be signed off yet"


def found(reading: Reading, system: System) -> str:
    """The measured value or the finding, and where in the travel or in which load case: `12.40 deg at full bump (axle
    4.00 in up)`, `9.9 % in the load case braking`."""
    what = measured(reading, system).value or printable(reading.found)
    if reading.amounts is not None:
        one, other, dimension = reading.amounts
        what = f"{what} ({amount(one, dimension, system)} of {amount(other, dimension, system)})"
    where = "" if reading.pose is None else pose(reading.pose, system)
    return " ".join(part for part in (what, where, printable(reading.case)) if part)


def known_in_part(reading: Reading, system: System) -> str:
    """The known part of a quantity that is not checked, and the limit for the whole; "" where nothing is known."""
    what = found(reading, system)
    return f"{title(reading)}: {what} of what is known; wanted {wanted(reading, system)}" if what else ""


def pose(at: PoseName, system: System) -> str:
    """Place in the travel: `at full bump (axle 4.00 in up)`."""
    parts = []
    if at.heave:
        rise = amount(abs(at.heave), Dimension.LENGTH, system, min(2, USUAL[system][Dimension.LENGTH].decimals))
        parts.append(f"axle {rise} {'up' if at.heave > 0 else 'down'}")
    if at.roll:
        tilt = amount(abs(at.roll), Dimension.ANGLE, system)
        parts.append(f"{'left' if at.roll > 0 else 'right'} side {tilt} up")
    if at.lock:
        turned = amount(abs(at.lock), Dimension.ANGLE, system)
        parts.append(f"wheels {turned} to the {'left' if at.lock > 0 else 'right'}")
    details = ", ".join(parts)
    name = printable(at.name)
    if name:
        return f"at {name} ({details})" if details else f"at {name}"
    return f"with the {details}" if details else "at ride height"


def wanted(reading: Reading, system: System) -> str:
    """The limit or requirement: `at most 8.00 deg`, `between 2.00 in and 3.00 in`, or a requirement's words."""
    shown = measured(reading, system)
    limit = between(shown.lowest, shown.highest) or printable(reading.required)
    if not tolerance(reading, system):
        return limit
    return f"{limit}, of which {tolerance(reading, system)} is the tolerance of the readings compared"


def tolerance(reading: Reading, system: System) -> str:
    """Tolerance of the readings that a value compares: `0.13 in`; "" where it compares none."""
    if not reading.tolerance or reading.dimension is None:
        return ""
    return rough_difference(reading.tolerance, reading.dimension, system)


def between(lowest: str, highest: str) -> str:
    """A range by its ends as shown; "" for an end without a bound."""
    if lowest and highest:
        return f"between {lowest} and {highest}"
    return f"at least {lowest}" if lowest else f"at most {highest}" if highest else ""


def margin(reading: Reading, system: System) -> str:
    """The margin: `4.40 deg over`, `1.20 in short`, `0.38 in below` a range, `3.60 deg to spare`; ""
    where there is no such number."""
    size = measured(reading, system).margin
    if not size or reading.value is None or reading.margin is None:
        return ""
    if reading.margin == 0:
        return "nothing to spare"
    if reading.dimension is Dimension.RATIO:  # a difference of two shares is no share
        size = f"{size.removesuffix(' %')} points"
    if reading.margin > 0:
        return f"{size} to spare"
    short = reading.lowest is not None and reading.value < reading.lowest
    if reading.lowest is not None and reading.highest is not None:
        return f"{size} {'below' if short else 'above'}"
    return f"{size} {'short' if short else 'over'}"


def plus_or_minus(reading: Reading, system: System) -> str:
    """Uncertainty of the value: `0.15 deg`; "" where it was not worked out."""
    if reading.dimension is None or reading.plus_or_minus is None:
        return ""
    if reading.plus_or_minus == 0.0:
        return "as written"
    if not math.isfinite(reading.plus_or_minus):
        return "not known"
    return rough_difference(reading.plus_or_minus, reading.dimension, system)


def how_sure(reading: Reading, system: System) -> str:
    """The same with what follows where that is more than the margin."""
    size = plus_or_minus(reading, system)
    if not size or size == "as written":
        return size
    if size == "not known":
        return "within no bounds: with everything off by its tolerance it cannot be read in every case"
    if not reading.too_near_to_tell:
        return f"plus or minus {size}"
    measure = printable(reading.depends_on) or "finer"
    how = f"measure {measure}" if measure == "finer" else f"measure {measure} finer, which moves it most,"
    return f"plus or minus {size}, more than its margin: {how} before relying on it"


def effect(reading: Reading) -> str:
    """Effect of the number on the road; "" within limits, where it would describe a fault that is not
    there."""
    found = (Verdict.ERROR, Verdict.WARNING, Verdict.WAIVED)
    return printable(reading.effect) if reading.verdict in found else ""


def basis(reading: Reading) -> str:
    """Basis of the limit: the source and what it says, or common practice."""
    return "" if reading.basis is None else printable(str(reading.basis))


def whole_basis(reading: Reading, system: System) -> str:
    """The same and, where a shop standard has changed the limit, what is built in and why."""
    return "; ".join(part for part in (basis(reading), replaced(reading, system)) if part)


def replaced(reading: Reading, system: System) -> str:
    """The built-in limit where a shop standard has changed it: `the built-in limit is at most 5.00 deg, common
    practice, no source: ...`; "" where it has not."""
    old = reading.replaced
    if old is None:
        return ""
    why = printable(str(old.basis))
    if old.if_not is not None:
        return f"built in, it is {old.if_not.value} if not met, {why}"
    if reading.dimension is None or (old.lowest is None and old.highest is None):
        return "there is no such limit built in"
    lowest, highest = (
        "" if end is None else limit_amount(end, reading.dimension, system) for end in (old.lowest, old.highest)
    )
    return f"the built-in limit is {between(lowest, highest)}, {why}"


def loosened(reading: Reading, system: System) -> str:
    """Verdict by a looser limit of the shop's standard and by the built-in one, with both limits:
    `within limits by the shop standard (at most 89.00 deg), error as built in (at most 10.00 deg)`; "" where the two
    agree. A value that leaves something out is `not checked; error by the built-in limit ...`."""
    milder = reading.loosened
    if milder is None:
        return ""
    verdict = reading.verdict if reading.waived is None else reading.waived.instead_of
    own = _limit_of(reading, milder.lowest, milder.highest, system)
    built_in = _limit_of(reading, milder.built_in_lowest, milder.built_in_highest, system)
    if verdict is Verdict.NOT_CHECKED:
        built_in_verdict = f"{milder.instead_of.value} by the built-in limit{built_in}"
        return f"not checked; {built_in_verdict}, and not by the shop standard's{own}"
    return f"{in_words(verdict)} by the shop standard{own}, {milder.instead_of.value} as built in{built_in}"


def in_words(verdict: Verdict) -> str:
    """A verdict as a sentence has it: `within limits` for ok, else its name."""
    return "within limits" if verdict is Verdict.OK else verdict.value


def _limit_of(reading: Reading, lowest: float | None, highest: float | None, system: System) -> str:
    """A range in brackets; "" for a requirement, which has none."""
    dimension = reading.dimension
    if dimension is None:
        return ""
    ends = ("" if end is None else limit_amount(end, dimension, system) for end in (lowest, highest))
    return f" ({between(*ends) or 'no limit'})"


def loosened_tally(readings: Sequence[Reading]) -> str:
    """The number of readings that a looser limit of the shop's standard makes milder: `28 readings pass and 2 are
    warnings and not errors only by a looser limit of the shop standard`; "" where it makes none so. What was not
    checked, and breaks the built-in limit as far as it is known, is counted by itself."""
    unchecked = [reading for reading in readings if reading.verdict is Verdict.NOT_CHECKED]
    passing = sum(reading.verdict is Verdict.OK for reading in readings)
    milder = len(readings) - passing - len(unchecked)
    passes = f"{count(passing, 'reading')} pass{'es' if passing == 1 else ''}" if passing else ""
    are = "is a warning and not an error" if milder == 1 else "are warnings and not errors"
    warns = f"{count(milder, 'reading')} {are}" if milder else ""
    only = " and ".join(part for part in (passes, warns) if part)
    made = [f"{only} only by a looser limit of the shop standard"] if only else []
    for verdict in (Verdict.ERROR, Verdict.WARNING):
        number = sum(reading.loosened is not None and reading.loosened.instead_of is verdict for reading in unchecked)
        one, many = f"is {_A[verdict]}", f"are {verdict.value}s"
        if number:
            made.append(
                f"{count(number, 'reading')} not checked that {one if number == 1 else many} by the built-in limit, "
                "and not by the looser one of the shop standard"
            )
    return "; ".join(made)


_A = {Verdict.ERROR: "an error", Verdict.WARNING: "a warning"}


def switched_off_tally(names: Sequence[str]) -> str:
    """Number and names of the rules, and of the single limits (`rule/limit`), that the shop's standard switches off;
    "" for none."""
    limits = [name for name in names if "/" in name]
    rules = [name for name in names if name not in limits]
    said = [f"{count(len(of), what)} switched off" for of, what in ((rules, "rule"), (limits, "limit")) if of]
    return f"{' and '.join(said)} by the shop standard: {', '.join((*rules, *limits))}" if names else ""


def subject(reading: Reading) -> str:
    """The part, and which of several of it: `left arm, frame joint`."""
    return printable(", ".join(part for part in (reading.subject, reading.of) if part))


def title(reading: Reading) -> str:
    """Subject and meaning: `left lower arm: slope seen from the side`."""
    return f"{subject(reading)}: {printable(reading.meaning)}"


def cure_amount(cure: Cure, system: System) -> str:
    """The amount of a cure as an instruction gives it, a length in fractions of an inch: exactly the amount that was
    tried. "" for words alone."""
    if cure.amount is None or cure.dimension is None:
        return ""
    if cure.dimension is Dimension.LENGTH and system is System.INCH_POUND and _in_sixteenths(cure.amount):
        return show_fraction(cure.amount, system)
    start = parse(0, cure.dimension, system) if any(edit.adds for edit in cure.edits) else 0.0
    return _in_full(cure.amount + start, cure.dimension, system)


def cure_change(cure: Cure, system: System) -> str:
    """The signed change of the input, exactly: `+0.625 in`; "" where there is none."""
    if cure.change is None or cure.dimension is None:
        return ""
    return _in_full(cure.change + parse(0, cure.dimension, system), cure.dimension, system, sign=True)


def _in_sixteenths(length: float) -> bool:
    """Whether a length (m) is a whole number of sixteenths of an inch, and not zero."""
    count = length / float(INCH) * 16
    return math.isfinite(count) and round(count) != 0 and abs(count - round(count)) < 1e-6


def _in_full(value: float, dimension: Dimension, system: System, *, sign: bool = False) -> str:
    """An SI value with as few decimals as give it exactly; with the usual ones where none do."""
    digits = _fewest_digits(value, dimension, system, range(FINER))
    return show(value, dimension, system, digits=digits, sign=sign)


def waived_by(reading: Reading) -> str:
    """By whom and when a reading was waived: `shop foreman, 2026-03-14`; "" for one that is not waived."""
    return "" if reading.waived is None else printable(f"{reading.waived.who}, {reading.waived.date}")


def rule_and_quantity(reading: Reading) -> str:
    """The rule, and its limit or requirement where one was reached: `link-flatness, slope-at-ride`; with the stage of
    the check where that is a later one."""
    later = "" if reading.from_stage is None else f"checked from the stage {reading.from_stage.value} on"
    return printable(", ".join(name for name in (reading.rule, reading.quantity, later) if name))


def change(cure: Cure, system: System) -> str:
    """The change: `move the bar's frame end up 5/8 in (lateral_bar.frame.z by +0.63 in)`."""
    text = printable(cure.words).replace("{amount}", cure_amount(cure, system))
    by = cure_change(cure, system)
    if by and cure.path:
        return f"{text} ({printable(' and '.join((cure.path, *cure.also)))} by {by})"
    return text


def assumption(assumed: Assumption, system: System) -> str:
    """An assumption, without its place: `radial stiffness of a rubber joint: assumed 29000 lb/in`."""
    basis = f" ({assumed.basis})" if assumed.basis else ""
    return printable(f"{assumed.what}: assumed {assumed_amount(assumed, system)}{basis}")


def assumed_amount(assumed: Assumption, system: System) -> str:
    """The assumed value, in the shop's unit: `29000 lb/in`, `0.8 g`."""
    if assumed.dimension is None:
        return f"{assumed.value:g} {assumed.unit}".rstrip()
    if assumed.dimension is Dimension.RATIO:
        return f"{100 * assumed.value:.3g} %"
    if assumed.dimension is Dimension.STIFFNESS:
        return rough_amount(assumed.value, assumed.dimension, system)
    return amount(assumed.value, assumed.dimension, system)


def kind_of_build(build: Build) -> str:
    """Kind of build, from the parts in the spec: `front axle, driven; 2 radius arms, lateral
    bar`."""
    axle = []
    if build.has("axle"):
        axle.append(f"{build.axle.position} axle" if build.axle.has("position") else "axle")
        if build.axle.has("driven"):
            axle.append("driven" if build.axle.driven else "not driven")
    parts = []
    if build.has("links"):
        kinds = [link.kind for name in build.links for link in build.links[name]]
        for kind, called in (("radius-arm", "radius arm"), ("two-point", "two-point link")):
            if kind in kinds:
                parts.append(count(kinds.count(kind), called))
    parts.extend(name for name in ("lateral_bar", "steering") if build.has(name))
    parts.extend(
        name for name in ("coilovers", "limit_straps", "bump_stops", "driveshaft", "brake_lines") if build.has(name)
    )
    halves = (", ".join(axle), ", ".join(part.replace("_", " ") for part in parts))
    return "; ".join(half for half in halves if half)
