"""Things that a plugin may offer in addition to rules, and the refusal of incomplete ones.

A plugin's author makes these; `plugins.loading` collects them. Each has a name that is unique in its kind.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date, datetime
from numbers import Integral, Real
from typing import Any, NamedTuple

from buildcheck.build.part import METALS, Part
from buildcheck.checks.check import Check
from buildcheck.checks.inspection import WITHOUT_CHECKS
from buildcheck.checks.limit import Basis, Limit, Range, Requirement, Verdict
from buildcheck.checks.rule import Rule, Sample
from buildcheck.checks.subjects import Subject
from buildcheck.job.layout import ASSUMED_STIFFNESS
from buildcheck.job.named_quantity import Family, Quantity
from buildcheck.job.quantities import families, of_no_part
from buildcheck.job.subjects import SUBJECTS
from buildcheck.spec.additions import NOTHING_ADDED
from buildcheck.spec.guard import Unusable, plain_text
from buildcheck.spec.place import blank
from buildcheck.spec.quantity import Dimension, System, parse
from buildcheck.strength.bolts import PROOF_STRENGTH

NAME = re.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*")
BUILT_IN_OUTPUTS = ("text", "json")


class ShopFields(NamedTuple):
    """One key under `shop:` in a spec that the plugin owns, and its value: a class, or a JSON Schema.

    The class is a `Part` that declares its fields with `field`, as those of buildcheck do; `shop_part` reads it. A
    mistake below the key is reported with its line and column, like any mistake in a spec. A schema (2020-12) may use
    `quantity` beside the type `["number", "string"]`, as in `{"dimension": "length", "from": "0 in", "to": "4 in"}`,
    for a number in the units of the spec or text with a unit; `shop_amount` reads it. It must not refer to
    anything outside itself. Keys under `shop` that no plugin owns are not checked.
    """

    key: str
    schema: Mapping[str, Any] | type[Part]

    @property
    def name(self) -> str:
        """The key, which must be unique among plugins."""
        return self.key

    @property
    def json_schema(self) -> Mapping[str, Any]:
        """Schema of the value under the key. Raises Unusable for a class whose field declarations are incomplete."""
        if not isinstance(self.schema, type):
            return self.schema
        from buildcheck.build.json_schema import schema_of

        try:
            return schema_of(self.schema)
        except (ValueError, TypeError, NameError) as error:
            raise Unusable(f"the class of its shop.{self.key}: {error}") from None


class OutputFormat(NamedTuple):
    """A format of `buildcheck inspect --output NAME`.

    `write` receives the record as plain data, as described by `buildcheck schema --of readings`, and returns the text
    to write. The record has its numbers in SI and as shown, so a format need not compute or convert anything.
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
        """Radial stiffness, N/m. Raises QuantityError for an invalid amount."""
        return parse(self.radial_stiffness, Dimension.STIFFNESS, System.METRIC)


class BoltGrade(NamedTuple):
    """A grade of bolt that a spec may name, its proof strength (`105 ksi`), and the largest diameter in which it is
    made (`1 in`)."""

    name: str
    proof_strength: str
    largest_diameter: str

    @property
    def strength(self) -> tuple[float, float]:
        """Largest diameter, m, and proof strength, Pa. Raises QuantityError for an invalid amount."""
        return (
            parse(self.largest_diameter, Dimension.LENGTH, System.METRIC),
            parse(self.proof_strength, Dimension.PRESSURE, System.METRIC),
        )


class Metal(NamedTuple):
    """A metal that a spec may name, and the metal of the spec format as which rules treat it.

    Rules know metals by name, and an unknown one would pass as steel: a plugin that adds one states which metal it
    welds and breaks like.
    """

    name: str
    treated_as: str


class Kind(NamedTuple):
    """One kind of thing that plugins offer.

    `hook` is the hook that offers it, `collected` its field of `Collected`, `noun` its name in messages, `made_of` its
    classes, `made_with` how one is made. `whole` returns it in plain data, and raises Unusable for an incomplete one;
    `taken` are the names that buildcheck itself uses.
    """

    hook: str
    collected: str
    noun: str
    made_of: tuple[type, ...]
    made_with: str
    whole: Callable[[Any], Any]
    taken: Callable[[], Collection[str]]


