"""The order and cut lists in words, for every format of them."""

from __future__ import annotations

from collections.abc import Iterable

from buildcheck.job.parts_list import Span
from buildcheck.output import parts_words, words
from buildcheck.output.stated_words import as_pair
from buildcheck.output.words import printable
from buildcheck.shop.order_list import Cut, Line, OrderList, Packed
from buildcheck.spec.quantity import Dimension, System

HEADS = (
    "Joint to joint is at ride height. A cut length is that less what the joints take up with their threads screwed in "
    "as planned, which is mid adjustment. Measure on the tacked truck before you cut."
)


def state(listed: OrderList) -> str:
    """How many lines still lack something."""
    every = len(listed.cuts) + len(listed.lines)
    if listed.empty:
        return "The spec has no part to cut or to order."
    if not listed.incomplete:
        return f"Nothing is missing in {words.count(every, 'line')}."
    lack = "lacks something, and says what" if listed.incomplete == 1 else "lack something; each says what"
    return f"{listed.incomplete} of {words.count(every, 'line')} {lack}."


def cut_length(cut: Cut, system: System) -> str:
    """The length to cut: `30.500 in (30 1/2 in)`, or why it is not known."""
    return f"{no_length(cut)}: {printable(cut.why)}" if cut.length is None else parts_words.length(cut.length, system)


def no_length(cut: Cut) -> str:
    """The words where there is no length to cut."""
    return "no one length" if cut.set_up_by else "not known"


def how_cut(cut: Cut, system: System) -> str:
    """The length from joint to joint, and what each joint takes up; "" where that is not known."""
    if cut.joint_to_joint is None:
        return ""
    whole = parts_words.length(cut.joint_to_joint, system)
    less = [f"{taken.end} {words.amount(taken.length, Dimension.LENGTH, system)}" for taken in cut.takes]
    others = [f"; {span.name} {_span(span, system)}" for span in cut.set_up_by]
    return f"{whole} joint to joint{f', less {_and(less)}' if less else ''}{''.join(others)}"


def _span(span: Span, system: System) -> str:
    return f"not known, {span.why}" if span.value is None else parts_words.length(span.value, system)


def _and(parts: list[str]) -> str:
    return " and ".join(parts)


def of_line(line: Line, system: System) -> str:
    """The words by which a line is ordered: `rod-end, thread 7/8-14`, or that the spec says nothing of it."""
    return parts_words.facts(line.facts, system) or "not in the spec"


def used_for(line: Line) -> str:
    """The parts that the things of a line are for, left and right as one."""
    return printable(", ".join(_both(line.used_for, "left ", "right ", "left and right ")))


def lacks(paths: Iterable[str]) -> str:
    """Spec paths that are missing, left and right as one: `thread, thread_hand of lateral_bar.joints.axle`."""
    keys: dict[str, list[str]] = {}
    for path in _of_both_sides(paths):
        holder, _, key = path.rpartition(".")
        keys.setdefault(holder, []).append(key)
    holders: dict[str, list[str]] = {}
    for holder, names in keys.items():
        holders.setdefault(", ".join(names), []).append(holder)
    return printable("; ".join(f"{names} of {', '.join(of)}" for names, of in holders.items()))


def _both(names: Iterable[str], left: str, right: str, both: str) -> list[str]:
    """Names of which the left and the right one are given as one."""
    every = list(dict.fromkeys(names))
    mirrored = {name for name in every if left in name and name.replace(left, right, 1) in every}
    other = {name.replace(left, right, 1) for name in mirrored}
    return [name.replace(left, both, 1) if name in mirrored else name for name in every if name not in other]


def _of_both_sides(paths: Iterable[str]) -> list[str]:
    """Spec paths of which the left and the right one are given as one, where a spec may write both sides once."""
    every: dict[str, list[str]] = {}
    for path in dict.fromkeys(paths):
        every.setdefault(as_pair(path), []).append(path)
    return [shown for pair, of in every.items() for shown in ([pair] if len(of) > 1 else of)]


def packed(one: Packed) -> str:
    """How a part on the packing list comes along: `2 needed, 2 ordered, 2 arrived; not inspected`."""
    counted = [
        f"{number} {name}"
        for name, number in (("needed", one.needed), ("ordered", one.ordered), ("arrived", one.arrived))
        if number is not None
    ]
    left = "; ".join(one.lacks)
    return f"{', '.join(counted)}; {left}" if left and counted else left or f"{', '.join(counted)}, inspected"
