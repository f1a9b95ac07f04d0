"""Poses of the axle, and the links that hold it: arrays in, arrays out, with no dependency but numpy."""