# Each of these makes a new object of plain data: an object of a plugin's own class, or with a text of such a class,
# would run the plugin's code wherever it is printed, compared or looked up. The classes of
# rules and checks refuse arguments of a wrong kind themselves.


def _whole_rule(rule: Rule) -> Rule:
    name = _plain(rule.name)
    what = f"its rule {name!r}"
    if not isinstance(name, str) or not NAME.fullmatch(name):
        raise Unusable(f"{what} needs a name of small letters and hyphens, such as link-flatness")
    title, page = _plain(rule.title), _plain(rule.page)
    if not isinstance(title, str) or not isinstance(page, str) or blank(title) or blank(page):
        raise Unusable(f"{what} has no page; write a title, an empty line and a text, and give them as page=")
    if not rule.checks:
        raise Unusable(f"{what} has no checks; write one below its `check` or `must`")
    limits = tuple(_whole_limit(what, limit) for limit in rule.limits)
    names = [limit.name for limit in limits]
    for limit in names:
        if names.count(limit) > 1:
            raise Unusable(f"{what} has two limits named {limit!r}; each needs a name of its own")
    by_name = dict(zip(names, limits, strict=True))
    checks = tuple(_whole_check(what, check, by_name) for check in rule.checks)
    samples = tuple(_whole_sample(what, sample, names) for sample in rule.samples)
    return Rule(
        name,
        area=rule.area,
        title=title,
        page=page,
        limits=limits,
        checks=checks,
        samples=samples,
        from_stage=rule.from_stage,
        entries=rule.entries,
    )


def _whole_limit(what: str, limit: Any) -> Limit | Requirement:
    if type(limit) is not Limit and type(limit) is not Requirement:
        raise Unusable(f"{what} has {limit!r} among its limits; make them with its `check` and `must`")
    name, meaning = _plain(limit.name), _plain(limit.meaning)
    if not isinstance(name, str) or not NAME.fullmatch(name):
        raise Unusable(
            f"{what} has a limit named {name!r}; a name has small letters and hyphens, such as left-for-droop"
        )
    if not isinstance(meaning, str) or not meaning:
        raise Unusable(f"{what} needs words for the meaning of its limit {name!r}, got {meaning!r}")
    basis = _whole_basis(what, limit.basis)
    if isinstance(limit, Requirement):
        if limit.if_not not in (Verdict.WARNING, Verdict.ERROR, Verdict.NOT_CHECKED):
            raise Unusable(
                f"{what}: {name!r} is a warning, an error or not checked where it is not met, not {limit.if_not!r}"
            )
        return Requirement(name, meaning, basis, Verdict(limit.if_not))
    if type(limit.dimension) is not Dimension:
        raise Unusable(f"{what} needs a Dimension of buildcheck.api for its limit {name!r}")
    error_basis = None if limit.error_basis is None else _whole_basis(what, limit.error_basis)
    uses = tuple((_plain(use), _whole_range(of_use)) for use, of_use in limit.uses)
    return Limit(name, meaning, limit.dimension, _whole_range(limit.range), basis, error_basis, uses=uses)


def _whole_range(written: Range) -> Range:
    return Range(*(tuple(map(_plain, ends)) for ends in written))


def _whole_basis(what: str, basis: Any) -> Basis:
    if not isinstance(basis, Basis) or not all(isinstance(text, str) for text in basis):
        raise Unusable(f"{what} has a limit without a basis")
    plain = Basis(*map(plain_text, basis))
    if blank(plain.text) or (plain.source and blank(plain.source)):
        raise Unusable(f"{what} has a limit without a basis")
    return plain


