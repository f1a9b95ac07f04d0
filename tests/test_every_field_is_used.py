"""Every field that a spec may have is used: taken out or spoiled, it changes something that an inspection gives.

A field that is stated and never read passes in silence whatever it says. So each field of each class, where a spec of
`whole_specs.py` states it, is taken out (then a reading, an assumption or a `not checked` changes) and spoiled (then a
value, a verdict or a limit changes: that a field is there is no use of it).
"""

from __future__ import annotations

from functools import cache

import pytest
from sampling import sampled
from spoiled_fields import Place, Whole, patterns, spoils
from whole_specs import WHOLE

FIELDS = patterns()
USED = sorted(pattern for pattern, said in FIELDS.items() if not said.for_people)

# Values that are treated alike on purpose, by field; the reason is said for each.
ALIKE: dict[str, tuple[str, frozenset[str]]] = {
    "links.*.section.shape": (
        "a rectangular tube and a box of plates have one section",
        frozenset({"rectangular-tube"}),
    ),
    "shop": ("the plugin that owns a shop's fields reads them; here none does", frozenset({"other keys"})),
}


# Fields whose checks are still to come, and who will read them. An entry that is not needed any more fails.
NOT_YET = {
    f"steering.{rod}.joints.{end}.{field}": reader
    for rod, ends in (("drag_link", ("pitman", "arm")), ("tie_rod", ("left", "right")))
    for end in ends
    for field, reader in (
        ("radial_stiffness", "the give of the steering's joints"),
        ("torsional_stiffness", "the give of the steering's joints"),
    )
}


@cache
def whole(name: str) -> Whole:
    return Whole(WHOLE[name]())


@cache
def stated(name: str) -> dict[str, list[Place]]:
    """The places where a spec states each field, by the field's pattern."""
    found: dict[str, list[Place]] = {}
    for place in whole(name).places:
        found.setdefault(place.pattern, []).append(place)
    return found


def unseen(pattern: str) -> set[str]:
    """The ways to spoil a field that change nothing wherever a spec states it."""
    assert any(pattern in stated(name) for name in WHOLE), f"no spec states {pattern}"
    seen: dict[str, bool] = {}
    for name in WHOLE:
        for place in stated(name).get(pattern, []):
            for spoil in spoils(whole(name).build, place):
                if not seen.get(spoil.name):
                    changes = whole(name).seen(place, spoil.value)
                    if changes is not None:
                        seen[spoil.name] = changes
    return {name for name, changes in seen.items() if not changes}


def test_the_specs_together_state_every_field() -> None:
    every = {pattern for name in WHOLE for pattern in stated(name)}
    assert set(USED) - every == set()
    assert every - set(FIELDS) == set()


@sampled(20, each=lambda pattern: pattern.partition(".")[0])
@pytest.mark.parametrize("pattern", USED)
def test_a_field_changes_what_is_computed(pattern: str) -> None:
    alike = ALIKE[pattern][1] if pattern in ALIKE else frozenset()
    nothing = unseen(pattern) - alike
    assert bool(nothing) == (pattern in NOT_YET), sorted(nothing)


def test_the_fields_still_to_come_are_fields() -> None:
    assert set(NOT_YET) <= set(USED)
