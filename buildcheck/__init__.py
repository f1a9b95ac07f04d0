"""buildcheck checks a solid axle on links before it is ordered, tacked and welded.

Rules are written with `buildcheck.api`.
"""