def _whole_check(what: str, check: Any, limits: Mapping[str, Limit | Requirement]) -> Check:
    if not isinstance(check, Check):
        raise Unusable(f"{what} has {check!r} among its checks; make them with its `check` and `must`")
    name = _plain(check.name)
    if name not in limits:
        raise Unusable(f"{what} has a check {name!r} without a limit of that name")
    if not isinstance(check.subject, Subject) or not callable(check.compute):
        raise Unusable(
            f"{what} needs a subject and a function for its check {name!r}; make it with its `check` or `must`"
        )
    words = [text if callable(text) else _plain(text) for text in (check.place, check.effect)]
    return Check(
        name,
        check.subject,
        check.compute,
        limits[name],
        place=words[0],
        effect=words[1],
        wanted=_plain(check.wanted),
        changes=tuple(check.changes),
        when=check.when,
        follows=tuple(map(_plain, check.follows)),
        compares=check.compares,
        from_stage=check.from_stage,
        of=check.of,
    )


def _whole_sample(what: str, sample: Any, limits: Collection[str]) -> Sample:
    if not isinstance(sample, Sample):
        raise Unusable(f"{what} has {sample!r} among its samples; make one with Sample")
    says, change, finds, values = sample
    if not isinstance(says, str) or blank(plain_text(says)) or not all(map(_is_mapping, (change, finds, values))):
        raise Unusable(f"{what} has a sample that is not made like Sample('the bar short', {{path: value}}, {{}})")
    found = {_plain(name): verdict for name, verdict in finds.items()}
    for name, verdict in found.items():
        if name not in limits or type(verdict) is not Verdict:
            raise Unusable(
                f"{what} has a sample that finds {name!r}: {verdict!r}; name one of its limits, and a Verdict"
            )
    by_hand = {_plain(name): _plain(value) for name, value in values.items()}
    for name, value in by_hand.items():
        if not isinstance(value, str):
            raise Unusable(f"{what} has a sample with the value {name!r}: {value!r}; write it with its unit, as '6 in'")
    return Sample(plain_text(says), _plain(change), found, by_hand)


def _is_mapping(value: object) -> bool:
    return isinstance(value, Mapping)


def _whole_quantity(quantity: Quantity | Family) -> Quantity | Family:
    name, dimension = _plain(quantity.name), quantity.dimension
    of: Any = quantity.of
    what = f"its quantity {name!r}"
    if not isinstance(name, str) or not NAME.fullmatch(name):
        raise Unusable(f"{what} needs a name of small letters and hyphens, such as coilover-length")
    if type(dimension) is not Dimension or not callable(of):
        raise Unusable(f"{what} needs a Dimension of buildcheck.api and a function that computes it")
    owner = quantity.noun if isinstance(quantity, Family) else quantity.group
    said = tuple(_plain(words) for words in (quantity.heading, quantity.meaning, owner))
    if not all(isinstance(words, str) and words for words in said):
        raise Unusable(f"{what} needs words for its heading, its meaning with its sign, and what it belongs to")
    heading, meaning, owner = said
    least = quantity.least
    if least is not None and (isinstance(least, bool) or not isinstance(least, int | float)):
        raise Unusable(f"{what} needs a number in SI units, or None, as its least value; got {least!r}")
    if not isinstance(quantity.compared, bool):
        raise Unusable(f"{what} needs True or False for whether a rule compares it; got {quantity.compared!r}")
    if isinstance(quantity, Quantity):
        return Quantity(name, owner, heading, meaning, dimension, of, least=least, compared=quantity.compared)
    kind = _plain(quantity.kind)
    if kind not in SUBJECTS:
        raise Unusable(f"{what} is of the unknown kind of part {kind!r}")
    if not callable(quantity.fits):
        raise Unusable(f"{what} needs a function that says which parts it fits, got {quantity.fits!r}")
    try:
        meaning.format(part="part")
    except (LookupError, ValueError, AttributeError):
        raise Unusable(f"{what} may have {{part}} in its meaning, and no other braces") from None
    return Family(kind, owner, name, heading, meaning, dimension, of, quantity.fits, least, quantity.compared)


