"""The example specs, all invented, as package data that the test kit uses."""
