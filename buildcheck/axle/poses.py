"""Poses of a rigid axle on links, at any heave and roll.

Axes are those of ISO 8855 (x forward, y left, z up); the attitude is yaw, then pitch, then roll (intrinsic,
ISO 8855:2011). Heave and roll are given; forward, lateral, pitch and yaw follow from the links, each of which is a
distance constraint. Lengths are metres, angles radians, stiffnesses newtons per metre.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from buildcheck.axle.arm_energy import ElasticArms, energies_about
from buildcheck.axle.constraints import PITCH, UNKNOWNS, Array, Constraints, Stance, along_vehicle
from buildcheck.axle.continuation import walk
from buildcheck.axle.twist import TwistedArms, arms_about

INDEPENDENT = 1e-9
"""Smallest singular value, as a fraction of the largest, of constraints that hold the axle."""

WALK_BLOCK = 2048
"""Poses solved at a time by continuation, so that their arrays stay in the processor's cache."""

MOTIONS = (
    "the axle can move fore and aft",
    "the axle can move sideways",
    "the axle can pitch",
    "the axle can yaw",
)


@dataclass(frozen=True, slots=True)
class Layout:
    """Distance constraints between frame and axle at ride height, for one build or for many.

    centre:    (3,) or (3, builds) axle centre, vehicle axes, m
    frame:     (3, n) or (3, n, builds) frame end of each constraint, m
    axle:      (3, n) or (3, n, builds) axle end of each, m
    stiffness: (n,) or (n, builds) of the whole bar between its two ends, joints in series, N/m
    twists:    radius arms whose joints resist rotation; they matter only with more than four constraints
    arms:      radius arms as rigid pieces on elastic joints; likewise. Of their constraints, `stiffness` then only sets
               the unit of `Poses.stretch`
    """

    centre: Array
    frame: Array
    axle: Array
    stiffness: Array
    twists: TwistedArms | None = None
    arms: ElasticArms | None = None


class Status(IntEnum):
    """Result of the search for a pose."""

    SOLVED = 0
    OUT_OF_REACH = 1
    """On the straight path from ride height to the pose, the links reach a dead point."""
    NOT_CONVERGED = 2
    """The search failed without reaching a dead point."""


@dataclass(frozen=True, slots=True)
class Poses:
    """Solved poses. Arrays are (poses,) or (builds, poses); all unknowns of a pose that is not SOLVED are
    NaN.

    heave, roll: as asked: rise of the axle centre, m; left side up, rad
    x, y:        displacement of the axle centre from ride height, vehicle axes, m
    pitch, yaw:  rad, zero at ride height; pitch + = nose down, yaw + = nose left
    stretch:     (n, ..., poses) m, + = longer than at ride; of the two constraints of an elastic arm, the tension in
                 each over its stiffness
    status:      int8, of Status
    centre:      (3,) or (3, builds) axle centre at ride height, m
    """

    heave: Array
    roll: Array
    x: Array
    y: Array
    pitch: Array
    yaw: Array
    stretch: Array
    status: NDArray[np.int8]
    centre: Array

    @property
    def solved(self) -> NDArray[np.bool_]:
        """Mask of the poses that are solved."""
        solved: NDArray[np.bool_] = self.status == Status.SOLVED
        return solved


class FreeAxle(ValueError):
    """The constraints do not hold the axle; `motions` lists in words the motions that remain free."""

    def __init__(self, motions: tuple[str, ...]) -> None:
        self.motions = motions
        super().__init__(f"The links do not hold the axle: with heave and roll held, {' and '.join(motions)}.")


