"""The lateral bar is parallel to the drag link and equally long.

Checked: the angle between the lateral bar and a crossover drag link, seen from the front and from above; the
ratio of their lengths; and the bump steer that results: its largest rate, with the place in the travel, and its total
between full droop and full bump.

Risk: as the axle rises, the lateral bar moves it sideways on an arc. The drag link moves the steering arm on an arc of
its own. Where the two arcs differ, the road wheels steer while the steering wheel is held still.

Worked out: the angles are those between the lines through the joint centres at ride height. The steer is that
of the road wheel which the drag link moves, from the solved motion: the knuckle turns about its kingpin so that the
drag link keeps its length (A cos d + B sin d = C, the intersection of a circle with a sphere), and the yaw of the axle
is added. Steer is the angle, seen from above, between the truck's centre line and the line where the wheel's plane
meets the floor.

Remedy: move the bar's frame end up or down until the bar is parallel to the drag link. The remaining bump
steer comes from unequal lengths. Where there is no bar, move the pitman end of the drag link.
"""

from buildcheck.api import (
    Answer,
    Area,
    Build,
    DragLink,
    Job,
    LateralBar,
    Move,
    Rule,
    Sample,
    Spot,
    Verdict,
    Words,
    at_most,
    between,
    common_practice,
    met,
)

rule = Rule(
    "lateral-bar-parallel",
    area=Area.BAR_AND_STEERING,
    page=__doc__,
    samples=(
        Sample(
            "the bar half an inch lower at both ends",
            {"lateral_bar.frame": [5.5, 16.5, 22.25], "lateral_bar.axle": [5.5, -16.5, 19.4]},
        ),
        Sample(
            "the bar's frame end too low",
            {"lateral_bar.frame": [5.5, 16.5, 20]},
            {
                "front-view-angle": Verdict.WARNING,
                "bump-steer-rate": Verdict.ERROR,
                "bump-steer-total": Verdict.ERROR,
            },
        ),
    ),
)

PARALLEL = common_practice("a lateral bar and a drag link that are parallel and equally long swing on matching arcs")
UNFELT = common_practice("steer that the driver does not command must stay too small to feel")


def steered(job: Job, build: Build) -> str | None:
    """Why the check does not apply; None where the axle is steered."""
    return "nothing steers a rear axle" if build.axle.position == "rear" else None


def side_by_side(job: Job, build: Build) -> str | None:
    """Why the check does not apply; None where bar and drag link lie side by side and must be parallel."""
    if build.axle.position == "rear":
        return "nothing steers a rear axle"
    if not build.has("lateral_bar") and job.links_hold_sideways:
        return "triangulated links hold the axle sideways; there is no bar"
    if build.steering.has("layout") and build.steering.layout == "push-pull":
        return "the drag link runs fore and aft; only its bump steer has a limit"
    return None


def bar(job: Job, build: Build) -> LateralBar | None:
    return build.lateral_bar if build.has("lateral_bar") else None


def drag_link(job: Job, build: Build) -> DragLink | None:
    return None if build.has("lateral_bar") else build.steering.drag_link


bar_up_or_down = Move("frame", axis="z").of(bar)
new_layout = Words("make the lateral bar and the drag link parallel and equally long")


@rule.must(
    Build,
    wanted="the bar's frame end on the pitman arm's side",
    basis=PARALLEL,
    change=Words("mount the bar the other way round, with its frame end on the pitman arm's side"),
    when=side_by_side,
    effect="bar and drag link swing in opposite directions, and the truck steers itself over every bump",
    place="lateral_bar.frame",
)
def same_way(job: Job, build: Build) -> Answer:
    """The lateral bar runs the same way across the truck as the drag link."""
    bar, link = build.lateral_bar, build.steering.drag_link
    side = "left" if bar.frame.y > 0 else "right"
    found = f"the bar's frame end is on the {side}"
    return met((bar.frame.y > bar.axle.y) == (link.pitman.y > link.arm.y), found, otherwise=found)


@rule.check(
    Build,
    at_most(warning="2 deg", error="5 deg"),
    basis=PARALLEL,
    change=(bar_up_or_down, new_layout),
    when=side_by_side,
    effect="bar and drag link swing on different arcs",
)
def front_view_angle(job: Job, build: Build) -> Spot:
    """Angle between the lateral bar and the drag link at ride height, seen from the front."""
    return abs(job.bar_to_drag_link_at_ride("front"))


@rule.check(
    Build,
    at_most(warning="6 deg", error="12 deg"),
    basis=PARALLEL,
    change=(Move("frame", axis="x").of(bar), new_layout),
    when=side_by_side,
    effect="the bar and the drag link move sideways on different arcs",
)
def plan_view_angle(job: Job, build: Build) -> Spot:
    """Angle between the lateral bar and the drag link at ride height, seen from above."""
    return abs(job.bar_to_drag_link_at_ride("plan"))


@rule.check(
    Build,
    between(warning=("85 %", "118 %"), error=("70 %", "143 %")),
    basis=PARALLEL,
    change=(Move("frame", axis="y").of(bar), new_layout),
    when=side_by_side,
    effect="arcs of unequal radius diverge as the axle moves",
)
def length_ratio(job: Job, build: Build) -> float:
    """Length of the drag link as a share of the length of the lateral bar."""
    return job.drag_link_length / job.made_length(build.lateral_bar)


bump_steer_changes = (bar_up_or_down, Move("pitman", axis="z").of(drag_link), new_layout)


@rule.check(
    Build,
    at_most(warning="0.25 deg/in", error="0.75 deg/in"),
    basis=UNFELT,
    change=bump_steer_changes,
    when=steered,
)
def bump_steer_rate(job: Job, build: Build) -> Spot:
    """Largest steer of the road wheel for each unit of travel, with the steering wheel held."""
    rate = job.steer(job.lines.travel).slope().farthest_from_zero
    to_the = "left" if rate.value > 0 else "right"
    return abs(rate).because(f"the truck steers to the {to_the} as it rises into bump there")


@rule.check(
    Build,
    at_most(warning="1.5 deg", error="4 deg"),
    basis=UNFELT,
    change=bump_steer_changes,
    when=steered,
    effect="the truck wanders over every bump",
)
def bump_steer_total(job: Job, build: Build) -> Spot:
    """Range of steer of the road wheel between full droop and full bump, with the steering wheel held."""
    return job.steer(job.lines.travel).spread
