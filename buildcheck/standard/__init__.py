"""A shop's standard: what it changes of the rules, what it adds and forbids. `read` has it from a file."""

from buildcheck.standard.standard import Change, NeverWaived, OwnLimit, Required, Standard, SwitchedOff

__all__ = ["Change", "NeverWaived", "OwnLimit", "Required", "Standard", "SwitchedOff"]