def _whole_fields(fields: ShopFields) -> ShopFields:
    from buildcheck.spec.shop_schema import fault_in  # with a library that is loaded for a plugin that has such fields

    key = _plain(fields.key)
    if not isinstance(key, str) or not re.fullmatch("[a-z][a-z0-9_]{0,39}", key):
        raise Unusable(f"its key {key!r} under shop needs small letters, digits and underscores, as our_shop has")
    schema = _plain(fields.json_schema)
    fault = fault_in(schema)
    if fault:
        raise Unusable(f"the schema of its shop.{key} {fault}")
    return ShopFields(key, schema)


def _whole_output(output: OutputFormat) -> OutputFormat:
    name = _plain(output.name)
    if not isinstance(name, str) or not NAME.fullmatch(name):
        raise Unusable(f"its output {name!r} needs a name of small letters and hyphens")
    if not callable(output.write):
        raise Unusable(f"its output {name!r} needs a function that writes it")
    return OutputFormat(name, output.write)


def _whole_joint(joint: JointKind) -> JointKind:
    made = JointKind(*map(_plain, joint))
    _refuse_material("joint kind", made.name, lambda: (made.stiffness,))
    return made


def _whole_grade(grade: BoltGrade) -> BoltGrade:
    made = BoltGrade(*map(_plain, grade))
    _refuse_material("bolt grade", made.name, lambda: made.strength)
    return made


def _whole_metal(metal: Metal) -> Metal:
    made = Metal(*map(_plain, metal))
    _refuse_material("metal", made.name, lambda: (1.0,))
    if made.treated_as not in METALS:
        raise Unusable(f"its metal {made.name!r} must be treated as one of {', '.join(METALS)}")
    return made


def _refuse_material(noun: str, name: object, amounts: Callable[[], tuple[float, ...]]) -> None:
    if not isinstance(name, str) or not re.fullmatch("[a-z0-9]+([.-][a-z0-9]+)*", name):
        raise Unusable(f"its {noun} {name!r} needs a name of small letters, digits, dots and hyphens")
    try:
        sound = all(amount > 0 for amount in amounts())
    except (ValueError, TypeError) as error:
        raise Unusable(f"its {noun} {name!r}: {error}") from None
    if not sound:
        raise Unusable(f"its {noun} {name!r} needs amounts above zero")


def _plain(value: Any) -> Any:
    """Convert a value to Python's own classes, as a spec would hold it."""
    if isinstance(value, str):
        return plain_text(value)
    if value is None or type(value) in (bool, date, datetime):
        return value
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        return float(value)
    if isinstance(value, Mapping):
        return {_plain(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, bytes):
        return [_plain(inner) for inner in value]
    raise Unusable(f"it offers {value!r} where a text, a number, a list or a mapping is needed")


def _quantity_names() -> Collection[str]:
    return {*(each.name for each in of_no_part(NOTHING_ADDED)), *(each.family for each in families(NOTHING_ADDED))}


KINDS = (
    Kind("buildcheck_rules", "rules", "rule", (Rule,), "Rule", _whole_rule, lambda: tuple(WITHOUT_CHECKS)),
    Kind(
        "buildcheck_quantities", "quantities", "quantity", (Quantity, Family), "Quantity or Family",
        _whole_quantity, _quantity_names,
    ),
    Kind("buildcheck_shop_fields", "shop_fields", "shop field", (ShopFields,), "ShopFields", _whole_fields, tuple),
    Kind(
        "buildcheck_outputs", "outputs", "output", (OutputFormat,), "OutputFormat",
        _whole_output, lambda: BUILT_IN_OUTPUTS,
    ),
    Kind(
        "buildcheck_joint_kinds", "joint_kinds", "joint kind", (JointKind,), "JointKind",
        _whole_joint, lambda: ASSUMED_STIFFNESS,
    ),
    Kind(
        "buildcheck_bolt_grades", "bolt_grades", "bolt grade", (BoltGrade,), "BoltGrade",
        _whole_grade, lambda: PROOF_STRENGTH,
    ),
    Kind("buildcheck_metals", "metals", "metal", (Metal,), "Metal", _whole_metal, lambda: METALS),
)  # fmt: skip


def name_of(offered: Any) -> str:
    """Name that must be unique in its kind: for a quantity of every part of a kind, its name in a standard."""
    return offered.family if isinstance(offered, Family) else str(offered.name)
