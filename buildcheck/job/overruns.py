"""Parts that are overrun in given poses: stretched, crushed, bent or driven into another by so much."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from buildcheck.build import Missing
from buildcheck.job.bodies import bodies_of
from buildcheck.job.curve import Array, Unreached
from buildcheck.job.job import Job
from buildcheck.job.margins import Margin, margins, touching


class Overrun(NamedTuple):
    """A margin that some of the poses overrun: `left` is (poses,), or (locks, poses) where the lock changes it; it is
    negative beyond."""

    margin: Margin
    left: Array


def overruns(job: Job, heave: Array, roll: Array, locks: Array, held: Array) -> tuple[Overrun, ...]:
    """Find the margins that are overrun in some of the poses, m or rad.

    The axle is raised by `heave` (poses,) m and rolled by `roll` (poses,) rad, with the inner wheel at each of `locks`
    (rad, left positive); poses with a lock of their own in `held` (poses,) are at that one. Joints of the steering, and
    hoses, are at their worst lock. Margins that lack data are left out; `TravelLimits` names what is missing.
    """
    moving = job.moved(heave, roll)
    found: list[Overrun] = []
    for margin in margins(job.build, moving):
        try:
            left = np.asarray(margin.left())
        except (Missing, Unreached):
            continue
        found.append(Overrun(margin, np.fmin.reduce(left.reshape(len(heave), -1), axis=1)))
    found += _touches(job, heave, roll, locks, held)
    return tuple(each for each in found if (each.left < 0.0).any())


def _touches(job: Job, heave: Array, roll: Array, locks: Array, held: Array) -> list[Overrun]:
    """The gaps between parts, at the lock of each pose."""
    full = job.build.steering.lock_angle if locks.any() or held.any() else 1.0
    at, which = np.unique(np.concatenate([locks, held]), return_inverse=True)
    bodies = bodies_of(job.build, job.moved(heave, roll), at / full)
    poses = np.arange(len(heave))
    columns = np.where(held, which[len(locks) :], which[: len(locks), None])
    return [
        Overrun(margin, np.broadcast_to(margin.left(), (len(heave), len(at)))[poses, columns])
        for margin in touching(bodies)
    ]
