"""The numbers in the spec are consistent.

Checked: that points of left parts are on the left (y positive) and points of right parts on the right; that
coilovers, their springs, the steering stabiliser, bump stops and the driveshaft are longer extended than compressed;
that the loaded radius of the tyre fits its diameter and the height of the axle; that the interpass temperature of a
weld is not below its preheat; that no rear axle has a steering; that the drag link ends on the side of its knuckle, and
a link that ends on another link ends on its line; that tubes have a possible wall; that every bracket holds parts in
the spec; and that every measurement is of something in the spec. Values that are not stated are not compared. The
plugins that own the shop's own fields check those fields; a field that no loaded plugin owns is not checked.

Risk: all other rules trust the spec. A wrong sign or digit makes them check another truck.

Worked out: by comparing the numbers as written.

Remedy: look up or measure the named value again.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    Axle,
    AxleTube,
    BrakeLine,
    Build,
    BumpStop,
    CentreSection,
    Choose,
    Coilover,
    CoilSpring,
    DragLink,
    Driveshaft,
    Job,
    Kingpin,
    LimitStrap,
    Link,
    Measurement,
    OfPart,
    Part,
    PitmanArm,
    Point,
    Rule,
    Sample,
    Section,
    Side,
    Stabiliser,
    Steering,
    SwapSides,
    TieRod,
    Tube,
    TurnSign,
    Tyre,
    Verdict,
    Weld,
    Words,
    at_least,
    at_most,
    between,
    common_practice,
    each,
    made,
    met,
    unowned_shop_keys,
)

rule = Rule(
    "spec-consistency",
    area=Area.RECORDS,
    page=__doc__,
    samples=(
        Sample("the axle a quarter of an inch above its tyres", {"axle.centre": [0, 0, 16.85]}),
        Sample(
            "a left brake line with its y on the right",
            {"brake_lines.line.left.axle": [-4.5, -26, 18]},
            {"left-is-left": Verdict.ERROR},
        ),
    ),
)

TYPING_ERROR = common_practice("a typing error is found at the desk, or on the truck")


@dataclass(frozen=True)
class SidedPoints(OfPart):
    """Points of a part that must all be on one side of the truck: the side of the part, the side in their own name, or
    the side that another key of the spec states."""

    fields: tuple[str, ...]
    of_side: Side

    @property
    def side(self) -> Side:
        return self.of_side

    @property
    def wrong(self) -> list[str]:
        """The names of the points on the wrong side."""
        sign = 1.0 if self.side is Side.LEFT else -1.0
        return [field for field in self.fields if getattr(self.part, field).y * sign <= 0.0]


def sided_points(job: Job, part: Part) -> Iterator[SidedPoints]:
    points = tuple(name for name, value in part.given().items() if isinstance(value, Point))
    if isinstance(part, AxleTube | TieRod):
        for name in points:
            yield SidedPoints(part, (name,), Side(name.removesuffix("_end")))
    elif isinstance(part, CentreSection):
        if part.has("centre") and part.where != "middle":
            yield SidedPoints(part, ("centre",), Side(part.where))
    elif isinstance(part, PitmanArm):
        if part.has("pivot"):
            yield SidedPoints(part, ("pivot",), Side(job.build.steering.box_side))
    elif points and part.side is not Side.CENTRE:
        yield SidedPoints(part, points, part.side)


def place_of_points(job: Job, points: SidedPoints) -> str:
    return points.part.path_of(*points.wrong[:1])


def wrong_signs(job: Job, points: SidedPoints) -> list[str]:
    """The points whose y has the wrong sign. Empty where the side itself may be wrong: where another key states it, and
    where all points of a part without a twin are on the other side."""
    part = points.part
    has_twin = getattr(job.build.value(part.path.rpartition(".")[0]), "is_pair", isinstance(part, AxleTube | TieRod))
    return [part.path_of(field) for field in points.wrong] if has_twin or len(points.wrong) < len(points.fields) else []


IN_PAIRS = Link | Attachment | Coilover | LimitStrap | BumpStop | BrakeLine | Kingpin


@rule.must(
    made("sided part", sided_points, of=IN_PAIRS | AxleTube | TieRod | CentreSection | PitmanArm),
    wanted="y positive on the left, negative on the right",
    basis=TYPING_ERROR,
    change=(
        SwapSides(lambda points: points.part),
        TurnSign(wrong_signs, "y"),
        Words("change the sign of y, or write the other side"),
    ),
    place=place_of_points,
    effect=lambda job, points: f"the {points.label} is computed on the wrong side of the truck",
    compares=True,
)
def left_is_left(job: Job, points: SidedPoints) -> Answer:
    """Left parts have their points on the left, right parts on the right."""
    return met(not points.wrong, "on its side", otherwise=f"on the other side: {', '.join(points.wrong)}")


LONG_AND_SHORT: dict[type[Part], tuple[str, str]] = {
    Coilover: ("extended_length", "compressed_length"),
    BumpStop: ("free_length", "crushed_length"),
    Driveshaft: ("longest_length", "shortest_length"),
    CoilSpring: ("free_length", "solid_length"),
    Stabiliser: ("extended_length", "compressed_length"),
}


def lengths_again(job: Job, part: Part) -> str:
    longer, shorter = (field.replace("_", " ") for field in LONG_AND_SHORT[type(part)])
    return f"look up the {longer} and the {shorter} again"


@rule.check(
    Coilover | BumpStop | Driveshaft | CoilSpring | Stabiliser,
    at_least(warning="1 in", error="1/8 in"),
    basis=TYPING_ERROR,
    change=Words(lengths_again),
    place=lambda job, part: part.path_of(LONG_AND_SHORT[type(part)][0]),
    effect=lambda job, part: f"the computed {part.label} does not exist",
    compares=True,
)
def stroke(job: Job, part: Part) -> float:
    """Difference between the longest and the shortest length of a part."""
    longer, shorter = LONG_AND_SHORT[type(part)]
    return float(getattr(part, longer) - getattr(part, shorter))


@rule.check(
    Tyre,
    between(warning=("85 %", "99.5 %"), error=("67 %", "100 %")),
    basis=TYPING_ERROR,
    change=Words("measure from the wheel centre to the floor"),
    place="static_radius",
    effect="every height is measured from another floor",
    compares=True,
)
def loaded_radius(job: Job, tyre: Tyre) -> float:
    """Loaded radius of a tyre as a share of half its diameter."""
    return tyre.static_radius / (tyre.diameter / 2)


@rule.check(
    Axle,
    at_most(warning="1/2 in", error="2 in"),
    basis=common_practice("at ride height the tyres are on the floor, and all heights are measured from it"),
    change=Words("measure the axle centre and the loaded radius again, from the same floor"),
    place="centre",
    effect="every height in the spec is wrong by that amount, or the truck has another tyre",
    compares=True,
)
def axle_height(job: Job, axle: Axle) -> float:
    """Difference between the height of the axle centre and the loaded radius of its tyres."""
    return abs(axle.centre.z - job.build.vehicle.tyre.static_radius)


@rule.must(
    DragLink,
    wanted="the arm's end on the side of the knuckle that it moves",
    basis=TYPING_ERROR,
    change=Words("change the sign of y, or name the other knuckle"),
    place="arm",
    compares=True,
)
def knuckle(job: Job, link: DragLink) -> Answer:
    """The drag link ends on the same side as the knuckle that it moves."""
    side = Side.LEFT if link.arm.y > 0.0 else Side.RIGHT
    found = f"the arm's end is on the {side}"
    return met(side == link.knuckle, found, otherwise=f"{found}, and it moves the {link.knuckle} knuckle")


@rule.check(
    Tube | AxleTube | Section,
    at_most(error="100 %"),
    physical_end="100 %",
    basis=TYPING_ERROR,
    change=Words("look the tube up again"),
    place="wall",
    effect="there is no such tube",
    compares=True,
)
def wall(job: Job, tube: Tube | AxleTube | Section) -> float:
    """Wall of a tube as a share of half its outside diameter, or of half its narrower side."""
    width = min(tube.height, tube.width) if isinstance(tube, Section) else tube.outside_diameter
    return tube.wall / (width / 2)


@rule.must(
    Weld,
    wanted="an interpass temperature no lower than the preheat",
    basis=TYPING_ERROR,
    change=Words("look the procedure up again; its unit may be missing"),
    place="interpass",
    compares=True,
)
def heat_in_order(job: Job, weld: Weld) -> Answer:
    """The highest temperature allowed between the beads of a weld is no lower than its preheat."""
    cooler = "cooler between the beads than before the first"
    return met(weld.interpass >= weld.preheat, "in order", otherwise=cooler)


@rule.must(
    Steering,
    wanted="a front axle, or no steering",
    basis=common_practice("most rear axles are not steered; a steered one is a special design"),
    otherwise=Verdict.WARNING,
    change=Words("leave the steering out, or write that the axle is the front one"),
    effect="the steering of another axle is computed on this one",
    compares=True,
)
def steered_axle(job: Job, steering: Steering) -> Answer:
    """An axle that has a steering is a front axle."""
    found = f"a {job.build.axle.position} axle with a steering"
    return met(job.build.axle.position == "front", found, otherwise=found)


def link_on_link(job: Job, steering: Steering) -> bool:
    return job.off_the_other_link() is not None


def place_on_link(job: Job, steering: Steering) -> str:
    end = job.off_the_other_link()
    return end[0] if end else steering.path


@rule.check(
    each(Steering, where=link_on_link),
    at_most(warning="1 in", error="3 in"),
    basis=common_practice(
        "the end is assumed to move with the line of that link, which is right for a stud on or near it"
    ),
    change=Words("measure both links again, from joint centre to joint centre"),
    place=place_on_link,
    effect="the steering is computed with that end on the line",
    compares=True,
)
def off_the_link(job: Job, steering: Steering) -> float:
    """Distance of a steering link's end from the line of the link that carries it."""
    end = job.off_the_other_link()
    assert end is not None  # the check is made only where one link ends on the other
    return end[1]


