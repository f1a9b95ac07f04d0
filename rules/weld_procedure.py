"""The welding procedure suits the steel: process, filler, current, heat, preheat and cooling.

Checked: for every bracket welded to steel, that the process is an arc process, that the filler is made for it and
goes with the steel, the preheat for the thickness and for alloy steel, the temperature between beads and the cooling;
and where they are stated, the current, the arc voltage and the travel speed.

Risk: a brazed bracket peels off. A cold bead on thick steel, or any bead on alloy steel that cools fast, is as hard and
as brittle as glass beside it. Too much current burns through the tube.

Worked out: the heat input is Q = k U I / v, with k of EN 1011-1, table 1. The metal that it lays down makes a leg whose
square grows with Q; one pass of an arc process has 0.010 to 0.060 kJ/mm for each square millimetre of leg. The current
is compared with one ampere for each thousandth of an inch of the thinner part, which counts up to 1/4 in.

Remedy: the change line says what to set. Try the setting on a piece of the same steel and thickness, cut it and etch
it. Have a qualified welder do it. Grind plating off and keep out of its fume (zinc), take gas-charged shocks off,
disconnect the battery, and keep a fire watch for half an hour or more.

Some local codes forbid or restrict this work, whatever its quality. New South Wales, Vehicle Standards Information No.
6 (revision 2.1, 2007), does not accept welding on forged parts such as stub axles and control arms. New Zealand's
vehicle inspection manual (general trailers 6-1) rejects a steering or suspension part that shows signs of welding or
heating after it was made. Quebec (C-24.2, r. 32, section 152) allows no axle or wheel mounting part that is welded,
other than by its maker. Ask what holds where the truck is driven.
"""

from collections.abc import Callable

from buildcheck.api import (
    Answer,
    Area,
    Attachment,
    CannotTell,
    Dimension,
    Job,
    Rule,
    Sample,
    Set,
    Verdict,
    Weld,
    Words,
    at_least,
    at_most,
    between,
    common_practice,
    from_memory,
    met,
    published,
    shown_in,
)

ARM = "attachments.arm_axle_bracket.left.weld"
SETTINGS = {f"{ARM}.current": "170 A", f"{ARM}.voltage": "20 V", f"{ARM}.travel_speed": "14 in/min"}

rule = Rule(
    "weld-procedure",
    area=Area.WELDS,
    page=__doc__,
    samples=(
        Sample("current, voltage and speed of a sound bead", SETTINGS),
        Sample("brazed", {f"{ARM}.process": "brazing"}, {"arc-process": Verdict.ERROR}),
        Sample(
            "a stick electrode in a wire feeder",
            {f"{ARM}.filler": "E7018"},
            {"filler-for-process": Verdict.ERROR},
        ),
        Sample(
            "a stainless filler on carbon steel",
            {f"{ARM}.filler": "ER308L"},
            {"filler-metal": Verdict.ERROR},
        ),
        Sample(
            "far too hot, and cooled with water",
            {**SETTINGS, f"{ARM}.current": "500 A", f"{ARM}.cooling": "forced"},
            {"current": Verdict.ERROR, "cooled-slowly": Verdict.ERROR},
        ),
        Sample(
            "alloy steel welded cold, with a filler for something else",
            {
                "attachments.arm_axle_bracket.left.bracket_material": "alloy-steel",
                f"{ARM}.preheat": "40 degF",
                f"{ARM}.filler": "ER120S-G",
            },
            {"alloy-preheat": Verdict.ERROR, "filler-strength": Verdict.ERROR},
        ),
    ),
)


