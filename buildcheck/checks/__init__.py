"""Checks, rules and limits; an inspection by them, as a shop's standard and the spec's waivers have it."""
