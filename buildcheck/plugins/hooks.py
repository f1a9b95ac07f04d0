"""The hooks that a plugin implements, and the version of the interface that it is written to."""

from __future__ import annotations

from collections.abc import Iterable

import pluggy

from buildcheck.checks.rule import Rule
from buildcheck.job.named_quantity import Family, Quantity
from buildcheck.plugins.contributions import BoltGrade, JointKind, Metal, OutputFormat, ShopFields

PROJECT = "buildcheck"

INTERFACE = 2
"""The version of the interface for plugins. A plugin states the one it needs in `BUILDCHECK_INTERFACE`; one that needs
another is refused. It rises when the form of the interface changes: 2 is that of rules made of checks. Hooks and names
of `buildcheck.api` may be added without a new number."""

hook_specification = pluggy.HookspecMarker(PROJECT)
rules_hook = pluggy.HookimplMarker(PROJECT)
hook = rules_hook


class HookSpecifications:
    """Hooks that a plugin may implement: any of these, as functions of its module, each marked with `hook` (or
    `rules_hook`, its older name). All are called once, when buildcheck starts. The docstring of each gives the
    interface that introduced it."""

    @hook_specification
    def buildcheck_rules(self) -> Iterable[Rule]:
        """The rules that the plugin adds, each a `Rule` with its checks. Since interface 1, in this form since 2."""
        raise AssertionError("a hook specification is never called")

    @hook_specification
    def buildcheck_quantities(self) -> Iterable[Quantity | Family]:
        """Quantities over the travel, listed with the built-in ones: `buildcheck cycle` and a shop standard use them by
        name, and a rule reads them with `quantity.over(job, line)`. Since interface 1."""
        raise AssertionError("a hook specification is never called")

    @hook_specification
    def buildcheck_shop_fields(self) -> Iterable[ShopFields]:
        """The one key under `shop:` that the plugin owns, with its JSON Schema, in a list. Since interface 1."""
        raise AssertionError("a hook specification is never called")

    @hook_specification
    def buildcheck_outputs(self) -> Iterable[OutputFormat]:
        """Formats of `buildcheck inspect --output NAME`. Since interface 1."""
        raise AssertionError("a hook specification is never called")

    @hook_specification
    def buildcheck_joint_kinds(self) -> Iterable[JointKind]:
        """Kinds of joint that a spec may name. Since interface 1."""
        raise AssertionError("a hook specification is never called")

    @hook_specification
    def buildcheck_bolt_grades(self) -> Iterable[BoltGrade]:
        """Grades of bolt that a spec may name. Since interface 1."""
        raise AssertionError("a hook specification is never called")

    @hook_specification
    def buildcheck_metals(self) -> Iterable[Metal]:
        """Metals that a spec may name. Since interface 1."""
        raise AssertionError("a hook specification is never called")