def welded_to_steel(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where steel is welded to steel."""
    if bracket.not_welded is not None:
        return bracket.not_welded
    metals = (bracket.bracket_material, job.parent_material(bracket))
    other = next((metal for metal in metals if "steel" not in metal), None)
    return None if other is None else f"it is welded to or made of {other.replace('-', ' ')}"


def arc_welded(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where steel is welded to steel by an arc."""
    why = welded_to_steel(job, bracket)
    if why:
        return why
    process = bracket.weld.process
    return f"{process} has no arc" if process in ("oxy-fuel", "brazing") else None


def states(field: str) -> Callable[[Job, Attachment], str | None]:
    def arc_welded_and_stated(job: Job, bracket: Attachment) -> str | None:
        """Why the check does not apply; None where an arc weld states the field."""
        why = arc_welded(job, bracket)
        return why or (None if bracket.weld.has(field) else f"no {field.replace('_', ' ')} is stated")

    return arc_welded_and_stated


def weld_of(job: Job, bracket: Attachment) -> Weld:
    return bracket.weld


@rule.must(
    Attachment,
    wanted="an arc process",
    basis=common_practice("brazed joints peel, and a gas flame softens the whole bracket before it melts the tube"),
    change=Words("weld it with an arc: gas-metal-arc, flux-cored-arc, shielded-metal-arc or gas-tungsten-arc"),
    when=welded_to_steel,
    place="weld.process",
    effect="the bracket comes off",
)
def arc_process(job: Job, bracket: Attachment) -> Answer:
    """The bracket is welded by an arc process."""
    found = bracket.weld.process
    return met(found not in ("oxy-fuel", "brazing"), found, otherwise=found)


@rule.must(
    Attachment,
    wanted="a filler of carbon or low-alloy steel",
    basis=from_memory(
        "AWS A5.4, A5.7, A5.9, A5.10, A5.14 and A5.15",
        "3xx in a class is stainless steel, Cu copper, Ni nickel, 4043 or 5356 aluminium",
    ),
    change=Words("choose a filler of steel: ER70S-6, E7018, E71T-1"),
    when=arc_welded,
    place="weld.filler",
    effect="the bead is of another metal than the steel beside it, and cracks along its edge",
)
def filler_metal(job: Job, bracket: Attachment) -> Answer:
    """The filler is of steel, as both parts are."""
    filler = bracket.weld.filler
    other = job.welding.other_metal_of(filler)
    return met(other is None, filler, otherwise=f"{filler}, of {other}")


@rule.must(
    Attachment,
    wanted="a filler that is made for the process",
    basis=from_memory(
        "AWS A5.1, A5.5, A5.18, A5.20, A5.28 and A5.29",
        "a class names its process: E7018 a covered electrode, ER70S-6 a solid wire or rod, E71T-1 a cored wire",
    ),
    change=Words("choose a filler of the process: ER70S-6 for wire and rod, E7018 for sticks, E71T-1 for cored wire"),
    when=arc_welded,
    follows=("filler-metal",),
    place="weld.filler",
    effect="the weld cannot be made as it is written down",
)
def filler_for_process(job: Job, bracket: Attachment) -> Answer:
    """The filler is made for the welding process."""
    weld = bracket.weld
    suited = job.welding.processes_of(weld.filler)
    if suited is None:
        raise CannotTell(f"the filler {weld.filler} is no AWS class for steel, as ER70S-6 is")
    return met(weld.process in suited, weld.filler, otherwise=f"{weld.filler}, for {' or '.join(suited)}")


@rule.check(
    Attachment,
    between(warning=("75 %", "135 %"), error=("60 %", "175 %")),
    basis=common_practice("the filler is as strong as the steel, or a grade above; E70 goes with structural steel"),
    error_basis=common_practice("a filler far stronger than the steel cracks the steel beside it; a weak one tears"),
    change=Words("choose a filler about as strong as the weaker steel: E70 or ER70S for carbon steel"),
    when=arc_welded,
    follows=("filler-metal",),
    place="weld.filler",
    effect="the joint cracks beside the bead, or the bead tears",
)
def filler_strength(job: Job, bracket: Attachment) -> float:
    """Tensile strength of the filler as a share of that of the weaker steel."""
    strength = job.welding.strength_of_filler(bracket.weld.filler)
    if strength is None:
        raise CannotTell(f"the strength of the filler {bracket.weld.filler} is not known; write its AWS class")
    metals = (bracket.bracket_material, job.parent_material(bracket))
    return strength / min(job.welding.strength_of_steel(metal) for metal in metals)


def preheat_stated(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where a preheat is stated."""
    why = arc_welded(job, bracket)
    return why or (None if bracket.weld.has("preheat") else "no preheat is stated")


def least_for_thickness(job: Job, bracket: Attachment) -> float:
    return job.welding.least_preheat(bracket)


@rule.check(
    Attachment,
    at_least(error="100 %", of=least_for_thickness, amounts=Dimension.TEMPERATURE),
    basis=published(
        "AWS D1.1, minimum preheat, categories A and B",
        "32 degF up to 3/4 in; low-hydrogen processes 50 degF up to 1 1/2 in, other sticks 150 degF",
    ),
    change=Words("warm both parts to the least preheat for the thicker one before the first bead"),
    when=preheat_stated,
    place="weld.preheat",
    effect="the steel chills the bead, and it cracks",
)
def least_preheat(job: Job, bracket: Attachment) -> float:
    """Preheat as a share of the least one for the thickness, from absolute zero."""
    return bracket.weld.preheat


@rule.check(
    Attachment,
    at_most(warning="500 degF", error="800 degF"),
    basis=common_practice("steel of a frame or an axle is preheated to 50 to 400 degF; above 800 degF it is annealed"),
    change=(Set("preheat", says="preheat to {amount}").of(weld_of), Words("look up the preheat, and its unit")),
    when=preheat_stated,
    place="weld.preheat",
    effect="the steel loses the strength that it was drawn or tempered to",
)
def most_preheat(job: Job, bracket: Attachment) -> float:
    """Temperature of the parts before the first bead."""
    return bracket.weld.preheat


HARD = "the zone beside the bead is hard, and cracks days later"


def alloy_steel(job: Job, bracket: Attachment) -> str | None:
    """Why the check does not apply; None where one of the parts is of alloy steel, and thick."""
    why = arc_welded(job, bracket)
    if why:
        return why
    if "alloy-steel" not in (bracket.bracket_material, job.parent_material(bracket)):
        return "neither part is of alloy steel"
    return None if job.welding.thicker_part(bracket) > 0.12 * 0.0254 else "the alloy steel is no thicker than 0.12 in"


@rule.must(
    Attachment,
    wanted="a preheat",
    basis=common_practice("alloy steel thicker than 0.12 in cracks beside a cold weld"),
    change=Words("preheat to 300 degF (150 degC), use a low-hydrogen process, and let it cool slowly"),
    when=alloy_steel,
    place="weld.preheat",
    effect=HARD,
)
def alloy_preheat_stated(job: Job, bracket: Attachment) -> Answer:
    """A preheat is planned for thick alloy steel."""
    return met(bracket.weld.has("preheat"), "stated", otherwise="not stated")


@rule.check(
    Attachment,
    at_least(error="200 degF"),
    basis=common_practice("US procedures for 4130 preheat to 200 to 600 degF, by thickness; quoted, not read"),
    change=(Set("preheat", says="preheat to {amount}").of(weld_of), Words("preheat to 300 degF (150 degC)")),
    when=alloy_steel,
    follows=("alloy-preheat-stated",),
    place="weld.preheat",
    effect=HARD,
)
def alloy_preheat(job: Job, bracket: Attachment) -> float:
    """Preheat of thick alloy steel."""
    return bracket.weld.preheat


@rule.check(
    Attachment,
    at_most(warning="550 degF", error="600 degF"),
    basis=from_memory("AWS D1.1, interpass temperature", "550 degF where the steel must stay tough"),
    error_basis=common_practice("hotter than 600 degF, steel beside the bead is softened"),
    change=(Set("interpass", says="let it cool to {amount}").of(weld_of), Words("let it cool between beads")),
    when=states("interpass"),
    place="weld.interpass",
    effect="the steel beside the bead is softened",
)
def interpass(job: Job, bracket: Attachment) -> float:
    """Highest temperature between beads."""
    return bracket.weld.interpass


@rule.check(
    Attachment,
    at_most(warning="1200 degF", error="1350 degF"),
    basis=from_memory("AWS D1.1, postweld heat treatment", "1100 degF, and 1200 degF at most"),
    error_basis=common_practice("steel changes its grain at 1340 degF, and is soft where it cools slowly from there"),
    change=(Set("post_heat", says="heat it to {amount}").of(weld_of), Words("look up the temperature, and its unit")),
    when=states("post_heat"),
    place="weld.post_heat",
    effect="the steel loses the strength that it was drawn or tempered to",
)
def post_heat(job: Job, bracket: Attachment) -> float:
    """Temperature held after the last bead."""
    return bracket.weld.post_heat


def preheat_of(job: Job, bracket: Attachment) -> float:
    return bracket.weld.preheat


@rule.check(
    Attachment,
    at_least(error="100 %", of=preheat_of, amounts=Dimension.TEMPERATURE),
    basis=common_practice("each bead goes onto metal at least as warm as the first"),
    change=Words("state a highest temperature between beads above the preheat"),
    when=states("interpass"),
    place="weld.interpass",
    compares=True,
    effect="the preheat is lost before the last bead",
)
def interpass_above_preheat(job: Job, bracket: Attachment) -> float:
    """Highest temperature between beads as a share of the preheat, from absolute zero."""
    return bracket.weld.interpass


@rule.must(
    Attachment,
    wanted="still air, or slower",
    basis=common_practice("a weld on steel cools in still air, under a blanket or in a furnace; water hardens it"),
    change=Words("let it cool in still air, without wind or water"),
    when=states("cooling"),
    place="weld.cooling",
    effect="the zone beside the bead turns hard and cracks",
)
def cooled_slowly(job: Job, bracket: Attachment) -> Answer:
    """The weld is not cooled by force."""
    found = bracket.weld.cooling.replace("-", " ")
    return met(bracket.weld.cooling != "forced", found, otherwise=found)


AMPERES_PER_METRE = 1.0 / 0.0000254  # one ampere for each thousandth of an inch
THICKEST = 0.00635  # thicker steel is welded in several passes of this current, m


@rule.check(
    Attachment,
    between(warning=("50 %", "140 %"), error=("30 %", "180 %")),
    basis=common_practice("one ampere for each thousandth of an inch of the thinner part, up to 1/4 in"),
    change=(Set("current", says="set the current to {amount}").of(weld_of), Words("set another current")),
    when=states("current"),
    place="weld.current",
    effect="too little does not fuse, too much burns through",
)
def current(job: Job, bracket: Attachment) -> float:
    """Welding current as a share of one ampere for each thousandth of an inch of the thinner part."""
    thickness = min(job.strengths.thinner_part(bracket), THICKEST)
    return bracket.weld.current / (thickness * AMPERES_PER_METRE)


@rule.must(
    Attachment,
    wanted="a voltage of the process",
    basis=common_practice("14 to 36 V with wire, 17 to 35 V with sticks, 7 to 22 V with a tungsten electrode"),
    change=Words("look at the machine's chart for the wire and the gas, and set the voltage anew"),
    when=states("voltage"),
    place="weld.voltage",
    effect="the arc stubs or wanders, and the bead does not fuse",
)
def voltage(job: Job, bracket: Attachment) -> Answer:
    """The arc voltage is one of the process."""
    least, most = job.welding.arc_voltage(bracket.weld)
    found = shown_in(job.build, bracket.weld.voltage, Dimension.VOLTAGE)
    return met(least <= bracket.weld.voltage <= most, found, otherwise=f"{found}, and {least:g} to {most:g} V is usual")


# Heat of one pass for each square metre of leg squared, J/m3: 1 kJ/mm for each mm2 is 1e12.
HEAT_OF_LEG = 0.025e12


@rule.check(
    Attachment,
    between(warning=("40 %", "240 %"), error=("20 %", "400 %")),
    basis=common_practice(
        "one pass takes 0.010 to 0.060 kJ/mm for each mm2 of its leg squared: wire 0.015, sticks 0.03, tungsten 0.04"
    ),
    change=(
        Set("travel_speed", says="weld at {amount}").of(weld_of),
        Words("lay the leg in several passes, or weld faster or slower, until a trial piece shows the planned leg"),
    ),
    when=states("travel_speed"),
    place="weld.travel_speed",
    effect="the three settings do not make the planned leg in one pass",
)
def heat_for_leg(job: Job, bracket: Attachment) -> float:
    """Heat input of one pass, as a share of 0.025 kJ/mm for each square millimetre of the leg squared."""
    return job.welding.heat_input(bracket.weld) / (HEAT_OF_LEG * bracket.weld.leg**2)
