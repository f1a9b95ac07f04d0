"""What plugins add goes with the build: two sets of plugins in use at once never see each other's names."""

from __future__ import annotations

import copy
import pickle
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

import numpy as np
import pytest
from buildcheck_rules.spec_consistency import rule as spec_consistency
from made_plugins import a_quantity

from buildcheck.api import BoltGrade, JointKind, Metal, ShopFields, inspect
from buildcheck.build import read_build
from buildcheck.job import Job
from buildcheck.job.cycle import cycle
from buildcheck.plugins.loading import Collected
from buildcheck.spec.additions import NOTHING_ADDED, Additions
from buildcheck.spec.schema import problems_in
from buildcheck.testing import changed, document_of, sound_spec

JOINT = "links.arm.both.joints.axle_upper"
BOLTS = "attachments.arm_axle_bracket.both"


class Seen(NamedTuple):
    """What one set of plugins makes of a spec."""

    stiffness: float
    metal: str
    proof_load: float
    unowned: str
    quantities: tuple[str, ...]
    room: float


def plugins(key: str, stiffness: float, metal: str, strength: str, of: Callable[[Any], Any]) -> Collected:
    """Plugins that give the same names another meaning, and own another key under `shop`."""
    return Collected(
        joint_kinds=(JointKind("dry-bushing", f"{stiffness} N/m"),),
        metals=(Metal("shop-metal", metal),),
        bolt_grades=(BoltGrade("shop-9", strength, "2 in"),),
        shop_fields=(ShopFields(key, {"type": "object"}),),
        quantities=(a_quantity(name=f"{key}-room", of=of),),
    )


def seen(collected: Collected) -> Seen:
    data = changed(
        sound_spec(),
        {
            JOINT: {"kind": "dry-bushing"},
            "axle.tube.material": "shop-metal",
            "lateral_bar.joints.frame.bolt.grade": "shop-9",
            "shop.first": {},
            "shop.second": {},
        },
    )
    document = document_of(data)
    assert problems_in(document, additions=collected.additions) == ()
    build = read_build(document.data, collected.additions)
    job = Job(build)
    assert job.free_motions == ()
    (assumed,) = {each.value for each in job.assumptions if each.what == "radial stiffness of a dry-bushing joint"}
    (unowned,) = [each.reason for each in inspect(build, [spec_consistency]).readings if "plugin" in each.reason]
    columns = {column.quantity.name: column.values for column in cycle(build).columns}
    rooms = tuple(name for name in columns if name.endswith("-room"))
    return Seen(
        stiffness=assumed,
        metal=build.axle.tube.material,
        proof_load=job.strengths.proof_load(build.lateral_bar.joints.frame.bolt),
        unowned=unowned.partition(",")[0],
        quantities=rooms,
        room=float(columns[rooms[0]][0]),
    )


AREA = 0.334 * 0.0254**2  # tensile stress area of 3/4-10, m2; table 8-2 of Shigley's 9th edition
FIRST = Seen(
    2e7, "gray-iron", pytest.approx(900e6 * AREA, rel=2e-3), "no plugin in use owns shop.second",
    ("first-room",), 1.0,
)  # fmt: skip
SECOND = Seen(
    3e7, "cast-steel", pytest.approx(700e6 * AREA, rel=2e-3), "no plugin in use owns shop.first",
    ("second-room",), 2.0,
)  # fmt: skip


def constant(value: float, also: Callable[[], object] = lambda: None) -> Callable[[Any], Any]:
    def of(moving: Any) -> Any:
        also()
        return np.full(len(moving.forward), value)

    return of


def first(also: Callable[[], object] = lambda: None) -> Collected:
    return plugins("first", 2e7, "gray-iron", "900 MPa", constant(1.0, also))


def second(also: Callable[[], object] = lambda: None) -> Collected:
    return plugins("second", 3e7, "cast-steel", "700 MPa", constant(2.0, also))


def test_two_threads_with_different_plugins_see_their_own() -> None:
    # Each waits for the other in the middle of its cycle, so that both sets are in use at the same time.
    both_are_in_it = threading.Barrier(2, timeout=60)
    with ThreadPoolExecutor(2) as pool:
        sets = (first(both_are_in_it.wait), second(both_are_in_it.wait))
        assert list(pool.map(seen, sets)) == [FIRST, SECOND]


def test_one_set_of_plugins_in_the_middle_of_another() -> None:
    inner: list[Seen] = []
    assert seen(first(lambda: inner.append(seen(second())))) == FIRST
    assert inner == [SECOND]


def test_a_set_inside_itself_and_again_after_it() -> None:
    inner: list[Seen] = []
    assert seen(second(lambda: inner.append(seen(second())))) == SECOND
    assert inner == [SECOND]
    assert seen(first()) == FIRST


def test_a_changed_build_keeps_its_additions() -> None:
    additions = first().additions
    build = read_build(sound_spec(), additions)
    assert build.with_value("travel.bump", 0.1).additions is additions
    assert read_build(sound_spec()).with_value("travel.bump", 0.1).additions is NOTHING_ADDED


def test_a_name_that_only_another_set_of_plugins_adds_is_refused() -> None:
    document = document_of(changed(sound_spec(), {"axle.tube.material": "shop-metal"}))
    (problem,) = problems_in(document)
    assert (problem.path, '"shop-metal"' in problem.sentence) == ("axle.tube.material", True)
    assert problems_in(document, additions=first().additions) == ()


def test_additions_are_equal_only_to_themselves_and_pickle() -> None:
    one, other = Additions(metals={"a": "gray-iron"}), Additions(metals={"a": "gray-iron"})
    assert one != other
    assert len({one, one, other}) == 2
    assert pickle.loads(pickle.dumps(one)).metals == {"a": "gray-iron"}
    assert pickle.loads(pickle.dumps(NOTHING_ADDED)) is NOTHING_ADDED
    assert copy.deepcopy(NOTHING_ADDED) is NOTHING_ADDED


def test_the_mapping_handed_in_can_change_nothing_afterwards() -> None:
    metals = {"a": "gray-iron"}
    additions = Additions(metals=metals)
    metals["b"] = "cast-steel"
    assert additions.metals == {"a": "gray-iron"}
