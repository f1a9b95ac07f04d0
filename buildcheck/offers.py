"""What a plugin may offer beside rules, and the refusal of whatever is not whole.

A plugin's author makes these; `buildcheck.plugins` collects them. Each has a name, which no two of a kind share.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from typing import Any, NamedTuple

from buildcheck.build import Stage
from buildcheck.build.part import METALS
from buildcheck.job.layout import ASSUMED_STIFFNESS
from buildcheck.job.quantities import Family, Quantity, families, of_no_part
from buildcheck.job.subjects import SUBJECTS
from buildcheck.limit import Basis, Limit, Requirement
from buildcheck.place import blank
from buildcheck.quantity import Dimension, System, parse
from buildcheck.rule import Area, Rule
from buildcheck.shop_schema import fault_in
from buildcheck.strength import PROOF_STRENGTH
from buildcheck.waivers import WAIVERS

NAME = re.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*")
BUILT_IN_OUTPUTS = ("text", "json")


class ShopFields(NamedTuple):
    """One key under `shop:` in a spec that the plugin owns, and the JSON Schema (2020-12) that it is held to.

    A mistake below the key is told with its line and column, as any mistake in a spec is. The schema may use
    `quantity` beside the type `["number", "string"]`, as in `{"dimension": "length", "from": "0 in", "to": "4 in"}`,
    for a number in the units of the spec or text with a unit; `shop_amount` reads it. It refers to nothing outside of
    itself. Keys under `shop` that no plugin owns are accepted as they are.
    """

    key: str
    schema: Mapping[str, Any]

    @property
    def name(self) -> str:
        """What no other plugin's fields may be called: the key."""
        return self.key


class OutputFormat(NamedTuple):
    """A format of `buildcheck inspect --output NAME`.

    `write` is handed the record as `buildcheck schema --of readings` describes it, as plain data, and returns the text
    to write. The record has its numbers in SI and as shown, so a format neither computes nor converts.
    """

    name: str
    write: Callable[[Mapping[str, Any]], str]


class JointKind(NamedTuple):
    """A kind of joint that a spec may name in `joints`, and the radial stiffness assumed where the spec gives none.

    `radial_stiffness` is an amount with its unit: `60000 lb/in`. Each one assumed is reported with the readings.
    """

    name: str
    radial_stiffness: str

    @property
    def stiffness(self) -> float:
        """The radial stiffness, N/m. Raises QuantityError for what is none."""
        return parse(self.radial_stiffness, Dimension.STIFFNESS, System.METRIC)


class BoltGrade(NamedTuple):
    """A grade of bolt that a spec may name, its proof strength (`105 ksi`), and the largest diameter it is made in
    (`1 in`)."""

    name: str
    proof_strength: str
    largest_diameter: str

    @property
    def strength(self) -> tuple[float, float]:
        """Largest diameter, m, and proof strength, Pa. Raises QuantityError for what is none."""
        return (
            parse(self.largest_diameter, Dimension.LENGTH, System.METRIC),
            parse(self.proof_strength, Dimension.PRESSURE, System.METRIC),
        )


class Metal(NamedTuple):
    """A metal that a spec may name, and the one of the list of the spec format that rules treat it as.

    Rules know metals by name, so that one of which they know nothing would pass as steel: whoever adds one says what it
    welds and breaks like.
    """

    name: str
    treated_as: str


class Unusable(Exception):
    """A plugin that does not keep to the interface; the message says how."""


class Kind(NamedTuple):
    """One kind of thing that plugins offer.

    `hook` is the hook that offers it, `collected` where `Collected` keeps it, `noun` what a person calls it, `made_of`
    its classes, `made_with` how one is made. `refuse` raises Unusable for one that is not whole; `taken` are the names
    that buildcheck itself uses.
    """

    hook: str
    collected: str
    noun: str
    made_of: tuple[type, ...]
    made_with: str
    refuse: Callable[[Any], None]
    taken: Callable[[], Collection[str]]


def _refuse_rule(rule: Rule) -> None:
    if not NAME.fullmatch(rule.name):
        raise Unusable(f"its rule {rule.name!r} needs a name of small letters and hyphens, such as link-flatness")
    if not isinstance(rule.area, Area) or not isinstance(rule.from_stage, Stage):
        raise Unusable(f"its rule {rule.name!r} needs one of the areas and one of the stages of buildcheck.api")
    if blank(rule.title) or blank(rule.page):
        raise Unusable(f"its rule {rule.name!r} has no page; write a docstring of a title and a text")
    for limit in rule.limits:
        if not isinstance(limit, Limit | Requirement) or not all(_says_why(basis) for basis in _bases(limit)):
            raise Unusable(f"its rule {rule.name!r} has a limit without a basis")


def _bases(limit: Limit | Requirement) -> list[Basis]:
    own_error = limit.error_basis if isinstance(limit, Limit) else None
    return [limit.basis] if own_error is None else [limit.basis, own_error]


