"""Sound builds spoiled harshly: up to sixteen of their numbers moved by up to three inches, or made a quarter more or
less."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from edges import EXAMPLES, example_data

from buildcheck.build import Build, Missing, Part, Point, read_build
from buildcheck.testing.rewritten import sides_written_out

NAMES = sorted(
    name
    for name in (path.relative_to(EXAMPLES).as_posix() for path in EXAMPLES.rglob("*.buildcheck.yaml"))
    if "faults" not in name and "minimal" not in name
)
SECTIONS = ("links", "coilovers", "limit_straps", "bump_stops", "brake_lines")
SINGLE = ("lateral_bar", "travel", "driveshaft", "steering.drag_link", "steering.tie_rod")

FARTHEST = 0.08  # m
MOST = 0.25  # of a length or an angle


def harsh(seed: int) -> Build:
    """The build of a seed; every second or so with its left and right sides written apart."""
    random = Random(seed)
    data = example_data(random.choice(NAMES))
    build = read_build(sides_written_out(data) if random.random() < 0.5 else data)
    paths = sorted({path for part in _parts(build) for path in _numbers(part)})
    for path in random.sample(paths, random.choice((2, 4, 8, 16))):
        is_now = build.value(path)
        if path.endswith((".x", ".y", ".z")):
            off = random.choice((1.0, 0.3)) * random.uniform(-FARTHEST, FARTHEST)
        else:
            off = is_now * random.uniform(-MOST, MOST)
        build = build.with_value(path, is_now + off)
    return build


def _parts(build: Build) -> Iterator[Part]:
    for section in SECTIONS:
        if build.has(section):
            for sides in getattr(build, section).values():
                yield from sides
    for path in SINGLE:
        try:
            yield build.value(path)
        except Missing:
            continue


def _numbers(part: Part) -> Iterator[str]:
    for name, value in part.given().items():
        if isinstance(value, Point):
            yield from (part.path_of(name, axis) for axis in "xyz")
        elif isinstance(value, float):
            yield part.path_of(name)
