"""The numbers of a spec fit together."""

from collections.abc import Iterator

from buildcheck.api import (
    Area,
    Build,
    Dimension,
    Finding,
    Job,
    Limit,
    Pair,
    Part,
    Point,
    Requirement,
    Sample,
    Side,
    Unreached,
    Verdict,
    at_least,
    at_most,
    common_practice,
    hold,
    require,
    rule,
    unowned_shop_keys,
    within,
)

SLIP_OF_THE_PEN = common_practice("a slip of the pen in a spec is found at the desk, or by the truck")

LEFT_IS_LEFT = Requirement(
    "left-is-left", "what is on the left has its points on the left, and right on the right", SLIP_OF_THE_PEN
)
STROKE = Limit(
    "stroke",
    "difference between what a part measures long and what it measures short",
    Dimension.LENGTH,
    at_least(warning="1 in", error="1/8 in"),
    basis=SLIP_OF_THE_PEN,
)
LOADED_RADIUS = Limit(
    "loaded-radius",
    "loaded radius of a tyre as a share of half its diameter",
    Dimension.RATIO,
    within(warning=("85 %", "99.5 %"), error=("67 %", "100 %")),
    basis=SLIP_OF_THE_PEN,
)
WALL = Limit(
    "wall",
    "wall of a tube as a share of half its outside diameter, or of half its narrower side",
    Dimension.RATIO,
    at_most(error="100 %"),
    basis=SLIP_OF_THE_PEN,
)
HEAT_IN_ORDER = Requirement(
    "heat-in-order", "a weld is allowed to be as hot between its beads as it is before the first", SLIP_OF_THE_PEN
)
STEERED = Requirement(
    "steered-axle",
    "an axle that has a steering is a front axle",
    basis=common_practice("nothing steers most rear axles, and one that is steered is a design of its own"),
    if_not=Verdict.WARNING,
)
KNUCKLE = Requirement("knuckle", "the drag link ends on the side of the knuckle that it moves", SLIP_OF_THE_PEN)
OFF_THE_LINK = Limit(
    "off-the-link",
    "distance of a steering link's end from the line of the link that it sits on",
    Dimension.LENGTH,
    at_most(warning="1 in", error="3 in"),
    basis=common_practice("it is taken to move with the line of that link, which is right for a stud on or near it"),
)
READABLE = Requirement(
    "readable", "what was measured is of something in the spec, in its kind of unit, and near to it", SLIP_OF_THE_PEN
)
HOLDS = Requirement("holds", "a bracket holds a part that is in the spec, on its side", SLIP_OF_THE_PEN)
AXLE_HEIGHT = Limit(
    "axle-height",
    "difference between the height of the axle centre and the loaded radius of its tyres",
    Dimension.LENGTH,
    at_most(warning="1/2 in", error="2 in"),
    basis=common_practice("at ride height the tyres stand on the floor, from which all heights are measured"),
)


def lengths(job: Job, build: Build) -> Iterator[Finding]:
    """What is longer at one end of its travel than at the other."""
    for kind, longer, shorter in (
        ("coilover", "extended_length", "compressed_length"),
        ("bump-stop", "free_length", "crushed_length"),
        ("driveshaft", "longest_length", "shortest_length"),
        ("spring", "free_length", "solid_length"),
        ("stabiliser", "extended_length", "compressed_length"),
    ):
        for part in _parts(job, kind):
            if not part.has(longer) or not part.has(shorter):
                continue  # one length alone contradicts nothing
            yield hold(
                STROKE,
                getattr(part, longer) - getattr(part, shorter),
                place=part.path_of(longer),
                effect=f"the {part.label} is computed as one that does not exist",
                cure=f"look up the {longer.replace('_', ' ')} and the {shorter.replace('_', ' ')} again",
            )


def tyre(job: Job, build: Build) -> Iterator[Finding]:
    """Loaded radius against diameter, and the axle's height against the loaded radius."""
    if not build.has("vehicle") or not build.vehicle.has("tyre") or not build.vehicle.tyre.has("static_radius"):
        return
    found = build.vehicle.tyre
    if found.has("diameter"):
        yield hold(
            LOADED_RADIUS,
            found.static_radius / (found.diameter / 2),
            place=found.path_of("static_radius"),
            effect="every height is measured from a floor that is somewhere else",
            cure="measure from the wheel centre to the floor",
        )
    if build.has("axle") and build.axle.has("centre"):
        yield hold(
            AXLE_HEIGHT,
            abs(build.axle.centre.z - found.static_radius),
            place=build.axle.path_of("centre"),
            effect="every height of the spec is off by that, or the tyre is not the one on the truck",
            cure="measure the axle centre and the loaded radius again, from the same floor",
        )