def solve(layout: Layout, heave: ArrayLike, roll: ArrayLike) -> Poses:
    """Solve the pose of the axle for each heave (rise of the axle centre, m) and roll (rad, left side up).

    `heave` and `roll` broadcast with each other to (poses,) or (builds, poses). Four constraints are met to
    1e-12 m. With more, the pose has the least elastic energy, sum of k s s / 2 over the stretches s, plus that of the
    joints with torsional stiffness (see `twist`), to a gradient of 1e-12 m times the largest stiffness. Every pose lies
    on the branch that is continuous with ride height; one that does not exist there, or cannot be found, has NaN for
    its unknowns and the reason in `status`.

    Raises FreeAxle when fewer than four constraints are independent, ValueError for numbers that are not finite, for
    shapes that do not match, for a constraint of zero length, for a stiffness that is not above zero, and for twisted
    arms that `twist.arms_about` refuses.
    """
    constraints = holding_constraints(layout)
    asked_heave, asked_roll = _asked(constraints, heave, roll)
    flat = asked_heave.ndim == 1
    heave_rows, roll_rows = np.atleast_2d(asked_heave), np.atleast_2d(asked_roll)
    builds, poses = heave_rows.shape
    if constraints.length.shape[-1] == 1 and builds > 1:
        constraints = constraints.at(np.zeros(builds, dtype=np.intp))
    place = np.empty((UNKNOWNS, builds, poses))
    stretch = np.empty((len(constraints.length), builds, poses))
    status = np.zeros((builds, poses), dtype=np.int8)
    with np.errstate(all="ignore"):  # poses out of reach produce infinities; NaN never counts as solved
        _walk_to_all(constraints, heave_rows, roll_rows, place, stretch, status)
    rows = 0 if flat else slice(None)
    return Poses(
        heave=asked_heave,
        roll=asked_roll,
        x=place[0, rows],
        y=place[1, rows],
        pitch=place[2, rows],
        yaw=place[3, rows],
        stretch=stretch[:, rows],
        status=status[rows],
        centre=np.asarray(layout.centre, dtype=np.float64),
    )


def free_motions(layout: Layout) -> tuple[str, ...]:
    """Motions that remain free with heave and roll held, in words; empty when the constraints hold the axle.

    Each missing constraint leaves one motion, named after its largest component: a displacement, or an angle times the
    typical distance of the constraints from the axle centre. With many builds, the first with a free motion is
    described.
    """
    return _free_motions(constraints_of(layout))


@dataclass(frozen=True, slots=True)
class Hold:
    """Firmness of the constraints against the motion that they resist least, and that motion in words.

    `firmness` is the smallest singular value of the constraints' direction cosines (angles times the typical distance
    of the constraints from the axle centre): 1 is one link in line with the motion, 0 leaves the motion free.
    """

    firmness: float
    motion: str


def weakest_hold(layout: Layout) -> Hold:
    """Find the motion against which one build's axle is held least at ride height, with heave and roll held.

    A layout may hold the axle in principle but hardly in practice: two nearly parallel arms hold it sideways only
    weakly. Then `free_motions` is empty and the firmness is small.
    """
    matrix = _direction_cosines(constraints_of(layout))[0]
    values, basis = np.linalg.svd(np.vstack([matrix, np.zeros((UNKNOWNS, UNKNOWNS))]))[1:]
    return Hold(float(values[-1]), MOTIONS[int(np.argmax(np.abs(basis[-1])))])


def _walk_to_all(
    constraints: Constraints, heave: Array, roll: Array, place: Array, stretch: Array, status: NDArray[np.int8]
) -> None:
    """Solve each pose (builds, poses) by continuation from ride height, and write it to the last three arguments."""
    row, column = (index.ravel() for index in np.indices(heave.shape))
    for start in range(0, row.size, WALK_BLOCK):
        some = (row[start : start + WALK_BLOCK], column[start : start + WALK_BLOCK])
        part = constraints if len(heave) == 1 else constraints.at(some[0])
        unknowns, stretched, solved, dead = walk(part, heave[some], roll[some])
        forward, lateral, pitch, yaw = unknowns
        x, y = along_vehicle(forward, lateral, np.cos(yaw), np.sin(yaw))
        place[(slice(None), *some)] = x, y, pitch, yaw
        stretch[(slice(None), *some)] = stretched
        status[some] = np.where(solved, Status.SOLVED, np.where(dead, Status.OUT_OF_REACH, Status.NOT_CONVERGED))


def holding_constraints(layout: Layout) -> Constraints:
    """The layout's constraints about its axle centre, (n, builds); raises FreeAxle when they do not hold the
    axle.
    """
    constraints = constraints_of(layout)
    motions = _free_motions(constraints)
    if motions:
        raise FreeAxle(motions)
    return constraints


