"""A build that just passes and one that just fails at each requirement of link-material."""

import pytest
from buildcheck_rules.link_material import rule as link_material
from edges import Need, check_complete, check_need

TIE_ROD, ARM = "steering.tie_rod.tube.material", "links.arm.both.tube.material"
BAR = "lateral_bar.tube.material"
NEEDS = [
    *(
        Need(
            "tough-rod",
            "steering tie rod",
            met={TIE_ROD: "alloy-steel"},
            not_met={TIE_ROD: metal},
            finds=(("steering tie rod", "tough-rod", TIE_ROD),),
        )
        for metal in ("gray-iron", "ductile-iron", "malleable-iron", "unknown-casting", "aluminium")
    ),
    *(
        Need(
            "not-of-iron",
            "lateral bar",
            met={BAR: "cast-steel"},
            not_met={BAR: metal},
            finds=(("lateral bar", "not-of-iron", BAR),),
        )
        for metal in ("gray-iron", "ductile-iron", "malleable-iron", "unknown-casting")
    ),
    Need(
        "tough-link",
        "left arm",
        met={ARM: "forged-steel"},
        not_met={ARM: "aluminium"},
        finds=tuple((arm, "tough-link", ARM) for arm in ("left arm", "right arm")),
    ),
]


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(link_material, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(link_material, (), NEEDS)
