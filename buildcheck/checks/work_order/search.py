"""The smallest set of changes after which a build has no errors: slips of the pen, then few inputs changed little.

In rounds: the inputs on which the wrong readings depend are ranked and screened with these readings alone, the best are
inspected as a whole, and those that go together are taken. Every build is judged against the one as it is written.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from buildcheck.checks.may_move import Moves
from buildcheck.checks.work_order.columns import Option
from buildcheck.checks.work_order.round import Round, aim_of
from buildcheck.checks.work_order.yardstick import Score, Target, Yardstick
from buildcheck.job import Job

MOST_ROUNDS = 20


class Plan(NamedTuple):
    """Changes, one after the other, and the build after all of them; `rounds` are those in which each was found, and
    `jobs` the builds after each."""

    options: tuple[Option, ...]
    job: Job
    score: Score
    rounds: tuple[Round, ...] = ()
    jobs: tuple[Job, ...] = ()
    finished: bool = True


class Search:
    """Looks for the changes that mend a build."""

    def __init__(self, yardstick: Yardstick, *, keep: Iterable[str] = (), budget: int = 3000) -> None:
        self.yardstick, self.keep, self.budget = yardstick, tuple(keep), budget
        self.moves = Moves(yardstick.base.build)
        self.has_many = False
        """Whether readings of many parts were wrong at some time: they have several causes."""
        self.so_far: Plan | None = None
        """The changes found up to now, while the search goes on."""

    def plan(self) -> Plan:
        """The changes found, in the order in which they were found."""
        job = self.yardstick.base
        score = self.yardstick.score(job)
        options: list[Option] = []
        rounds: list[Round] = []
        jobs: list[Job] = []
        given_up: set[Target] = set()
        taken_since = False
        for _ in range(MOST_ROUNDS):
            self.so_far = Plan(tuple(options), job, score, tuple(rounds), tuple(jobs), finished=False)
            if not aim_of(score) - given_up and taken_since:  # after other changes they may have an answer
                given_up, taken_since = set(), False
            if not aim_of(score) - given_up or self.yardstick.looks >= self.budget:
                break
            round_ = Round(self, job, score, given_up)
            taken = round_.taken()
            given_up |= round_.hopeless
            if not taken:
                given_up.update(round_.seen)
                continue
            taken_since = True
            for choice in taken:
                options.append(choice.option)
                rounds.append(round_)
                jobs.append(choice.job)
            job, score = taken[-1].job, taken[-1].score
        finished = self.yardstick.looks < self.budget or not aim_of(score)
        self.so_far = Plan(tuple(options), job, score, tuple(rounds), tuple(jobs), finished)
        return self.so_far