@rule.must(
    Measurement,
    wanted="the spec path of a point or an amount, with a value and a tolerance of its kind",
    basis=TYPING_ERROR,
    change=Words("write the path as the spec has it, and the value with its unit"),
    place="of",
    compares=True,
)
def readable(job: Job, measurement: Measurement) -> Answer:
    """A measurement is of something in the spec, has its kind of unit, and is near to its value."""
    problem = job.unreadable(measurement)
    return met(not problem, f"{measurement.of} was measured", otherwise=problem)


@dataclass(frozen=True)
class HeldPart(OfPart):
    """One entry of a bracket's `holds`: its number, from 0, and the spec path written there."""

    part: Attachment
    number: int
    which: str

    @property
    def path(self) -> str:
        return f"{self.part.path_of('holds')}[{self.number}]"


def held_parts(job: Job, bracket: Attachment) -> Iterator[HeldPart]:
    return (HeldPart(bracket, number, path) for number, path in enumerate(bracket.holds))


def place_in_list(job: Job, held: HeldPart) -> str:
    return held.part.path_of("holds") + (f"[{held.number}]" if len(held.part.holds) > 1 else "")


def bracket_of(job: Job, held: HeldPart) -> Attachment:
    return held.part


def likely_parts(job: Job, held: HeldPart) -> list[tuple[str, ...]]:
    """The list of held parts, with this entry replaced by each part that it may mean."""
    before, after = held.part.holds[: held.number], held.part.holds[held.number + 1 :]
    return [(*before, path, *after) for path in job.likely_held(held.which)]


