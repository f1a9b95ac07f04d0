"""Specs that together state every field that a spec may have: the examples, with what each of them leaves out.

Each is an example at the end of its job, when every record is made. What excludes another (a tube and a section, a tie
rod on the knuckle and one on the drag link) is in a spec of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from buildcheck.build.stage_records import NearWelds
from buildcheck.testing import changed, sound_spec

TAMARACK = "tamarack/proposal.buildcheck.yaml"
THREE_LINK = "three-link-metric.buildcheck.yaml"
FOUR_LINK = "four-link-rear.buildcheck.yaml"

TIGHT = {
    "torque": "250 lb-ft",
    "thread_condition": "oiled",
    "preload": "24000 lbf",
    "locked_by": "all-metal-lock-nut",
    "proof_strength": "120 ksi",
    "grip": "2 3/8 in",
}
SHANK = {
    "thread": "1-14",
    "thread_engaged": "1 1/2 in",
    "thread_hand": "right",
    "shank_length": "4 1/8 in",
    "insert_shoulder": "1/4 in",
    "centre_to_tube": "1 1/8 in",
}
STUD = {
    **SHANK,
    "kind": "rod-end",
    "radial_stiffness": "300000 lb/in",
    "torsional_stiffness": "1 lb-ft/deg",
    "misalignment": 22,
    "load_rating": "18000 lbf",
    "thread": "7/8-14",
    "thread_engaged": "1 1/4 in",
    "thread_hand": "right",
    "shank_length": "3 in",
    "insert_shoulder": "1/4 in",
    "centre_to_tube": "1 1/8 in",
    "axis": [0, 0, 1],
    "bolt": {
        "size": "5/8-11", "grade": "sae-8", "shear_planes": 1, "threads_in_shear_plane": False, "torque": "150 lb-ft",
        "thread_condition": "oiled", "preload": "14000 lbf", "locked_by": "castle-nut-and-cotter-pin",
        "proof_strength": "120 ksi", "grip": "1 1/2 in",
    },
}  # fmt: skip
EYE = {
    **STUD,
    "kind": "spherical",
    "axis": [1, 0, 0],
    "bolt": {
        "size": "1/2-13", "grade": "sae-8", "shear_planes": 2, "threads_in_shear_plane": False, "torque": "75 lb-ft",
        "thread_condition": "dry", "preload": "9000 lbf", "locked_by": "all-metal-lock-nut",
        "proof_strength": "120 ksi", "grip": "2 in",
    },
}  # fmt: skip
PROCEDURE = {
    "interpass": "400 degF",
    "cooling": "still-air",
    "peened": False,
    "current": "180 A",
    "voltage": "22 V",
    "travel_speed": "11 in/min",
}
FITTED = {"gap": "1/64 in", "bare_metal": True, "tacks_in_reach": True}


def _fitted(spec: dict[str, Any], **of_welds: Any) -> dict[str, Any]:
    """The spec with every bracket fitted and then welded or bolted for good, those of the axle in turn."""
    order = 0
    for sides in spec["attachments"].values():
        for bracket in sides.values():
            if bracket["method"] == "bolted":
                bracket["as_bolted"] = {"new_fasteners": True, "marked": True}
                continue
            order += 1
            bracket["fit_up"] = dict(FITTED)
            bracket["weld"] |= of_welds
            bracket["as_welded"] = {"order": order, "cooled": True, "looked_at": True, **WELDER}
            if "preheat" in bracket["weld"]:
                bracket["as_welded"]["preheat"] = bracket["weld"]["preheat"]
    return spec


def _with_every_joint(spec: dict[str, Any], **more: Any) -> dict[str, Any]:
    """The spec with more stated of every joint of its links and its lateral bar, and of their bolts."""
    parts = [part for sides in spec["links"].values() for part in sides.values()]
    for part in (*parts, *([spec["lateral_bar"]] if "lateral_bar" in spec else [])):
        for joint in part["joints"].values():
            joint |= {name: value for name, value in more.items() if name not in ("bolt", *joint)}
            joint["bolt"] |= more["bolt"]
    return spec


WELDER = {"welded_by": "A. Welder", "qualification": "break test of the same joint"}

# As computed for the proposal, to an eighth of an inch.
CYCLED_LEFT = {
    "stop_touches_at": "3 1/8 in",
    "strap_tight_at": "5 5/8 in",
    "coilover_left_in_bump": "1 5/8 in",
    "coilover_left_in_droop": "2 in",
    "brake_line_slack": "1 3/8 in",
}
CYCLED_RIGHT = {
    **CYCLED_LEFT,
    "strap_tight_at": "5 3/4 in",
    "coilover_left_in_droop": "2 1/4 in",
    "brake_line_slack": "2 3/4 in",
}

OF_TAMARACK: Mapping[str, Any] = {
    "build.stage": "driven",
    "axle.toe_in_by_tape": "1/16 in",
    "links.arm.both.length": "37 1/8 in",
    "lateral_bar.length": "33 1/8 in",
    "steering.drag_link.tube.yield_strength": "60 ksi",
    "steering.drag_link.ends_on": "knuckle",
    "steering.drag_link.joints": {"pitman": STUD, "arm": STUD},
    "steering.tie_rod.tube.yield_strength": "60 ksi",
    "steering.tie_rod.joined_to": "knuckle",
    "steering.tie_rod.joints": {"left": STUD, "right": STUD},
    "steering.kingpins.both.knuckle": {"start": [0.5, 27.5, 19.5], "end": [0, 28.5, 13.5], "radius": "1 1/2 in"},
    "steering.kingpins.both.caliper": {"start": [-5, 28, 18], "end": [-5, 28, 14], "radius": "1 1/2 in"},
    "steering.stabiliser": {
        "fixed": [5, 3, 15],
        "fixed_to": "axle",
        "moving": [8, -15, 14.2],
        "steadies": "tie-rod",
        "extended_length": 24,
        "compressed_length": 14,
        "force": "250 lbf",
        "body_diameter": "1 5/8 in",
    },
    "coilovers.coilover.both.kind": "coilover",
    "coilovers.coilover.both.upper_spring_stop": "6 1/2 in",
    "coilovers.coilover.both.joints": {"frame": EYE, "axle": EYE},
    "limit_straps.strap.both.joints": {"frame": EYE, "axle": EYE},
    "links.arm.both.tube.youngs_modulus": "205 GPa",
    "lateral_bar.tube.youngs_modulus": "205 GPa",
    "attachments.lateral_bar_frame_bracket.left.brace.tube.youngs_modulus": "205 GPa",
    "attachments.lateral_bar_axle_bracket.right.brace.bolt.proof_strength": "120 ksi",
    "attachments.lateral_bar_axle_bracket.right.brace.bolt.preload": "20000 lbf",
    "steering.drag_link.tube.youngs_modulus": "205 GPa",
    "steering.tie_rod.tube.youngs_modulus": "205 GPa",
    "driveshaft.tube.youngs_modulus": "205 GPa",
    "driveshaft.tube.yield_strength": "60 ksi",
    "attachments.arm_axle_bracket.right.bolts.hole_diameter": "21/32 in",
    "attachments.arm_axle_bracket.right.bolts.preload": "18000 lbf",
    "attachments.arm_axle_bracket.right.bolts.proof_strength": "120 ksi",
    "attachments.arm_axle_bracket.right.parent_material": "ductile-iron",
    "load_cases": {
        "braking": 0.8, "cornering": 0.7, "combined": "70 %", "friction": 0.9, "bump_stop_hit": 3,
        "rock_strike": "2500 lbf", "ledge": "8 in", "one_wheel": 1.8, "kerb": 1.75,
    },
    "records.baseline.sides.left": {
        "wheelbase": "108 1/16 in", "ride_height": "5 3/4 in", "fender_height": "19 1/4 in",
        "tyre_to_frame": "8 7/8 in", "caster": 5.5, "camber": 0.25,
    },
    "records.baseline.sides.right": {
        "wheelbase": 108, "ride_height": "5 5/8 in", "fender_height": "19 1/8 in", "tyre_to_frame": 9, "caster": 5.25,
        "camber": 0.25,
    },
    "records.baseline.diagonal_left": "71 1/8 in",
    "records.baseline.diagonal_right": 71,
    "records.baseline.axle_offset": "1/8 in",
    "records.baseline.toe_in": 0.1,
    "records.baseline.toe_in_by_tape": "1/16 in",
    "records.baseline.bumper_height": 28,
    "records.tacked": {
        "old_mounts_removed": True, "rotation_set_from": "differential-side", "jam_nuts_fitted": True,
        "near_welds": dict.fromkeys(NearWelds.SAID, "removed"),
    },
    "records.cycled": {
        "sides": {"left": CYCLED_LEFT, "right": CYCLED_RIGHT},
        "ended_up_by": "bump-stop",
        "ended_down_by": "limit-strap",
        "ended_left_up_by": "bump-stop",
        "ended_right_up_by": "bump-stop",
        "touched_at_left_lock": "nothing",
        "touched_at_right_lock": "nothing",
        "both_locks": True,
        "nothing_touched": True,
        "gaps": [{"first": "drag link", "second": "crossmember", "gap": "1 15/16 in"}],
    },
    "records.welded": {"tube_bow": "1/64 in"},
    "records.reassembled": {
        "renewed": {"axle_shaft_seals": {"renewed": True}},
        "brakes_bled": True,
        "no_leaks": True,
        "fluids_filled": True,
        "vent_clear": True,
        "bolts_tightened": True,
        "lines_secured": True,
    },
    "records.aligned": {
        "sides": {"left": {"caster": 6.1, "camber": 0.2}, "right": {"caster": 5.9, "camber": 0.3}},
        "toe_in": 0.1,
        "thrust": 0.05,
        "wheel_centred": True,
    },
    "records.driven": {
        "brakes_tested": True,
        "runs_straight": True,
        "no_shake": True,
        "nothing_new": True,
        "torque_checks": [{"planned_after": "50 mi", "done_after": "48 mi", "all_tight": True}],
    },
    "records.measured": [
        {
            "stage": "tacked", "of": "links.arm.left.frame", "value": [-37, "16 9/16 in", 19.75],
            "tolerance": "1/16 in", "tool": "tape", "measured_on": "2026-03-10", "measured_by": "invented",
        },
        {
            "stage": "aligned", "of": "axle.caster", "value": "6.1 deg", "tolerance": "0.2 deg", "tool": "angle-gauge",
            "measured_on": "2026-03-20", "measured_by": "invented",
        },
        {
            "stage": "proposal", "of": "vehicle.axle_load", "value": "2655 lb", "tolerance": "10 lb", "tool": "scales",
            "measured_on": "2026-03-01", "measured_by": "invented",
        },
    ],
    "parts": {
        name: {"ordered": 2, "arrived": 2, "inspected": True, "note": "as drawn"}
        for name in ("radius_arm", "coilover", "limit_strap", "bump_stop")
    },
    "waivers": [
        {
            "rule": "baseline", "limit": "photographs", "place": "records.baseline", "reason": "the camera broke",
            "who": "shop foreman", "date": "2026-03-14", "covers": "warning", "accepts": "no", "until_stage": "driven",
        },
        {
            "rule": "link-flatness", "place": "links.arm", "reason": "there is room", "who": "shop foreman",
            "date": "2026-03-14", "covers": "warning", "until_stage": "driven", "limit": "fore-and-aft",
            "up_to": "-1 1/8 in",
        },
        {
            "rule": "limit-strap-length", "place": "brake_lines", "reason": "measured by hand", "who": "shop foreman",
            "date": "2026-03-14", "covers": "warning", "until_date": "2026-12-31",
        },
    ],
    "may_move": [
        {"of": "links.arm.both.frame", "axis": "z", "least": "-2 in", "most": "1 in", "step": "1/2 in"},
        {"of": "lateral_bar.frame", "fixed": True},
    ],
    "shop": {"bay": 3},
}  # fmt: skip


def tamarack() -> dict[str, Any]:
    """Tamarack at the end of its job, with every field that goes with the others."""
    spec = _with_every_joint(sound_spec(TAMARACK), torsional_stiffness="5 lb-ft/deg", **SHANK, bolt=TIGHT)
    return _fitted(changed(spec, deepcopy(OF_TAMARACK)), **PROCEDURE)


def on_studs() -> dict[str, Any]:
    """Tamarack with the studs of its steering joints, as its proposal has them, in place of bolts."""
    steering = sound_spec(TAMARACK)["steering"]
    return changed(tamarack(), {f"steering.{rod}.joints": steering[rod]["joints"] for rod in ("drag_link", "tie_rod")})


def on_a_damper() -> dict[str, Any]:
    """Tamarack with arms of plate, a bare damper beside each coilover, a rod that ends on the drag link, a shaft of two
    pieces, and a half-space."""
    spec = tamarack()
    for arm in spec["links"]["arm"].values():
        tube = arm.pop("tube")
        arm["section"] = {
            "shape": "boxed-plate", "height": "3 in", "width": "2 in", "wall": "1/4 in", "material": tube["material"],
            "grade": "A36", "yield_strength": "50 ksi", "youngs_modulus": "205 GPa",
        }  # fmt: skip
    return changed(
        spec,
        {
            "records.baseline.photographs": False,
            "attachments.lateral_bar_axle_bracket.right.brace.bolt": {
                "size": "5/8-11", "grade": "sae-8", "grip": "1 1/2 in", "shear_planes": 1, "torque": "200 lb-ft",
                "threads_in_shear_plane": False, "thread_condition": "oiled", "locked_by": "all-metal-lock-nut",
            },
            # The knuckle comes down on it.
            "vehicle.obstacles.step": {"shape": "box", "lower": [-3, 27, 4], "upper": [2, 30, 6.5]},
            "vehicle.obstacles.firewall": {"shape": "half-space", "point": [-40, 0, 40], "normal": [1, 0.2, 0.3]},
            "coilovers.second": {
                "both": {
                    "kind": "damper", "frame": [6, 18.5, 45.1], "axle": [5, 21, 17.5], "extended_length": 35.5,
                    "compressed_length": 21.5, "gas_charged": True, "gas_pressure": "200 psi", "body_diameter": 2.5,
                    "shaft_diameter": "7/8 in", "joints": {"frame": EYE, "axle": EYE},
                }
            },
            "driveshaft.carrier_bearing": {"point": [-46, -6.5, 22.14], "gearbox_point": [-86, -6.5, 23.54]},
            "attachments.damper_axle_bracket": {
                "both": {
                    "holds": "coilovers.second", "parent": "axle-end", "bracket_material": "carbon-steel",
                    "bracket_thickness": "1/4 in", "parent_thickness": "1/2 in", "height": 2, "method": "welded",
                    "design_load": "1000 lbf", "weld": {
                        "kind": "fillet", "leg": "3/16 in", "length": 6, "process": "gas-metal-arc",
                        "filler": "ER70S-6", "tacks": {"count": 4, "length": "1/2 in"},
                    },
                },
            },
            "waivers": [
                {
                    "rule": "clearance", "place": "vehicle.obstacles.firewall", "reason": "the wall is drawn too near",
                    "who": "shop foreman", "date": "2026-03-14", "covers": "error", "until_date": "2026-12-31",
                },
                {
                    "rule": "clearance", "place": "steering", "reason": "the stops are set later",
                    "who": "shop foreman", "date": "2026-03-14", "covers": "warning", "until_stage": "driven",
                },
                {
                    "rule": "clearance", "limit": "part-gap", "place": "steering.stabiliser", "up_to": "-20 in",
                    "covers": "warning", "reason": "the damper is moved later", "who": "shop foreman",
                    "date": "2026-03-14", "until_stage": "driven",
                },
                {
                    "rule": "clearance", "limit": "part-gap", "place": "vehicle.obstacles.step", "up_to": "-30 in",
                    "covers": "error", "reason": "the step is cut off", "who": "shop foreman", "date": "2026-03-14",
                    "until_stage": "driven",
                },
                {
                    "rule": "baseline", "limit": "photographs", "place": "records.baseline", "accepts": "no",
                    "reason": "the camera broke", "who": "shop foreman", "date": "2026-03-14", "until_stage": "driven",
                },
                {
                    "rule": "cycled-by-hand", "limit": "coilover-left-in-droop", "place": "coilovers.coilover",
                    "up_to": "-1 1/2 in", "covers": "error", "reason": "measured again by hand",
                    "who": "shop foreman", "date": "2026-03-14", "until_stage": "driven",
                },
                {
                    "rule": "clearance", "place": "coilovers", "reason": "the damper is moved later",
                    "who": "shop foreman", "date": "2026-03-14", "covers": "error", "until_date": "2026-03-20",
                },
            ],
            "steering.tie_rod": {
                "left": [8.5, 29.7, 14.2], "right": [10, -16, 22.6], "joined_to": "drag-link",
                "tube": {"outside_diameter": "1 1/4 in", "wall": "1/4 in", "material": "carbon-steel"},
                "joints": {"left": STUD, "right": STUD},
            },
        },
    )  # fmt: skip


def rod_on_rod() -> dict[str, Any]:
    """Tamarack with a drag link that ends on the tie rod."""
    return changed(tamarack(), {"steering.drag_link.ends_on": "tie-rod", "steering.drag_link.arm": [8.5, -23, 14.2]})


def three_link() -> dict[str, Any]:
    """The three-link with the joints of two-point links stated whole, and the heat of its alloy brackets."""
    spec = _with_every_joint(
        sound_spec(THREE_LINK),
        radial_stiffness="80000 N/mm",
        torsional_stiffness="5 N·m/deg",
        **SHANK | {"thread": "M24x2", "thread_engaged": "40 mm", "shank_length": "105 mm"},
        bolt={**TIGHT, "torque": "250 N·m", "preload": "90 kN", "proof_strength": "830 MPa"},
    )
    lengths = {"links.lower.both.length": 902, "links.upper.right.length": 611}
    return changed(_fitted(spec), {"build.stage": "driven", **lengths})


def on_welded_ends() -> dict[str, Any]:
    """Tamarack with joints that are welded or pressed on, in place of shanks."""
    spec = tamarack()
    rods = [*spec["links"]["arm"].values(), spec["lateral_bar"], spec["steering"]["drag_link"]]
    rods += [spec["steering"]["tie_rod"], *spec["coilovers"]["coilover"].values()]
    return _welded_on(spec, rods)


def three_link_on_welded_ends() -> dict[str, Any]:
    """The three-link with such joints."""
    spec = three_link()
    return _welded_on(spec, [part for sides in spec["links"].values() for part in sides.values()])


def _welded_on(spec: dict[str, Any], rods: list[dict[str, Any]]) -> dict[str, Any]:
    for rod in rods:
        rod["joints"] = {
            end: {name: value for name, value in joint.items() if name not in SHANK} | {"centre_to_tube": "1 1/8 in"}
            for end, joint in rod["joints"].items()
        }
    return spec


def four_link() -> dict[str, Any]:
    """The rear axle, with a weld on its gray iron and what that needs."""
    return changed(
        sound_spec(FOUR_LINK),
        {
            "build.stage": "driven",
            "axle.centre_section.material": "ductile-iron",
            "attachments.upper_axle_mount.both.method": "welded",
            "attachments.upper_axle_mount.both.weld": {
                "kind": "fillet", "leg": "5/16 in", "length": 14, "process": "shielded-metal-arc",
                "filler": "ENiFe-CI", "preheat": "550 degF", "interpass": "600 degF", "post_heat": "1100 degF",
                "cooling": "slow", "peened": True, "tacks": {"count": 4, "length": "1/2 in"},
            },
        },
    )  # fmt: skip


WHOLE = {
    make.__name__.replace("_", "-"): make
    for make in (
        *(
            tamarack,
            on_studs,
            on_a_damper,
            rod_on_rod,
            on_welded_ends,
            three_link,
            three_link_on_welded_ends,
            four_link,
        ),
    )
}
