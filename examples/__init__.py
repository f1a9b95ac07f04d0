"""The example specs, all of them invented, as package data: its test kit builds on them."""
