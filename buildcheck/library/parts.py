"""The parts of a spec, for Python programs."""

from __future__ import annotations

from buildcheck.job import parts_list as listing
from buildcheck.job.parts_list import PartsList
from buildcheck.library.spec import SPEC, Spec
from buildcheck.plugins.standard_output import prints_to_standard_error
from buildcheck.spec.arguments import refuse_unfit


def parts_list(spec: Spec) -> PartsList:
    """The parts of a spec, each with its lengths at ride height and what the spec says of its tube, joints and bolts.

    `parts` has one entry for each part of each side; its `length` is that from joint centre to joint centre, m. All
    numbers are SI. What the spec does not state is None, never zero, and `unknown` names its spec paths; `absent` names
    the sections that the spec lacks.
    """
    refuse_unfit("parts_list()", spec, SPEC)
    with prints_to_standard_error():
        return listing.parts_list(spec.build)
