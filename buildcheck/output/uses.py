"""The use of each computed number of an output: a rule compares it with a limit, or it is for information only.

A number is known by its place in the JSON of the output, and the section of the spec whose parts it is of. Every number
that an output computes is in one of the two lists, so that none passes for checked which is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple


class Numbers(NamedTuple):
    """Some numbers of an output: their place in its JSON, and the section of the spec that the parts are in."""

    place: str
    section: str


JOINTS = ("joint-bolt/strength",)
LINKS = ("link-strength/joint-load", "link-strength/stress", "link-strength/buckling")
FEET = ("weld-size/throat-stress", "weld-size/base-metal", "bolted-bracket/bolts-carry", "bracket-plate/root")

COMPARED: Mapping[str, Mapping[Numbers, tuple[str, ...]]] = {
    "loads": {
        Numbers("corners[].weights", "vehicle"): ("wheel-contact/weight-left",),
        Numbers("parts[].forces", "links"): LINKS,
        Numbers("parts[].forces", "lateral_bar"): LINKS,
        Numbers("parts[].forces", "bump_stops"): ("bump-stop-engagement/stop-force",),
        Numbers("parts[].forces", "limit_straps"): ("link-strength/strap-load",),
        Numbers("parts[].forces", "coilovers"): JOINTS,
        Numbers("joints[].forces", "links"): ("link-strength/joint-load", *JOINTS),
        Numbers("joints[].forces", "lateral_bar"): ("link-strength/joint-load", *JOINTS),
        Numbers("joints[].forces", "coilovers"): JOINTS,
        Numbers("joints[].forces", "limit_straps"): ("link-strength/strap-load", *JOINTS),
        Numbers("links[].bending_moments", "links"): ("link-strength/stress",),
        Numbers("links[].bending_moments", "lateral_bar"): ("link-strength/stress",),
        Numbers("links[].thrusts", "links"): ("link-strength/stress",),
        Numbers("links[].thrusts", "lateral_bar"): ("link-strength/stress",),
        Numbers("links[].pressed", "links"): ("link-strength/buckling",),
        Numbers("links[].pressed", "lateral_bar"): ("link-strength/buckling",),
        Numbers("links[].stresses", "links"): ("link-strength/stress",),
        Numbers("links[].stresses", "lateral_bar"): ("link-strength/stress",),
        Numbers("brackets[].bears", "attachments"): ("stated-values/design-load",),
        Numbers("brackets[].foot.shears", "attachments"): FEET,
        Numbers("brackets[].foot.pulls", "attachments"): FEET,
        Numbers("brackets[].foot.twists", "attachments"): FEET,
        Numbers("brackets[].foot.tips", "attachments"): FEET,
    },
    "inspection": {
        Numbers("parts.listed[].lengths", "links"): ("vehicle-proportions/link-to-wheelbase",),
        Numbers("parts.listed[].lengths", "limit_straps"): ("limit-strap-length/slack-at-ride",),
        Numbers("parts.listed[].lengths", "driveshaft"): ("baseline/driveshaft-length",),
    },
}
"""The rules and limits that compare numbers of an output: themselves, or a value that follows from them alone and from
what the spec states."""

FOR_INFORMATION: Mapping[str, Mapping[Numbers, str]] = {
    "loads": {
        Numbers("joints[].forces", "bump_stops"): "forces at the two ends of bump stops",
        Numbers("joints[].forces", "steering"): "forces at the steering damper",
        Numbers("brackets[].forces", "attachments"): "net forces on brackets",
        Numbers("brackets[].moments", "attachments"): "moments on brackets",
    },
    "inspection": {
        Numbers("parts.listed[].lengths", "lateral_bar"): "the lateral bar's length as drawn",
        Numbers("parts.listed[].lengths", "steering"): "lengths of the steering's rods",
        Numbers("parts.listed[].lengths", "coilovers"): "lengths of coilovers at ride height",
        Numbers("parts.listed[].lengths", "attachments"): "lengths of gussets and braces",
        Numbers("parts.listed[].lengths", "brake_lines"): "distances between the ends of brake lines",
    },
}
"""Numbers that no rule compares as they are, in words."""


def in_words(output: str, sections: Iterable[str]) -> str:
    """Sentence with the numbers of an output that are for information only, of the sections that a spec has; empty
    where there are none."""
    there = set(sections)
    named = [said for numbers, said in FOR_INFORMATION[output].items() if numbers.section in there]
    return f"No rule compares these with a limit: {'; '.join(named)}." if named else ""


def as_json(output: str, sections: Iterable[str]) -> list[dict[str, Any]]:
    """The same for JSON: the place of the numbers in it, the section of the spec, and the numbers in words."""
    return list(_listed(output, set(sections)))


def _listed(output: str, sections: set[str]) -> Iterator[dict[str, Any]]:
    for numbers, said in FOR_INFORMATION[output].items():
        if numbers.section in sections:
            yield {"numbers": numbers.place, "section": numbers.section, "words": said}
