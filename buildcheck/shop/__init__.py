"""The job in the shop: what is ordered, measured, compared and signed."""