def steering(job: Job, build: Build) -> Iterator[Finding]:
    """Whether the axle is one that is steered, and the side on which the drag link ends."""
    if not build.has("steering"):
        return
    if build.has("axle") and build.axle.has("position"):
        yield require(
            STEERED,
            met=build.axle.position == "front",
            found=f"a {build.axle.position} axle with a steering",
            wanted="a front axle, or no steering",
            place="steering",
            effect="" if build.axle.position == "front" else "the steering of another axle is computed on this one",
            cure="leave the steering out, or write that the axle is the front one",
        )
    if not build.steering.has("drag_link"):
        return
    link = build.steering.drag_link
    if link.has("arm") and link.has("knuckle"):
        fits = (link.arm.y > 0) == (link.knuckle == "left")
        yield require(
            KNUCKLE,
            met=fits,
            found=f"the arm's end is on the {'left' if link.arm.y > 0 else 'right'}",
            wanted=f"the arm's end on the {link.knuckle}",
            place=link.path_of("arm"),
            cure="turn the sign of y, or name the other knuckle",
        )
    off = job.off_the_other_link() if build.steering.has("tie_rod") else None
    if off is not None:
        yield hold(
            OFF_THE_LINK,
            off[1],
            place=off[0],
            effect="the steering is computed as if that end sat on the line",
            cure="measure both links again, from joint centre to joint centre",
        )


def tubes(job: Job, build: Build) -> Iterator[Finding]:
    """Wall and width of every tube: of the links, the bar, the axle, the driveshaft and the steering."""
    owners = [
        *_parts(job, "link"),
        *(getattr(build, name) for name in ("lateral_bar", "axle", "driveshaft") if build.has(name)),
    ]
    if build.has("steering"):
        owners += [getattr(build.steering, name) for name in ("drag_link", "tie_rod") if build.steering.has(name)]
    for owner in owners:
        for name, widths in (("tube", ("outside_diameter",)), ("section", ("height", "width"))):
            tube = getattr(owner, name) if owner.has(name) else None
            if tube is None or not tube.has("wall") or not all(tube.has(width) for width in widths):
                continue
            yield hold(
                WALL,
                tube.wall / (min(getattr(tube, width) for width in widths) / 2),
                place=tube.path_of("wall"),
                effect="there is no such tube",
                cure="look the tube up again",
            )


def _parts(job: Job, kind: str) -> list[Part]:
    """The parts of one kind that the spec has: a kind of subject, or `driveshaft`, `stabiliser`, `spring`."""
    build = job.build
    if kind == "driveshaft":
        return [build.driveshaft] if build.has("driveshaft") else []
    if kind == "stabiliser":
        return [build.steering.stabiliser] if build.has("steering") and build.steering.has("stabiliser") else []
    if kind == "spring":
        return [
            spring for coilover in _parts(job, "coilover") if coilover.has("springs") for spring in coilover.springs
        ]
    section = f"{kind.replace('-', '_')}s"
    return [part for part in job.subjects(kind) if isinstance(part, Part)] if build.has(section) else []


def heat(job: Job, build: Build) -> Iterator[Finding]:
    """The temperatures of each weld's procedure against each other."""
    welds = [bracket.weld for bracket in _parts(job, "attachment") if bracket.has("weld")]
    for weld in welds:
        if not weld.has("preheat") or not weld.has("interpass"):
            continue
        in_order = weld.interpass >= weld.preheat
        yield require(
            HEAT_IN_ORDER,
            met=in_order,
            found="in order" if in_order else "cooler between the beads than before the first",
            wanted="the highest temperature between the beads no lower than the preheat",
            place=weld.path_of("interpass"),
            cure="look the procedure up again; its unit may be missing",
        )


def one_sided(job: Job, build: Build) -> Iterator[Finding]:
    """What stands on one side alone, or has the side in its name."""
    for part in _alone(build):
        yield _on_its_side(part, [name for name, value in part.given().items() if isinstance(value, Point)])
    tubes = [build.axle.tube] if build.has("axle") and build.axle.has("tube") else []
    rods = [build.steering.tie_rod] if build.has("steering") and build.steering.has("tie_rod") else []
    for part in (*tubes, *rods):
        for name in (name for name, value in part.given().items() if isinstance(value, Point)):
            yield _on_side(part, [name], Side(name.removesuffix("_end")), part.label)
    for part, name, side in _told(build):
        yield _on_side(part, [name], Side(side), part.label)


def _alone(build: Build) -> Iterator[Part]:
    """Every part that stands on the left or on the right, and has no twin."""
    for section in ("links", "attachments", "coilovers", "limit_straps", "bump_stops", "brake_lines"):
        named = getattr(build, section) if build.has(section) else {}
        for sides in (named[name] for name in sorted(named)):
            if not sides.is_pair:
                yield from (part for part in sides if part.side is not Side.CENTRE)


