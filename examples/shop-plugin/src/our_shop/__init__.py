"""A plugin of an invented shop: its rules, a quantity and fields."""

from buildcheck.api import Family, Rule, ShopFields, hook
from our_shop.approved_procedure import rule as approved_procedure
from our_shop.coilover_lean import LEAN
from our_shop.coilover_lean import rule as coilover_lean
from our_shop.fields import FIELDS
from our_shop.joint_thread import rule as joint_thread

BUILDCHECK_INTERFACE = 2


@hook
def buildcheck_rules() -> list[Rule]:
    """The shop's rules."""
    return [joint_thread, coilover_lean, approved_procedure]


@hook
def buildcheck_quantities() -> list[Family]:
    """Quantities that the shop reads while it cycles an axle, in addition to the built-in ones."""
    return [LEAN]


@hook
def buildcheck_shop_fields() -> list[ShopFields]:
    """Fields that the shop writes in its specs, under `shop.our_shop`."""
    return [FIELDS]
