"""The job that rules receive: the build with its motion, each part solved once, when a rule first asks for it."""

from buildcheck.job.cure import Cure, Edit, along
from buildcheck.job.curve import Curve, Line, PoseName, Spot, Unreached, least
from buildcheck.job.job import Job

__all__ = ["Cure", "Curve", "Edit", "Job", "Line", "PoseName", "Spot", "Unreached", "along", "least"]
