"""Wheelbase, track, tyres, masses and links are in proportion."""

from collections.abc import Iterator
from typing import NamedTuple

from buildcheck.api import (
    Area,
    Build,
    Dimension,
    Finding,
    Job,
    Limit,
    Link,
    Missing,
    Part,
    Sample,
    Verdict,
    common_practice,
    does_not_apply,
    hold,
    rule,
    within,
)

PROPORTION = common_practice(
    "from small off-road vehicles to medium trucks; outside of it a number or its unit is wrong more often than not"
)


def _limit(name: str, meaning: str, warning: tuple[str, str] | tuple[None, None], error: tuple[str, str]) -> Limit:
    return Limit(name, meaning, Dimension.RATIO, within(warning=warning, error=error), basis=PROPORTION)


WHEELBASE_TO_TRACK = _limit(
    "wheelbase-to-track", "wheelbase as a share of the track", ("125 %", "350 %"), ("100 %", "450 %")
)
WHEELBASE_TO_TYRE = _limit(
    "wheelbase-to-tyre", "wheelbase as a share of the tyre's diameter", ("200 %", "750 %"), ("150 %", "1000 %")
)
TRACK_TO_TYRE = _limit(
    "track-to-tyre", "track as a share of the tyre's diameter", ("130 %", "320 %"), ("100 %", "400 %")
)
TYRE_WIDTH = _limit("tyre-width", "width of the tyre as a share of its diameter", ("20 %", "55 %"), ("12 %", "75 %"))
WEIGHT_HEIGHT = _limit(
    "weight-height",
    "height of the centre of gravity as a share of the track",
    ("25 %", "80 %"),
    ("15 %", "110 %"),
)
AXLE_SHARE = _limit(
    "axle-share", "load on the axle as a share of the vehicle's mass", ("25 %", "80 %"), ("12 %", "90 %")
)
UNSPRUNG_SHARE = _limit(
    "unsprung-share", "unsprung mass as a share of the load on the axle", ("10 %", "50 %"), ("5 %", "65 %")
)
UNSPRUNG_OF_ALL = _limit(
    "unsprung-of-all",
    "unsprung mass as a share of the vehicle's mass, where the load on the axle is not stated",
    ("3 %", "40 %"),
    ("1.5 %", "60 %"),
)
LINK_TO_WHEELBASE = _limit(
    "link-to-wheelbase", "length of a link as a share of the wheelbase", ("8 %", "65 %"), ("4 %", "90 %")
)

# Pounds in a kilogram, the factor by which a mass in the wrong one of these units is off. The pound is exact by NIST
# Special Publication 811, appendix B (from memory).
POUNDS = 1 / 0.45359237


MIXED_UP = "one of the two may be in kg and written as lb, or in lb and written as kg"


class Compared(NamedTuple):
    """Two numbers of the spec, the limit of their ratio, the place of the first, and what the two are called."""

    limit: Limit
    size: float
    other: float
    place: str
    called: str
    of: str = ""


