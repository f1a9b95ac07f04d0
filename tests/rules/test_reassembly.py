"""A build that just passes and one that just fails at each limit of reassembly."""

import pytest
from buildcheck_rules.reassembly import DONE
from buildcheck_rules.reassembly import rule as reassembly
from edges import Need, check_complete, check_need

WHERE = "records.reassembled"


def need(field: str) -> Need:
    """The need of one statement that is true where the work was done."""
    name = field.replace("_", "-")
    return Need(
        name,
        "records reassembled",
        met={WHERE: DONE},
        not_met={WHERE: {**DONE, field: False}},
        finds=(("records reassembled", name, f"{WHERE}.{field}"),),
    )


SEALS = "axle shaft seals"
NEEDS = [
    *map(need, ("brakes_bled", "no_leaks", "fluids_filled", "vent_clear", "bolts_tightened", "lines_secured")),
    Need(
        "renewed",
        SEALS,
        met={WHERE: DONE},
        not_met={WHERE: {**DONE, "renewed": {"axle_shaft_seals": {"renewed": False}}}},
        finds=((SEALS, "renewed", f"{WHERE}.renewed.axle_shaft_seals.renewed"),),
    ),
]


@pytest.mark.parametrize("need", NEEDS, ids=str)
def test_what_is_required(need: Need) -> None:
    check_need(reassembly, need)


def test_every_limit_has_its_edges() -> None:
    check_complete(reassembly, (), NEEDS)
