"""The JSON Schemas of buildcheck's files, as package data."""
