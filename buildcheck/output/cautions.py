"""What to mind before work goes on, chosen by how far the job is and by what the spec holds."""

from __future__ import annotations

from buildcheck.build import Build, Stage

NO_APPROVAL = (
    "This record is not an approval. It holds what the spec says against limits and knows nothing of what "
    "it was not "
    "told; local codes, inspection and licensed practice decide."
)
STANDS = (
    "Stands: nobody goes under the vehicle before it rests on stands rated for the load, on a level floor, "
    "with the "
    "wheels that stay down chocked. A jack is no stand."
)
WELDING = (
    "Welding: gas-charged shocks come off, fuel and brake lines are moved or shielded, the battery is "
    "disconnected, "
    "the ground clamp stands beside the weld, and someone keeps a fire watch."
)
SPRINGS = (
    "Springs: let the load off before a bolt is loosened, and hold the axle from below; straps and brake "
    "lines are "
    "not to catch it."
)
BRAKES = (
    "Brakes: after a line was opened or moved, bleed, look for leaks under pressure and for slack at full "
    "droop and "
    "lock, before the vehicle moves."
)
CYCLING = (
    "Before it moves: vehicle on rated stands, level floor, the wheels that stay down chocked; coil springs out, axle "
    "on a jack, nobody under it.",
    "At each height, by hand: wheels to both locks, and watch brake lines, wiring, tyres, links. These are the spec's "
    "numbers; the truck decides.",
)

_BY_STAGE = {
    Stage.PROPOSAL: (),
    Stage.TEARDOWN: (STANDS, SPRINGS, BRAKES),
    Stage.TACKED: (STANDS, WELDING),
    Stage.CYCLED: (STANDS, SPRINGS, BRAKES),
    Stage.FINAL_WELD: (STANDS, WELDING, BRAKES),
}


def cautions(build: Build, stage: Stage) -> tuple[str, ...]:
    """The cautions for a build at a stage, the one that always holds last.

    Before the teardown nobody is under the vehicle yet, so a proposal has that one alone, and the one on
    welding where it plans a weld.
    """
    chosen = _BY_STAGE[stage]
    if stage is Stage.PROPOSAL and _plans_a_weld(build):
        chosen = (WELDING,)
    return (*chosen, NO_APPROVAL)


def _plans_a_weld(build: Build) -> bool:
    if not build.has("attachments"):
        return False
    return any(
        part.has("weld") or (part.has("method") and "welded" in part.method)
        for sides in build.attachments.values()
        for part in sides
    )
