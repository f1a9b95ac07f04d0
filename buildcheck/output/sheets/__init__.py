"""Sheets to print and write on at the truck."""