@rule(
    "vehicle-proportions",
    area=Area.RECORDS,
    subject="build",
    limits=(
        WHEELBASE_TO_TRACK,
        WHEELBASE_TO_TYRE,
        TRACK_TO_TYRE,
        TYRE_WIDTH,
        WEIGHT_HEIGHT,
        AXLE_SHARE,
        UNSPRUNG_SHARE,
        UNSPRUNG_OF_ALL,
        LINK_TO_WHEELBASE,
    ),
    samples=(
        Sample("a longer wheelbase", {"vehicle.wheelbase": 140}),
        Sample(
            "a wheelbase of less than the track",
            {"vehicle.wheelbase": 66},
            {"wheelbase-to-track": Verdict.ERROR, "wheelbase-to-tyre": Verdict.WARNING},
        ),
        Sample(
            "an unsprung mass in pounds, written as kilograms",
            {"vehicle.unsprung_mass": "640 kg"},
            {"unsprung-share": Verdict.WARNING},
        ),
    ),
)
def vehicle_proportions(job: Job, build: Build) -> Iterator[Finding]:
    """Wheelbase, track, tyres, masses and links are in proportion.

    What it checks: the wheelbase against the track and the tyres, the track against the tyres, a tyre's width against
    its diameter, the height of the centre of gravity against the track, the load on the axle against the vehicle's
    mass, the unsprung mass against the load on the axle, and the length of each link against the wheelbase. What is not
    stated contradicts nothing.

    Why: all other rules believe the spec. A wheelbase that is half of the truck's may still be one of some truck, and
    then the loads and the anti-dive are those of that one.

    How it is computed: by dividing the one by the other.

    To put it right: look up or measure again what is named, and its unit.
    """
    compared = [*_vehicle(build), *_masses(build), *_links(job)]
    for one in compared:
        yield hold(
            one.limit,
            one.size / one.other,
            place=one.place,
            of=one.of,
            effect="the loads are computed for a truck that does not exist",
            cure=f"look up or measure {one.called} again{_unit_mixed_up(one)}",
        )
    if not compared:
        yield does_not_apply("no two sizes are stated that can be compared")


def _unit_mixed_up(one: Compared) -> str:
    """The advice to look at the unit of a mass, where pounds for kilograms would explain the ratio."""
    if one.limit not in (AXLE_SHARE, UNSPRUNG_SHARE, UNSPRUNG_OF_ALL):
        return ""
    ratios = (one.size / one.other * POUNDS, one.size / one.other / POUNDS)
    explained = any(one.limit.bounds.verdict(ratio) is Verdict.OK for ratio in ratios)
    return f", and its unit: {MIXED_UP}" if explained else ""


def _vehicle(build: Build) -> Iterator[Compared]:
    if not build.has("vehicle"):
        return
    vehicle = build.vehicle
    tyre = vehicle.tyre if vehicle.has("tyre") else None
    yield from _of(WHEELBASE_TO_TRACK, vehicle, "wheelbase", vehicle, "track", "the wheelbase and the track")
    if tyre is not None:
        yield from _of(WHEELBASE_TO_TYRE, vehicle, "wheelbase", tyre, "diameter", "the wheelbase and the tyre")
        yield from _of(TRACK_TO_TYRE, vehicle, "track", tyre, "diameter", "the track and the tyre")
        yield from _of(TYRE_WIDTH, tyre, "width", tyre, "diameter", "the tyre")
    called = "the height of the centre of gravity and the track"
    yield from _of(WEIGHT_HEIGHT, vehicle, "centre_of_gravity_height", vehicle, "track", called)


def _masses(build: Build) -> Iterator[Compared]:
    if not build.has("vehicle"):
        return
    vehicle = build.vehicle
    yield from _of(
        AXLE_SHARE, vehicle, "axle_load", vehicle, "total_mass", "the load on the axle and the vehicle's mass"
    )
    called = "the unsprung mass and the load on the axle"
    yield from _of(UNSPRUNG_SHARE, vehicle, "unsprung_mass", vehicle, "axle_load", called)
    if not vehicle.has("axle_load"):
        called = "the unsprung mass and the vehicle's mass"
        yield from _of(UNSPRUNG_OF_ALL, vehicle, "unsprung_mass", vehicle, "total_mass", called)


def _links(job: Job) -> Iterator[Compared]:
    build = job.build
    if not (build.has("links") and build.has("vehicle") and build.vehicle.has("wheelbase")):
        return
    for link in job.subjects("link"):
        assert isinstance(link, Link)
        try:
            length = job.drawn_length(link)
        except Missing:
            continue
        place, called = link.path_of("frame"), f"the points of the {link.label} and the wheelbase"
        yield Compared(LINK_TO_WHEELBASE, length, build.vehicle.wheelbase, place, called, link.label)


def _of(limit: Limit, part: Part, name: str, other: Part, other_name: str, called: str) -> Iterator[Compared]:
    if part.has(name) and other.has(other_name):
        yield Compared(limit, getattr(part, name), getattr(other, other_name), part.path_of(name), called)