def constraints_of(layout: Layout) -> Constraints:
    """The layout's constraints about its axle centre, (n, builds) with builds 1 when it has no such axis.

    Raises ValueError for an invalid layout; see `solve`.
    """
    centre, frame, axle, stiffness = (
        np.asarray(values, dtype=np.float64) for values in (layout.centre, layout.frame, layout.axle, layout.stiffness)
    )
    for name, values in (
        ("centre", centre),
        ("frame ends", frame),
        ("axle ends", axle),
        ("stiffnesses", stiffness),
    ):
        if not np.isfinite(values).all():
            raise ValueError(f"The {name} of a layout must be finite numbers; some are not.")
    centre = centre[:, np.newaxis] if centre.ndim == 1 else centre
    frame, axle = (values[..., np.newaxis] if values.ndim == 2 else values for values in (frame, axle))
    stiffness = stiffness[:, np.newaxis] if stiffness.ndim == 1 else stiffness
    try:
        anchor, arm = np.broadcast_arrays(frame - centre[:, np.newaxis], axle - centre[:, np.newaxis])
        stiffness = np.broadcast_to(stiffness, np.broadcast_shapes(arm.shape[1:], stiffness.shape))
        arm, anchor = (np.broadcast_to(values, (3, *stiffness.shape)) for values in (arm, anchor))
    except (ValueError, IndexError) as problem:
        raise ValueError(
            "The arrays of a layout do not belong together: centre (3,), frame and axle (3, n), "
            "stiffness (n,), each with an axis of builds more or without."
        ) from problem
    if len(arm) != 3 or arm.ndim != 3:
        raise ValueError("The points of a layout need x, y and z on their first axis.")
    length = np.sqrt(((arm - anchor) ** 2).sum(axis=0))
    if not (length > 0.0).all():
        raise ValueError("A constraint has its frame end and its axle end at the same point, so it has no length.")
    if not (stiffness > 0.0).all():
        raise ValueError("Every stiffness must be above zero.")
    count = max(1, len(length))
    # A trace of the length keeps this above zero should every axle end lie at the axle centre.
    size = np.sqrt((arm**2).sum(axis=(0, 1)) / count) + 1e-3 * length.sum(axis=0) / count
    stiffest = stiffness.max(axis=0) if len(stiffness) else np.ones(stiffness.shape[1:])
    twists = None if layout.twists is None else arms_about(layout.twists, arm, anchor, stiffest)
    arms = None if layout.arms is None else energies_about(layout.arms, arm, anchor, stiffest)
    return Constraints(arm, anchor, length, stiffness / stiffest, size, twists, arms)


def _asked(constraints: Constraints, heave: ArrayLike, roll: ArrayLike) -> tuple[Array, Array]:
    """Heave and roll as float arrays of one shape, (poses,) or (builds, poses)."""
    values = [np.asarray(value, dtype=np.float64) for value in (heave, roll)]
    for name, value in zip(("heave", "roll"), values, strict=True):
        if not np.isfinite(value).all():
            raise ValueError(f"Every {name} must be a finite number; some are not.")
    builds = constraints.length.shape[-1]
    try:
        shape = np.broadcast_shapes(values[0].shape, values[1].shape, (1,))
        if builds > 1:
            shape = np.broadcast_shapes(shape, (builds, 1))
    except ValueError as problem:
        raise ValueError("Heave and roll must broadcast with each other and with the builds.") from problem
    if len(shape) > 2 or (builds > 1 and shape[0] != builds):
        raise ValueError("Heave and roll must be of shape (poses,) or (builds, poses).")
    asked_heave, asked_roll = (np.broadcast_to(value, shape) for value in values)
    return asked_heave, asked_roll


def _free_motions(constraints: Constraints) -> tuple[str, ...]:
    """See `free_motions`."""
    if len(constraints.length) == 0:
        return MOTIONS
    matrices = _direction_cosines(constraints)
    values = np.linalg.svd(matrices, compute_uv=False)
    held = (values > INDEPENDENT * values[:, :1]).sum(axis=1)
    free = np.nonzero(held < UNKNOWNS)[0]
    if not free.size:
        return ()
    basis = np.linalg.svd(matrices[free[0]])[2][held[free[0]] :]
    named = []
    while len(basis):  # name the largest component, then remove it from the remaining motions
        component = int(np.argmax((basis**2).sum(axis=0)))
        named.append(component)
        turned = np.linalg.svd(basis[:, [component]])[0].T @ basis
        basis = turned[1:]
    return tuple(MOTIONS[component] for component in sorted(named))


def _direction_cosines(constraints: Constraints) -> Array:
    """Derivatives of the lengths with respect to the unknowns at ride, (builds, n, 4), angles times the typical arm."""
    count, builds = constraints.length.shape
    stance = Stance(constraints, np.zeros(builds), np.zeros(builds))
    stance.place(np.zeros((UNKNOWNS, builds)))
    slopes = np.empty((UNKNOWNS, count, builds))
    stance.gradients(slopes)
    slopes /= constraints.length
    slopes[PITCH:] /= constraints.size
    return np.moveaxis(slopes, 2, 0).swapaxes(1, 2)
