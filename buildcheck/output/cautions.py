"""Cautions for the work that follows, chosen by the stage of the job and by what the spec holds."""

from __future__ import annotations

from buildcheck.build import Build, Stage

NO_APPROVAL = (
    "This record is not an approval. It compares the spec with limits; it cannot see what the spec leaves out. "
    "Local codes, inspection and licensed practice decide."
)
STANDS = (
    "Stands: do not go under the vehicle until it rests on stands rated for the load, on a level floor, with the "
    "wheels on the ground chocked. Never rely on a jack."
)
WELDING = (
    "Welding: take gas-charged shocks off, move or shield fuel and brake lines, disconnect the battery, put the "
    "ground clamp beside the weld, and have someone keep a fire watch."
)
NOT_MODELLED = (
    "Not modelled: fatigue under repeated loads, impacts beyond the load cases, the quality of welds, wear and rust. "
    "Strengths are held to factors for uncertain loads; a part that passes can still crack after years."
)
SPRINGS = (
    "Springs: take the load off before you loosen a bolt, and support the axle from below; straps and brake lines "
    "must not catch it."
)
BRAKES = (
    "Brakes: after a line was opened or moved, bleed the brakes, look for leaks under pressure, and check the slack "
    "at full droop and full lock, before the vehicle moves."
)
IN_SHORT = (
    "At the truck: rated stands on a level floor, never a jack alone; the load off a spring before its bolts; gas "
    "charges never heated, cut or punctured; for welding a fire watch, and no zinc fume; brakes bled and tried; a slow "
    "first drive off the road.",
    "Local codes, inspection and licensed practice decide; welds that hold an axle are made by a qualified welder.",
)
"""All cautions in few words, where a number or a page of a rule may be all that somebody reads."""

CYCLING = (
    "Before you move the axle: vehicle on rated stands, on a level floor, the wheels on the ground chocked; coil "
    "springs out, axle on a jack, no one under it.",
    "At each height, by hand: turn the wheels to both locks, and watch brake lines, wiring, tyres and links. These "
    "numbers are computed from the spec; the truck decides.",
    *IN_SHORT,
)

TORQUE = (
    "Fasteners: tighten every bolt to its torque with the truck on its wheels, and again after the first drive and "
    "after the distances that the shop sets; a mark that has moved is a loose bolt."
)
FIRST_DRIVE = (
    "First drive: try the brakes at walking speed, stay off the road until they and the steering are right, stop after "
    "a mile and look for rub, leaks, loose bolts and cracks. Follow the local rules for altered vehicles."
)

GAS = (
    "Gas charges: a shock or bump stop that holds gas is never heated, welded on, cut or punctured; take it off, and "
    "keep it away from the heat."
)
ZINC = (
    "Zinc and paint: grind plating and paint off before you weld, and do not breathe the fume; bolts and brackets that "
    "shine are plated."
)
WELDER = (
    "Welds that hold an axle or a steering are made by a qualified welder. This sheet is not an approval: local codes, "
    "inspection and licensed practice decide what may drive on the road."
)

_BY_STAGE = {
    Stage.PROPOSAL: (),
    Stage.TEARDOWN: (STANDS, SPRINGS, BRAKES),
    Stage.TACKED: (STANDS, WELDING),
    Stage.CYCLED: (STANDS, SPRINGS, BRAKES),
    Stage.FINAL_WELD: (STANDS, WELDING, BRAKES),
    Stage.REASSEMBLED: (STANDS, SPRINGS, BRAKES, TORQUE),
    Stage.ALIGNED: (BRAKES, TORQUE, FIRST_DRIVE),
    Stage.DRIVEN: (BRAKES, TORQUE, FIRST_DRIVE),
}


def cautions(build: Build, stage: Stage) -> tuple[str, ...]:
    """The cautions for a build at a stage, the two that always hold last.

    Before the teardown no one is under the vehicle yet, so a proposal has that one alone, and the one on
    welding where it plans a weld.
    """
    chosen = _BY_STAGE[stage]
    if stage is Stage.PROPOSAL and _plans_a_weld(build):
        chosen = (WELDING,)
    return (*chosen, NOT_MODELLED, NO_APPROVAL)


def on_paper() -> tuple[str, ...]:
    """The cautions of every sheet: paper outlives its stage, and lies where all of the work is done."""
    return (STANDS, SPRINGS, GAS, WELDING, ZINC, BRAKES, FIRST_DRIVE, WELDER)


def _plans_a_weld(build: Build) -> bool:
    if not build.has("attachments"):
        return False
    return any(
        part.has("weld") or (part.has("method") and "welded" in part.method)
        for sides in build.attachments.values()
        for part in sides
    )
