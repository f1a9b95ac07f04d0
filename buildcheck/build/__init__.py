"""The build as typed, frozen values in SI units, with left and right made explicit.

`read_build` turns the data of a valid spec into a `Build`. Reading an attribute that the spec lacks raises
`Missing`, which names the place in the spec, so that nothing absent is ever mistaken for a number.
"""

from buildcheck.build.build import INTENDED_USES, Build, BuildInformation, read_again, read_build
from buildcheck.build.part import Missing, Part, Point, Side, Sides, Vector
from buildcheck.build.records import Stage

__all__ = [
    "INTENDED_USES",
    "Build",
    "BuildInformation",
    "Missing",
    "Part",
    "Point",
    "Side",
    "Sides",
    "Stage",
    "Vector",
    "read_again",
    "read_build",
]
