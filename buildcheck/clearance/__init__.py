"""Simple solids, and the gaps between them over poses: arrays in, arrays out."""
