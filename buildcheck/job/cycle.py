"""`cycle`: move the axle from full droop to full bump, as on jack stands, and record its quantities."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from buildcheck.build import Build, Missing, Side
from buildcheck.job import Job
from buildcheck.job.curve import Array, PoseName, Unreached
from buildcheck.job.gaps import Gap
from buildcheck.job.lock import FullLock
from buildcheck.job.named_quantity import Absent, Quantity
from buildcheck.job.quantities import all_values
from buildcheck.job.travel_limits import TravelLimits

Found = TypeVar("Found")


class Column(NamedTuple):
    """One quantity over the travel, SI; NaN where the axle cannot reach the pose."""

    quantity: Quantity
    values: Array

    @property
    def spread(self) -> float:
        """Largest minus smallest of the values; NaN where there is none."""
        known = self.values[np.isfinite(self.values)]
        return float(known.max() - known.min()) if known.size else float("nan")


class AtLock(NamedTuple):
    """The wheels at full lock to one side with the axle at ride height, or the reason in words why they do not reach
    it."""

    side: Side
    found: FullLock | None
    in_the_way: str = ""


class Cycle(NamedTuple):
    """A cycle of the axle: the rise of its centre in each pose (m), the constant roll and lock (rad), and its
    quantities.

    `absent` lists what the build does not define, with the reason. `reached` is a mask of the poses that the axle can
    reach. `locks`, `limits` and `gaps` do not depend on the roll and lock of the cycle: the wheels at full lock, the
    ends of the travel each way, and the smallest gap of each part to another over travel, articulation and lock.
    """

    heave: Array
    roll: float
    lock: float
    reached: NDArray[np.bool_]
    columns: tuple[Column, ...]
    absent: tuple[Absent, ...]
    locks: tuple[AtLock, ...] = ()
    limits: TravelLimits | None = None
    gaps: tuple[Gap, ...] = ()

    @property
    def poses(self) -> tuple[PoseName, ...]:
        """Poses of the axle, each with its usual name if it has one."""
        named = {0.0: "ride height", float(self.heave[0]): "full droop", float(self.heave[-1]): "full bump"}
        return tuple(PoseName(float(at), self.roll, named.get(float(at), "")) for at in self.heave)

    def without_value(self, column: Column) -> NDArray[np.bool_]:
        """Mask of the poses that the axle reaches in which a quantity has no value, because its mechanism cannot
        follow."""
        return np.asarray(self.reached & np.isnan(column.values))

    @property
    def unbroken(self) -> bool:
        """Whether the axle reaches every pose, and every quantity has a value in each."""
        return bool(self.reached.all()) and not any(self.without_value(column).any() for column in self.columns)

    def only(self, names: Collection[str]) -> Cycle:
        """Return the cycle with only the quantities of these names, without locks, limits and gaps."""
        return Cycle(
            self.heave,
            self.roll,
            self.lock,
            self.reached,
            columns=tuple(column for column in self.columns if column.quantity.name in names),
            absent=tuple(absent for absent in self.absent if absent.name in names),
        )


def cycle(
    build: Build,
    *,
    steps: int = 5,
    roll: float = 0.0,
    lock: float = 0.0,
    after_each: Callable[[], object] = lambda: None,
) -> Cycle:
    """Move the axle from full droop to full bump in `steps` steps on each side of ride height.

    `roll` (rad, left side up positive) is constant; so is `lock`, the angle (rad, to the left positive) of the inner
    wheel at ride height in plan, like the spec's lock angle. `after_each` is called after each quantity, to show
    progress. Raises Missing when the spec states no travel or lacks links, Unreached when the links leave the axle free
    or the steering does not reach that lock at ride height, and ValueError for fewer than one step.
    """
    job = Job(build)
    cycled = over_travel(job, steps=steps, roll=roll, lock=lock, after_each=after_each)
    absent = list(cycled.absent)
    locks = _found_or_noted("full lock", absent, lambda: _locks(job))
    limits = _found_or_noted("what ends the travel", absent, lambda: job.travel_limits)
    gaps = _found_or_noted("smallest gaps", absent, lambda: _smallest_gaps(job))
    return cycled._replace(absent=tuple(absent), locks=locks or (), limits=limits, gaps=gaps or ())


def heave_of(build: Build, steps: int) -> Array:
    """Rises of the axle centre, m, from full droop to full bump in `steps` steps on each side of ride height.

    Raises Missing when the spec states no travel, and ValueError for fewer than one step.
    """
    if steps < 1:
        raise ValueError("a cycle takes at least one step")
    travel = build.travel
    return np.concatenate([-np.linspace(travel.droop, 0.0, steps + 1)[:-1], np.linspace(0.0, travel.bump, steps + 1)])


def over_travel(
    job: Job,
    *,
    steps: int = 5,
    roll: float = 0.0,
    lock: float = 0.0,
    after_each: Callable[[], object] = lambda: None,
) -> Cycle:
    """Compute only the quantities of a cycle, without full lock, travel limits and gaps; the rest is as in `cycle`."""
    heave = heave_of(job.build, steps)
    _refuse_beyond_reach(job, lock)
    moving = job.moved(heave, np.full(len(heave), roll), lock)
    reached = moving.poses.solved
    columns: list[Column] = []
    absent: list[Absent] = []
    for found in all_values(moving):
        if isinstance(found, Absent):
            absent.append(found)
        else:
            columns.append(Column(*found))
        after_each()
    return Cycle(heave, roll, lock, reached, tuple(columns), tuple(absent))


def _refuse_beyond_reach(job: Job, lock: float) -> None:
    if lock:
        try:
            steering = job.full_lock
            _ = steering.at_ride
        except (Missing, Unreached):
            return  # there is no steering to turn; each quantity that needs it gives the reason
        steering.at_ride_height(Side.LEFT if lock > 0 else Side.RIGHT, abs(lock))


def _found_or_noted(name: str, absent: list[Absent], find: Callable[[], Found]) -> Found | None:
    """Return what `find` returns; where it raises Missing or Unreached, return None and add the reason to `absent`."""
    try:
        return find()
    except Missing as missing:
        absent.append(Absent(name, name, missing.path, f"the spec lacks {missing.path}"))
    except Unreached as unreached:
        absent.append(Absent(name, name, "", str(unreached)))
    return None


def _locks(job: Job) -> tuple[AtLock, ...]:
    build = job.build
    if build.axle.position == "rear" and not build.has("steering"):
        return ()
    found = []
    for side in (Side.LEFT, Side.RIGHT):
        try:
            found.append(AtLock(side, job.full_lock.full_lock(side)))
        except Unreached as why:
            found.append(AtLock(side, None, str(why)))
    return tuple(found)


def _smallest_gaps(job: Job) -> tuple[Gap, ...]:
    """Smallest gap of each part that is near another, in the order of the truck."""
    smallest: dict[str, Gap] = {}
    for gap in job.gaps.all:
        known = smallest.get(gap.first.name)
        if known is None or gap.smallest.value < known.smallest.value:
            smallest[gap.first.name] = gap
    return tuple(smallest.values())