@rule.must(
    made("held part", held_parts, of=Attachment),
    wanted="the spec path of a part on its side, such as links.lower.left",
    basis=TYPING_ERROR,
    change=(
        Choose("holds", likely_parts, says="write that it holds {value}").of(bracket_of),
        Words("write the path of the part that the bracket holds"),
    ),
    place=place_in_list,
    effect="no load is known for this bracket",
    compares=True,
)
def holds(job: Job, held: HeldPart) -> Answer:
    """A bracket holds a part that is in the spec, on its side."""
    wrong = job.cannot_hold(held.part, held.which)
    return met(not wrong, "in the spec", otherwise=wrong)


def shop_fields_stated(job: Job, build: Build) -> Iterator[Build]:
    if build.shop:
        yield build


@rule.must(
    made("shop field", shop_fields_stated),
    wanted="a plugin in use for every key under shop",
    basis=common_practice("without the plugin that owns them, the spec is still valid but nothing reads these fields"),
    otherwise=Verdict.NOT_CHECKED,
    change=Words("use the plugin that owns the key, or write the key as that plugin has it"),
    place=lambda job, build: "shop",
    compares=True,
)
def shop_fields(job: Job, build: Build) -> Answer:
    """Plugins in use own all the shop's own fields."""
    keys = [
        f"shop.{key}" + (f' (did you mean "{near}"?)' if near else "") for key, near in unowned_shop_keys(build).items()
    ]
    unowned = f"no plugin in use owns {', '.join(keys)}, and nothing else checks shop fields"
    return met(not keys, "each key under shop belongs to a plugin", otherwise=unowned)
