"""Rules of an invented shop: what it offers to buildcheck."""

from buildcheck.api import Family, Rule, ShopFields, hook
from our_shop.coilover_lean import LEAN
from our_shop.coilover_lean import rule as coilover_lean
from our_shop.fields import FIELDS
from our_shop.joint_thread import rule as joint_thread
from our_shop.weld_procedure import rule as weld_procedure

BUILDCHECK_INTERFACE = 2


@hook
def buildcheck_rules() -> list[Rule]:
    """The shop's rules."""
    return [joint_thread, coilover_lean, weld_procedure]


@hook
def buildcheck_quantities() -> list[Family]:
    """What the shop reads off while it cycles an axle, beside what buildcheck does."""
    return [LEAN]


@hook
def buildcheck_shop_fields() -> list[ShopFields]:
    """What the shop writes into its specs, under `shop.our_shop`."""
    return [FIELDS]
