"""The work order."""
