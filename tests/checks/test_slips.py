"""Slips of the pen: what each one edits, and when it is offered."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from buildcheck.api import (
    Answer,
    Area,
    BumpStop,
    Coilover,
    Dimension,
    Link,
    ReadAs,
    Rule,
    SwapEnds,
    SwapSides,
    TurnSign,
    Vehicle,
    Verdict,
    Weld,
    Words,
    at_most,
    common_practice,
    inspect,
    met,
)
from buildcheck.build import Build, read_build
from buildcheck.checks.changes import Change
from buildcheck.job import Job
from buildcheck.testing import changed, sound_spec
from buildcheck.testing.rewritten import sides_written_out

BASIS = common_practice("a test")
NOTHING = Words("measure again")
MASS = Dimension.MASS
POUND = 0.45359237  # kg, exact; NIST Special Publication 811, appendix B, from memory


def a_build(change: Mapping[str, Any], *, apart: bool = False) -> Build:
    data = sound_spec()
    return read_build(changed(sides_written_out(data) if apart else data, change))


def offered(build: Build, subject: Any, change: Change, is_so: Callable[[Any], bool]) -> dict[str, str]:
    """The words of the change for each subject that breaks the requirement."""
    rule = Rule("a-test", area=Area.RECORDS, page="A test.\n\nA page.")

    @rule.must(subject, wanted="so", basis=BASIS, change=(change, NOTHING))
    def so(job: Job, part: Any) -> Answer:
        """It is so."""
        return met(is_so(part), "so", otherwise="not so")

    readings = inspect(build, [rule]).readings
    return {each.subject: each.cure.words for each in readings if each.cure is not None}


def after(build: Build, change: Change, subject: Any, number: int = 0) -> Build:
    """The build with one of the edits made that the change offers for a subject."""
    way = list(change.ways(Job(build), subject))[number]
    for path, value in way.edits(1):
        build = build.with_value(path, value)
    return build


def test_a_turned_sign_is_turned_back_on_both_sides_that_are_written_once() -> None:
    build = a_build({"bump_stops.stop.both.axis": [0, 0.2, 1]})
    change = TurnSign("axis", "z")
    words = "change the sign of z of bump_stops.stop.both.axis"
    assert offered(build, BumpStop, change, lambda stop: stop.axis.z < 0.0) == {
        "left bump stop": words,
        "right bump stop": words,
    }
    stops = after(build, change, build.bump_stops["stop"].left).bump_stops["stop"]
    assert (tuple(stops.left.axis), tuple(stops.right.axis)) == ((0, 0.2, -1), (0, -0.2, -1))


def test_several_signs_are_turned_at_once() -> None:
    build = a_build({"links.arm.left.frame": [-37, -16.5, 19.7], "links.arm.left.axle_upper": [3, -17.5, 18.4]})

    def fields(job: Job, link: Link) -> list[str]:
        return [
            link.path_of(name) for name in ("frame", "axle_upper") if getattr(link, name).y < 0.0 < link.axle_lower.y
        ]

    found = offered(build, Link, TurnSign(fields, "y"), lambda link: not fields(Job(build), link))
    assert found == {"left arm": "change the sign of y of links.arm.left.frame and links.arm.left.axle_upper"}
    link = after(build, TurnSign(fields, "y"), build.links["arm"].left).links["arm"].left
    assert (link.frame.y > 0, link.axle_upper.y > 0) == (True, True)


@pytest.mark.parametrize("shows", [True, False])
def test_ends_are_exchanged_only_where_something_else_shows_it_as_well(shows: bool) -> None:
    build = a_build({"coilovers.coilover.both.frame": [-2, 20, 20], "coilovers.coilover.both.axle": [-1.5, 18.5, 44]})
    change = SwapEnds("frame", "axle", where=lambda job, coilover: shows)
    exchange = "exchange coilovers.coilover.both.frame and coilovers.coilover.both.axle"
    words = exchange if shows else "measure again"
    assert offered(build, Coilover, change, lambda coilover: coilover.frame.z > coilover.axle.z) == {
        "left coilover": words,
        "right coilover": words,
    }


def test_exchanged_ends_keep_their_sides() -> None:
    build = a_build({})
    before = build.coilovers["coilover"]
    swapped = after(build, SwapEnds("frame", "axle"), before.right).coilovers["coilover"]
    for was, is_now in ((before.left, swapped.left), (before.right, swapped.right)):
        assert (is_now.frame, is_now.axle) == (was.axle, was.frame)


def test_sides_are_exchanged_where_both_are_written_and_both_are_then_so() -> None:
    points = {f"links.arm.{side}.frame": [-37, y, 19.7] for side, y in (("left", -16), ("right", 17))}
    build = a_build(points, apart=True)
    change = SwapSides(lambda link: link)
    words = "exchange the points of links.arm.left and links.arm.right"
    assert offered(build, Link, change, lambda link: (link.frame.y > 0) == (link.side == "left")) == {
        "left arm": words,
        "right arm": words,
    }
    swapped = after(build, change, build.links["arm"].left).links["arm"]
    assert (swapped.left.frame.y, swapped.right.frame.y) == pytest.approx((17 * 0.0254, -16 * 0.0254))
    one = a_build({**points, "links.arm.right.frame": [-37, -17, 19.7]}, apart=True)
    assert offered(one, Link, change, lambda link: (link.frame.y > 0) == (link.side == "left")) == {
        "left arm": "measure again"
    }
    assert list(change.ways(Job(a_build({})), a_build({}).links["arm"].left)) == []


@pytest.mark.parametrize(("number", "mass"), [(0, 640 * POUND), (1, 640 / POUND)])
def test_a_mass_is_read_in_the_other_unit_either_way(number: int, mass: float) -> None:
    build = a_build({"vehicle.unsprung_mass": "640 kg"})
    change = ReadAs("unsprung_mass", ("kg", "lb"), says="look at its unit")
    assert after(build, change, build.vehicle, number).vehicle.unsprung_mass == pytest.approx(mass)
    words = {"vehicle": "look at its unit"}
    assert offered(build, Vehicle, change, lambda vehicle: vehicle.unsprung_mass == pytest.approx(mass)) == words
    assert offered(build, Vehicle, change, lambda vehicle: vehicle.unsprung_mass < 200) == {"vehicle": "measure again"}


def test_a_temperature_is_read_with_the_zero_of_its_scale() -> None:
    build = a_build({"attachments.arm_axle_bracket.left.weld.preheat": "150 degC"})
    weld = build.attachments["arm_axle_bracket"].left.weld
    change = ReadAs("preheat", ("degC", "degF"), says="look at its unit")
    read = after(build, change, weld).attachments["arm_axle_bracket"].left.weld.preheat
    assert read == pytest.approx((150 + 459.67) * 5 / 9)  # kelvin, by the definition of the Fahrenheit scale
    assert isinstance(weld, Weld)


def test_a_slip_that_makes_something_else_worse_explains_nothing() -> None:
    """Another change would then be offered as one step of several."""
    build = a_build({"vehicle.unsprung_mass": "640 kg"})
    for most, words in (("700 lb", "look at its unit"), ("10 kg", "measure again")):
        rule = Rule("a-test", area=Area.RECORDS, page="A test.\n\nA page.")
        slip = ReadAs("unsprung_mass", ("kg", "lb"), says="look at its unit")

        @rule.check(
            Vehicle, at_most(error="650 lb", warning="650 lb"), basis=BASIS, change=(slip, NOTHING), dimension=MASS
        )
        def small(job: Job, vehicle: Vehicle) -> float:
            """Small."""
            return vehicle.unsprung_mass

        @rule.check(Vehicle, at_most(error=most), basis=BASIS, change=Words("weigh it"), dimension=MASS)
        def like_before(job: Job, vehicle: Vehicle) -> float:
            """Near to what it was, or below what is allowed."""
            return min(abs(vehicle.unsprung_mass - 640), vehicle.unsprung_mass)

        found = {each.quantity: each for each in inspect(build, [rule]).readings}
        assert found["like-before"].verdict is Verdict.OK
        cure = found["small"].cure
        assert cure is not None
        assert cure.words == words
