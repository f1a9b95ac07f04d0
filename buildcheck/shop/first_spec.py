"""The first spec of a job: a small one to fill in, by layout, axle and units, or what a shop's last spec leaves for the
next truck.

The geometry of a layout is typical of small off-road trucks (common practice, no source): it hangs together, and the
rules find no error in it, so that each number that is replaced shows at once what it does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from buildcheck.spec.quantity import System
from buildcheck.spec.rewriting import REMOVED, rewritten
from buildcheck.spec.yaml_value import flow

LAYOUTS = ("radius-arms", "three-link", "four-link", "triangulated")
AXLES = ("front", "rear")
WHEELBASE, MILLIMETRES = 108.0, 25.4
PLACE = "#:"
NOT_YOURS = "not those of your truck: replace each by what you plan or measure."
STRAP = {"three-link": 20.25, "four-link": 20.25}
"""Length of the limit strap for a layout, in; 19 1/2 in for the others, whose axle swings on a shorter radius."""

Inches = tuple[float, float, float]


class Held(NamedTuple):
    """A link of a layout: its key, the side that it is written under, its kind, and its points: inches, from the floor
    under the axle, for an axle that is held from behind."""

    key: str
    side: str
    kind: str
    points: Mapping[str, Inches]
    note: str = ""


ARM = Held(
    "arm",
    "both",
    "radius-arm",
    {"frame": (-37, 16.5, 19.5), "axle_upper": (3, 17.5, 18.4), "axle_lower": (-3, 17.5, 15.2)},
)
LOWER = Held("lower", "both", "two-point", {"frame": (-35, 16, 15.4), "axle": (1.25, 17, 13.5)})
LINKS: Mapping[str, tuple[Held, ...]] = {
    "radius-arms": (ARM,),
    "three-link": (
        LOWER,
        Held(
            "upper",
            "right",
            "two-point",
            {"frame": (-25, -8, 24), "axle": (-1.25, -7.25, 22.75)},
            "over the differential",
        ),
    ),
    "four-link": (LOWER, Held("upper", "both", "two-point", {"frame": (-25, 12, 24), "axle": (-1.25, 12.5, 22.75)})),
    "triangulated": (
        Held("lower", "both", "two-point", {"frame": (-32, 13.5, 18.4), "axle": (-2.6, 22, 16.4)}),
        Held(
            "upper", "both", "two-point", {"frame": (-26, 17, 23.6), "axle": (-2, 3.5, 24.6)}, "they meet at the middle"
        ),
    ),
}
"""The links of each layout. All but the triangulated ones need a lateral bar."""
BAR: Mapping[str, Inches] = {"frame": (5.5, 16.5, 22.75), "axle": (5.5, -16.5, 19.9)}


def first_spec(layout: str, axle: str, system: System, name: str = "") -> str:
    """The text of a spec for a layout (one of `LAYOUTS`) on an axle (one of `AXLES`)."""
    return "".join(f"{line}\n" for line in _Text(axle, system).lines(layout, name))


class _Text:
    """Writes a spec in one system of units."""

    def __init__(self, axle: str, system: System) -> None:
        self._rear = axle == "rear"
        self._metric = system is System.METRIC

    def lines(self, layout: str, name: str) -> Iterator[str]:
        """The lines of the spec, without their ends."""
        axle = "rear" if self._rear else "front"
        yield from self._head(name or f"my truck, {axle} axle")
        yield from self._vehicle()
        yield from self._axle(axle)
        yield "links:"
        for link in LINKS[layout]:
            yield f"  {link.key}:{f'  # {link.note}' if link.note else ''}"
            yield f"    {link.side}:"
            yield f"      kind: {link.kind}"
            yield from (f"      {end}: {self._point(at)}" for end, at in link.points.items())
            yield from self._made_of("      ", 2, tuple(link.points))
        if layout != "triangulated":
            yield from ("", "lateral_bar:")
            yield from (f"  {end}: {self._point(at)}" for end, at in BAR.items())
            yield from self._made_of("  ", 1.5, tuple(BAR))
        if not self._rear:
            yield from self._steering()
        yield from self._springs(STRAP.get(layout, 19.5))
        yield from self._driveline()
        yield from self._end(f"links.{LINKS[layout][0].key}")

    def _head(self, name: str) -> Iterator[str]:
        yield f"# A start for a spec. Its numbers hang together, and are {NOT_YOURS}"
        yield f'# A line with "{PLACE}" is a place to fill in: write your own value, and take "{PLACE}" away.'
        yield "# Axes are ISO 8855: x forward, y left, z up, from the floor under the front axle's centre line, in the"
        yield "# vehicle's middle plane, at ride height. What is under `both` is written as the left one."
        yield ""
        yield "format: 1"
        yield f"units: {'metric' if self._metric else 'inch-pound'}  # of a number without a unit of its own"
        yield ""
        yield "build:"
        yield f"  name: {flow(name)}"
        yield "  stage: proposal"
        yield f"  {PLACE} intended_use: street-and-trail  # or street, trail, desert, work"
        yield ""

    def _vehicle(self) -> Iterator[str]:
        tyre = f"diameter: {self._length(35)}, width: {self._length(12.5)}, static_radius: {self._length(16.6)}"
        yield "vehicle:"
        yield f"  wheelbase: {self._length(WHEELBASE)}"
        yield f"  track: {self._length(67)}"
        yield f"  tyre: {{{tyre}}}  # static_radius: wheel centre to floor"
        yield f"  {PLACE} axle_load: {'1200 kg' if self._metric else '2650 lb'}  # by the scales, loaded as driven"
        yield f"  {PLACE} unsprung_mass: {'290 kg' if self._metric else '640 lb'}"
        yield f"  {PLACE} total_mass: {'2200 kg' if self._metric else '4850 lb'}"
        yield f"  {PLACE} centre_of_gravity_height: {self._length(32)}"
        yield f"  {PLACE} frame: {{material: carbon-steel, thickness: {self._length(0.1875)}}}"
        yield ""

    def _axle(self, axle: str) -> Iterator[str]:
        ends = ", ".join(f"{side}_end: {self._point((0, y, 16.6))}" for side, y in (("left", 24.5), ("right", -24.5)))
        size = f"outside_diameter: {self._length(3.25)}, wall: {self._length(0.5)}"
        yield "axle:"
        yield f"  position: {axle}"
        yield f"  tube: {{{ends}, {size}, material: carbon-steel}}"
        yield f"  {PLACE} centre_section: {{material: unknown-casting}}  # find out: steel and iron look alike"
        yield f"  {PLACE} driven: true"
        if not self._rear:
            yield f"  {PLACE} caster: 6"
            yield f"  {PLACE} kingpin_inclination: 8.5"
        yield f"  {PLACE} pinion: {{point: {self._point((-10, -7, 18.3))}, up: 6, left: 0}}"
        yield ""

    def _steering(self) -> Iterator[str]:
        yield from ("", "steering:", "  layout: crossover", "  box_side: left")
        yield f"  pitman_arm: {{pivot: {self._point((22, 15.5, 26))}, axis: [0, 0.05, 1]}}"
        ends = f"pitman: {self._point((11.5, 14.5, 25.1))}, arm: {self._point((10, -23, 22))}"
        yield f"  drag_link: {{{ends}, knuckle: right}}"
        yield f"  tie_rod: {{left: {self._point((8.5, 29.7, 14.2))}, right: {self._point((8.5, -29.7, 14.2))}}}"
        yield f"  kingpins: {{both: {{centre: {self._point((0, 28.5, 16.6))}}}}}"
        yield "  lock_angle: 26"

    def _springs(self, strap: float) -> Iterator[str]:
        yield from ("", "coilovers:", "  coilover:", "    both:")
        yield f"      frame: {self._point((-1.5, 18.5, 45.1))}"
        yield f"      axle: {self._point((-2.5, 21, 17.5))}"
        yield f"      extended_length: {self._length(35.5)}"
        yield f"      compressed_length: {self._length(21.5)}"
        rate = "35 N/mm" if self._metric else "200 lb/in"
        free, solid = self._length(14), self._length(5)
        yield f"      {PLACE} springs: [{{rate: {rate}, free_length: {free}, solid_length: {solid}}}]"
        yield f"      {PLACE} gas_charged: true"
        ends = f"frame: {self._point((-5.5, 14.5, 33))}, axle: {self._point((-5, 15.5, 18.5))}"
        size = f"length: {self._length(strap)}, stretch: {self._length(0.75)}"
        yield from ("", "limit_straps:", "  strap:", f"    both: {{{ends}, {size}}}")
        yield from ("", "bump_stops:", "  stop:", "    both:", "      kind: polyurethane", "      mounted_on: frame")
        yield f"      base: {self._point((0.5, 16.5, 26.4))}"
        yield "      axis: [0, 0, -1]"
        yield f"      target: {self._point((0.5, 16.5, 19.2))}"
        yield f"      free_length: {self._length(4)}"
        yield f"      crushed_length: {self._length(1.75)}"
        yield f"      target_width: {self._length(5)}"
        ends = f"frame: {self._point((-8, 17, 30))}, axle: {self._point((-4.5, 26, 18))}"
        size = f"free_length: {self._length(23.25)}, moves_with: {'axle' if self._rear else 'knuckle'}"
        yield from ("", "brake_lines:", "  line:", f"    both: {{{ends}, {size}}}")

    def _driveline(self) -> Iterator[str]:
        yield from ("", f"{PLACE} driveshaft:")
        yield f"{PLACE}   output: {{point: {self._point((-42, -4, 22))}, up: -2, left: 0}}"
        yield f"{PLACE}   output_joint: {{kind: double-cardan, largest_angle: 28}}"
        yield f"{PLACE}   pinion_joint: {{kind: single-cardan, largest_angle: 22}}"
        yield f"{PLACE}   shortest_length: {self._length(30.5)}"
        yield f"{PLACE}   longest_length: {self._length(36)}"

    def _end(self, held: str) -> Iterator[str]:
        yield from ("", f"travel: {{bump: {self._length(5)}, droop: {self._length(6)}, articulation: 12}}", "")
        yield "# Every bracket, by a name of your own: what it holds, and how it is fixed to what."
        weld = f"kind: fillet, leg: {self._length(0.1875)}, length: {self._length(14)}, process: gas-metal-arc"
        yield f"{PLACE} attachments:"
        yield f"{PLACE}   frame_bracket:"
        yield f"{PLACE}     both:"
        yield f"{PLACE}       holds: {held}"
        yield f"{PLACE}       parent: frame"
        yield f"{PLACE}       method: welded"
        yield f"{PLACE}       bracket_material: carbon-steel"
        yield f"{PLACE}       bracket_thickness: {self._length(0.25)}"
        yield f"{PLACE}       height: {self._length(4)}"
        yield f"{PLACE}       weld: {{{weld}}}"
        yield ""
        yield "# How well a bracket can be placed and measured:"
        yield f"{PLACE} records: {{tape_tolerance: {'2 mm' if self._metric else '1/16 in'}, gauge_tolerance: 0.2 deg}}"
        yield ""
        yield "# `buildcheck inspect` says what is wrong and what is missing; `buildcheck measure` asks for it."

    def _made_of(self, indent: str, diameter: float, ends: tuple[str, ...]) -> Iterator[str]:
        size = f"outside_diameter: {self._length(diameter)}, wall: {self._length(0.25)}"
        joints = ", ".join(f"{end}: {{kind: rod-end, misalignment: 22}}" for end in ends)
        yield f"{indent}{PLACE} tube: {{{size}, material: carbon-steel}}"
        yield f"{indent}{PLACE} joints: {{{joints}}}"

    def _point(self, at: Inches) -> str:
        x, y, z = at
        return f"[{', '.join(self._length(each) for each in (-WHEELBASE - x if self._rear else x, y, z))}]"

    def _length(self, inches: float) -> str:
        """A length as it is written: to a millimetre, and a thin one to a tenth."""
        if not self._metric:
            return f"{inches:g}"
        digits = 0 if abs(inches) >= 1 else 1
        return f"{round(inches * MILLIMETRES, digits) + 0.0:g}"


FACTS = ("fit_up", "as_welded", "as_bolted")
"""The fields of a bracket that say what was done on one truck."""
TOLERANCES = ("tape_tolerance", "gauge_tolerance", "scale_tolerance")
"""The records that belong to a shop and not to one truck."""


def next_spec(text: str, data: Mapping[str, Any], name: str, copied_from: str) -> str:
    """The text of the last spec as a start for the next truck: a proposal, without what was measured, done, ordered and
    waived on that one; every other byte stays. `data` is what the text holds.

    Raises CannotRewrite where the text is laid out so that this cannot be taken out.
    """
    changes: dict[str, Any] = {}
    records = data.get("records") or {}
    kept = {key: value for key, value in records.items() if key in TOLERANCES}
    if kept:
        changes.update({f"records.{key}": REMOVED for key in records if key not in kept})
    elif "records" in data:
        changes["records"] = REMOVED
    changes.update({section: REMOVED for section in ("parts", "support", "waivers") if section in data})
    axle = data.get("axle") or {}
    if "heat_sensitive_parts" in axle:
        changes["axle.heat_sensitive_parts"] = REMOVED
    if "identified_by" in (axle.get("centre_section") or {}):
        changes["axle.centre_section.identified_by"] = REMOVED
    for bracket, sides in (data.get("attachments") or {}).items():
        for side, part in sides.items():
            changes.update({f"attachments.{bracket}.{side}.{fact}": REMOVED for fact in FACTS if fact in part})
    called = name or "the next truck"
    if "build" in data:
        changes.update({"build.name": called, "build.stage": "proposal"})
        changes.update({f"build.{key}": REMOVED for key in ("revision", "date", "notes") if key in data["build"]})
    else:
        changes["build"] = {"name": called, "stage": "proposal"}
    end = "\r\n" if "\r\n" in text else "\n"
    head = (
        f"# Started from {copied_from}, without what was measured, done, ordered and waived on that truck.",
        f"# Its other numbers are {NOT_YOURS}",
    )
    return "".join(f"{line}{end}" for line in head) + rewritten(text, changes).rstrip("\r\n") + end