def _says_why(basis: Basis) -> bool:
    """Whether a basis has a text that can be seen; and a source, where it names one."""
    return not blank(basis.text) and not (basis.source and blank(basis.source))


def _refuse_quantity(quantity: Quantity | Family) -> None:
    what = f"its quantity {quantity.name!r}"
    if not isinstance(quantity.name, str) or not NAME.fullmatch(quantity.name):
        raise Unusable(f"{what} needs a name of small letters and hyphens, such as coilover-length")
    if not isinstance(quantity.dimension, Dimension) or not callable(quantity.of):
        raise Unusable(f"{what} needs a Dimension of buildcheck.api and a function that computes it")
    said = (quantity.heading, quantity.meaning, quantity.noun if isinstance(quantity, Family) else quantity.group)
    if not all(isinstance(words, str) and words for words in said):
        raise Unusable(f"{what} needs words for its heading, its meaning with its sign, and what it belongs to")
    if isinstance(quantity, Family):
        if quantity.kind not in SUBJECTS or quantity.kind in ("build", "pair"):
            raise Unusable(f"{what} is of the unknown kind of part {quantity.kind!r}")
        try:
            quantity.meaning.format(part="part")
        except (LookupError, ValueError):
            raise Unusable(f"{what} may have {{part}} in its meaning, and no other braces") from None


def _refuse_fields(fields: ShopFields) -> None:
    if not isinstance(fields.key, str) or not re.fullmatch("[a-z][a-z0-9_]{0,39}", fields.key):
        raise Unusable(
            f"its key {fields.key!r} under shop needs small letters, digits and underscores, as our_shop has"
        )
    fault = fault_in(fields.schema)
    if fault:
        raise Unusable(f"the schema of its shop.{fields.key} {fault}")


def _refuse_output(output: OutputFormat) -> None:
    if not isinstance(output.name, str) or not NAME.fullmatch(output.name):
        raise Unusable(f"its output {output.name!r} needs a name of small letters and hyphens")
    if not callable(output.write):
        raise Unusable(f"its output {output.name!r} needs a function that writes it")


def _refuse_joint(joint: JointKind) -> None:
    _refuse_material("joint kind", joint.name, lambda: (joint.stiffness,))


def _refuse_grade(grade: BoltGrade) -> None:
    _refuse_material("bolt grade", grade.name, lambda: grade.strength)


def _refuse_material(noun: str, name: object, amounts: Callable[[], tuple[float, ...]]) -> None:
    if not isinstance(name, str) or not re.fullmatch("[a-z0-9]+([.-][a-z0-9]+)*", name):
        raise Unusable(f"its {noun} {name!r} needs a name of small letters, digits, dots and hyphens")
    try:
        sound = all(amount > 0 for amount in amounts())
    except (ValueError, TypeError) as error:
        raise Unusable(f"its {noun} {name!r}: {error}") from None
    if not sound:
        raise Unusable(f"its {noun} {name!r} needs amounts above zero")


def _refuse_metal(metal: Metal) -> None:
    _refuse_material("metal", metal.name, lambda: (1.0,))
    if metal.treated_as not in METALS:
        raise Unusable(f"its metal {metal.name!r} is to be treated as one of {', '.join(METALS)}")


def _quantity_names() -> Collection[str]:
    return {*(each.name for each in of_no_part()), *(each.family for each in families())}


KINDS = (
    Kind("buildcheck_rules", "rules", "rule", (Rule,), "@rule", _refuse_rule, lambda: (WAIVERS.name,)),
    Kind(
        "buildcheck_quantities", "quantities", "quantity", (Quantity, Family), "Quantity or Family",
        _refuse_quantity, _quantity_names,
    ),
    Kind("buildcheck_shop_fields", "shop_fields", "shop field", (ShopFields,), "ShopFields", _refuse_fields, tuple),
    Kind(
        "buildcheck_outputs", "outputs", "output", (OutputFormat,), "OutputFormat",
        _refuse_output, lambda: BUILT_IN_OUTPUTS,
    ),
    Kind(
        "buildcheck_joint_kinds", "joint_kinds", "joint kind", (JointKind,), "JointKind",
        _refuse_joint, lambda: ASSUMED_STIFFNESS,
    ),
    Kind(
        "buildcheck_bolt_grades", "bolt_grades", "bolt grade", (BoltGrade,), "BoltGrade",
        _refuse_grade, lambda: PROOF_STRENGTH,
    ),
    Kind("buildcheck_metals", "metals", "metal", (Metal,), "Metal", _refuse_metal, lambda: METALS),
)  # fmt: skip


def name_of(offered: Any) -> str:
    """The name that no other of its kind may have: for a quantity of every part of a kind, what a standard calls it."""
    return offered.family if isinstance(offered, Family) else str(offered.name)