def _told(build: Build) -> Iterator[tuple[Part, str, str]]:
    """Parts of which another key says on which side they are: the part, its point, and that side."""
    if build.has("axle") and build.axle.has("centre_section"):
        housing = build.axle.centre_section
        if housing.has("where") and housing.where != "middle" and housing.has("centre"):
            yield housing, "centre", housing.where
    if build.has("steering") and build.steering.has("box_side") and build.steering.has("pitman_arm"):
        arm = build.steering.pitman_arm
        if arm.has("pivot"):
            yield arm, "pivot", build.steering.box_side


def _on_its_side(part: Part, points: list[str]) -> Finding:
    return _on_side(part, points, part.side, f"{part.side} part")


def _on_side(part: Part, points: list[str], side: Side, called: str) -> Finding:
    sign = 1.0 if side is Side.LEFT else -1.0
    wrong = [name for name in points if getattr(part, name).y * sign <= 0.0]
    return require(
        LEFT_IS_LEFT,
        met=not wrong,
        found="on its side" if not wrong else f"on the other side: {', '.join(wrong)}",
        wanted="y positive" if side is Side.LEFT else "y negative",
        place=part.path_of(wrong[0]) if wrong else part.path,
        effect="" if not wrong else f"the {called} is computed on the wrong side of the truck",
        cure="turn the sign of y, or exchange left and right",
    )


def holds(job: Job, build: Build) -> Iterator[Finding]:
    """What each bracket says that it holds."""
    if not build.has("attachments"):
        return
    for name in sorted(build.attachments):
        for bracket in build.attachments[name]:
            for number, path in enumerate(bracket.holds if bracket.has("holds") else ()):
                wrong = job.cannot_hold(bracket, path)
                there = not wrong
                yield require(
                    HOLDS,
                    met=there,
                    found=wrong or "in the spec",
                    wanted="the spec path of a part on its side, such as links.lower.left",
                    place=bracket.path_of("holds") + (f"[{number}]" if len(bracket.holds) > 1 else ""),
                    effect="" if there else "no load is known for this bracket",
                    cure="write the path of the part that it holds",
                )


def records(job: Job, build: Build) -> Iterator[Finding]:
    """Whether the measurements that are recorded say something of this build."""
    for measurement in build.records.measured if build.has("records") and build.records.has("measured") else ():
        problem = job.unreadable(measurement)
        yield require(
            READABLE,
            met=not problem,
            found=problem or f"{measurement.of} was measured",
            wanted="the spec path of a point or an amount, with a value and a tolerance of its kind",
            place=measurement.path_of("of"),
            cure="write the path as the spec has it, and the value with its unit",
        )


def shop(job: Job, build: Build) -> Iterator[Finding]:
    """The shop's own fields, where nothing that is installed knows them."""
    unowned = unowned_shop_keys(build)
    if unowned:
        told = [f"shop.{key}" + (f' (did you mean "{near}"?)' if near else "") for key, near in unowned.items()]
        raise Unreached(f"no plugin that is in use owns {', '.join(told)}, so that nothing checks what stands there")
    yield from ()


@rule(
    "spec-consistency",
    area=Area.RECORDS,
    subject="pair",
    also=(
        ("build", lengths),
        ("build", tyre),
        ("build", steering),
        ("build", tubes),
        ("build", one_sided),
        ("build", heat),
        ("build", shop),
        ("build", records),
        ("build", holds),
    ),
    limits=(
        LEFT_IS_LEFT,
        STROKE,
        LOADED_RADIUS,
        AXLE_HEIGHT,
        KNUCKLE,
        WALL,
        HEAT_IN_ORDER,
        STEERED,
        OFF_THE_LINK,
        READABLE,
        HOLDS,
    ),
    samples=(
        Sample("the axle a quarter of an inch above its tyres", {"axle.centre": [0, 0, 16.85]}),
        Sample(
            "the left brake line written with its y to the right",
            {"brake_lines.line.left.axle": [-4.5, -26, 18]},
            {"left-is-left": Verdict.ERROR},
        ),
    ),
)
def spec_consistency(job: Job, pair: Pair[Part]) -> Iterator[Finding]:
    """The numbers of a spec fit together.

    What it checks: that left parts have their points on the left (y positive) and right ones on the right, with a twin
    or without; that coilovers, their springs, the steering's stabiliser, bump stops and the driveshaft are longer long
    than short; that the tyre's loaded radius fits its diameter and the height of the
    axle; that a weld may be as hot between its beads as before them; that no rear axle has a steering; that the drag
    link ends at the knuckle that it moves, and an end that sits on another link on the line of that; that tubes are
    tubes; that every bracket holds something that
    the spec knows; and that what was measured is of something in it. What is not stated contradicts nothing. The
    shop's own fields are checked by the plugins that own them; what none of those in use owns is told as not checked.

    Why: all other rules believe the spec. A sign or a digit that is wrong makes them check another truck.

    How it is computed: by comparing the numbers as they are written.

    To put it right: look up or measure again what is named.
    """
    for part in (pair.left, pair.right):
        yield _on_its_side(part, [name for name, value in part.given().items() if isinstance(value, Point)])
