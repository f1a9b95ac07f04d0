"""One round of a search: the changes that improve one build, and those of them that go together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from buildcheck.build import Missing
from buildcheck.checks.changes import OutOfReach, is_free
from buildcheck.checks.engine import ways_of
from buildcheck.checks.rule import Area
from buildcheck.checks.subjects import NoneThere, key_of
from buildcheck.checks.work_order.columns import SLIGHT, Column, Option, Tried, badness, cells_at
from buildcheck.checks.work_order.inputs import Input, inputs_of, is_within, within
from buildcheck.checks.work_order.slips import parts_of, slips_of
from buildcheck.checks.work_order.yardstick import AN_ERROR, Edits, Score, Target
from buildcheck.job import Job, Unreached

if TYPE_CHECKING:
    from buildcheck.checks.work_order.search import Search

# How far a slip of the pen goes, in the scale of other changes: one that is wrong by itself goes before them.
SURE, GUESSED = -0.5, 0.5

# How far the planned travel counts as a number of what ends it.
PLANNED = 0.3

MOST_SEEN, MOST_SLOW = 16, 1

# Wrong readings on more parts than this have several causes: the inputs that the checks themselves ask for come first,
# and of the readings that need the loads or the gaps so many are looked at together.
# One input may still explain them: up to so many parts, all inputs are looked at before the first change is made.
MANY_PARTS, MOST_PARTS_OF_ONE, MOST_SLOW_OF_MANY, MOST_INSPECTED_OF_MANY = 6, 12, 8, 3
MOST_COLUMNS, MOST_SLOW_COLUMNS = 24, 20
MOST_COMMON = 8

# So many inputs that no check asks for are looked at first.
MOST_FIRST = 8

# So many inputs are followed for each reading, and one where more readings than a few are seen.
MOST_SOLVED, FEW_SEEN = 2, 8
MOST_SLIPS, MOST_SLOW_SLIPS = 80, 12
MOST_INSPECTED = 6
MOST_TOGETHER = 12

# A candidate is inspected to the end unless it is worse by more than this than the best one up to then.
SOME_MORE = 0.5


class Choice(NamedTuple):
    """An option, the build that it makes, and its score."""

    option: Option
    job: Job
    score: Score

    @property
    def worth(self) -> float:
        """The score, with what the change itself costs."""
        return self.score.total + self.option.cost


def aim_of(score: Score) -> frozenset[Target]:
    """The readings to put right: the errors, and after the last of them the warnings."""
    return score.errors or score.warnings


def _noun(each: Input) -> str:
    """The part of an input in words, without its side."""
    return each.part.label.removeprefix(f"{each.part.side} ")


class Round:
    """One round of a search: the changes that improve one build."""

    def __init__(self, search: Search, job: Job, score: Score, given_up: Iterable[Target]) -> None:
        self.keep, self.yardstick, self.job, self.score = search.keep, search.yardstick, job, score
        self.moves, self._base = search.moves, search.yardstick.base
        self.budget = search.budget
        self.wrong = sorted(target for target in aim_of(score).difference(given_up) if target.key.kind)
        self.for_warnings = not score.errors
        quick = [target for target in self.wrong if target.check in self.yardstick.quick]
        self.is_slow = not quick
        parts = {tuple(target.key.path.split(".")[:2]) for target in self.wrong}
        search.has_many = search.has_many or len(parts) > MANY_PARTS
        may_be_one = job is self._base and len(parts) <= MOST_PARTS_OF_ONE
        self.has_many = not self.for_warnings and search.has_many and not may_be_one
        most_slow = MOST_SLOW_OF_MANY if self.has_many else MOST_SLOW
        self.seen = self._chosen(quick, MOST_SEEN) if quick else self._chosen(self._slow_first(), most_slow)
        self._named, others = self._columns()
        first = 0 if self.has_many else MOST_FIRST
        self._others = others[first:]
        self.candidates = self._ranked((*self._by_slip(), *self._by_column([*self._named, *others[:first]])))
        self.is_wide = False

    def _slow_first(self) -> list[Target]:
        """The wrong readings in the order in which they are seen to. What the loads are computed from comes first, and
        before the sizes that depend on it; last what only says what ends the travel, since whatever touches has a
        reading of its own."""
        area = {target: self.yardstick.held[target.check].rule.area for target in self.wrong}
        stated = [target for target in self.wrong if area[target] is Area.RECORDS]
        return stated or sorted(self.wrong, key=lambda target: (target.key.kind == "TravelEnd", target))

    @staticmethod
    def _chosen(targets: list[Target], most: int) -> list[Target]:
        """Some readings by which candidates are screened: one of each check and part first."""
        first: dict[tuple[int, str], Target] = {}
        for target in targets:
            first.setdefault((target.check, target.key.path), target)
        firsts = list(first.values())
        return [*firsts, *(target for target in targets if target not in set(firsts))][:most]

    # What is taken.

    def taken(self) -> list[Choice]:
        """The best change, and those that go together with it: the quick checks and the readings that each was found
        for say which do, and one inspection of all of them decides. Where that does not hold, only the better ones."""
        better = self._better()
        if not better or not (self.has_many or self._explains_all_it_touches(better[0])):
            self.widen()
            better = self._better()
        if not better:
            return []
        together, gained = self._together(better[0])
        while len(together) > 1:
            whole = self.yardstick.score(together[-1].job)
            if together[0].score.total - whole.total > 0.7 * sum(gained[: len(together)]):
                return [*together[:-1], together[-1]._replace(score=whole)]
            together = together[: (len(together) + 1) // 2]
        return together

    def _together(self, best: Choice) -> tuple[list[Choice], list[float]]:
        """A change with others that still help after it, one after the other, and by how much each does."""
        together, gained = [best], [0.0]
        last = self.yardstick.score(best.job, self.yardstick.quick)
        for gain, option in self.gains:
            if len(together) == MOST_TOGETHER or self.yardstick.looks >= self.budget:
                break
            if any(option.paths & other.option.paths or option.mends & other.option.mends for other in together):
                continue
            changed = self._made(option.edits, together[-1].job)
            if changed is None:
                continue
            quick = self.yardstick.score(changed, self.yardstick.quick)
            by = last.total - quick.total + self._mends_slow(option, together[-1].job, changed)
            if by > max(0.7 * gain, option.cost):
                together.append(Choice(option, changed, quick))
                gained.append(by)
                last = quick
        return together, gained

    def _mends_slow(self, option: Option, job: Job, changed: Job) -> float:
        """By how much a change improves the readings that it was found for and that are not quick."""
        slow = [target for target in option.mends if target.check in self.yardstick.slow]
        margin = self.yardstick.margin
        return sum(AN_ERROR for target in slow if margin(target, job) < 0.0 <= margin(target, changed))

    def widen(self, most_solved: int = MOST_SOLVED) -> None:
        """Look at the less likely inputs too; `most_solved` of them are followed for each reading."""
        if not self.is_wide:
            self.is_wide = True
            if self.is_slow:
                self.seen = self.seen[:MOST_SLOW]
            self.candidates = self._ranked((*self.candidates, *self._by_column(self._others, most_solved)))

    @property
    def hopeless(self) -> frozenset[Target]:
        """The readings that no candidate puts right, where all were looked at."""
        mended = frozenset().union(*(option.mends for option in self.candidates))
        return frozenset(self.seen) - mended if self.is_wide else frozenset()

    def _better(self) -> list[Choice]:
        return [choice for choice in self._inspected() if choice.worth < self.score.total]

    def _explains_all_it_touches(self, choice: Choice) -> bool:
        """Whether a change puts right every wrong reading that depends on its input, and makes no other one wrong: then
        it is likely to be what was wrong, and no other is looked for."""
        cells = cells_at(choice.option.edits)
        touched = {target for target in self.wrong if not cells.isdisjoint(self.yardstick.cells(target, self.job))}
        left = choice.score.warnings if self.for_warnings else choice.score.errors
        return choice.score.losses == 0 and left <= aim_of(self.score) and touched.isdisjoint(left)

    def as_good_as(self, chosen: Option) -> tuple[Option, ...]:
        """Other changes that put right the readings that a change was taken for, the likeliest first."""
        wanted = chosen.mends
        return tuple(
            option
            for option in self.candidates
            if option.edits != chosen.edits and (option.mends & wanted) and len(option.mends) >= 0.5 * len(wanted)
        )

    # What is inspected.

    @staticmethod
    def _ranked(options: Iterable[Option]) -> list[Option]:
        """The changes that put right some of the readings, each once, the likeliest first."""
        found: dict[Edits, Option] = {}
        for option in options:
            found.setdefault(option.edits, option)
        return sorted(found.values(), key=lambda option: option.cost - len(option.mends))

    def _inspected(self) -> list[Choice]:
        """The best candidates, inspected: by the quick checks first, and by all while these leave them in the lead."""
        tried = []
        for at, option in enumerate(self._spread(self.candidates)):
            changed = self._made(option.edits)
            if changed is None:
                continue
            quick = self.yardstick.score(changed, self.yardstick.quick)
            worth = quick.total - self._mends_slow(option, self.job, changed) + option.cost
            tried.append((worth, at, option, changed))
        tried.sort(key=lambda each: each[:2])
        start = self.yardstick.score(self.job, self.yardstick.quick).total
        # By how much each candidate improves the quick readings and those that it was found for, the best first.
        self.gains = [(start - worth + option.cost, option) for worth, _, option, _ in tried]
        choices: list[Choice] = []
        for _, _, option, changed in tried[: MOST_INSPECTED_OF_MANY if self.has_many else MOST_INSPECTED]:
            best = min(choices, key=lambda choice: choice.worth, default=None)
            choice = self._choice(option, changed, best)
            if choice is not None:
                choices += [choice, *self._farther(choice)]
        return sorted(choices, key=lambda choice: choice.worth)

    def _choice(self, option: Option, changed: Job, best: Choice | None) -> Choice | None:
        """A candidate with its score; None where it turns out worse than the best one up to now."""
        most = (self.score.total if best is None else best.worth) - option.cost
        if option.column is not None and (best is None or aim_of(best.score) & self.score.errors):
            most += SOME_MORE  # another amount of it may do better
        score = self.yardstick.score_unless(changed, lambda found: found.total > most)
        return None if score is None else Choice(option, changed, score)

    def _spread(self, ranked: list[Option]) -> list[Option]:
        """The candidates to inspect: the best, and of each reading the best two."""
        chosen: list[Option] = ranked[:MOST_INSPECTED]
        for target in self.seen:
            chosen += [option for option in ranked if target in option.mends][:2]
        return list({option.edits: option for option in chosen}.values())

    def _farther(self, choice: Choice) -> Iterator[Choice]:
        """The same input changed by another amount, where readings that it was not screened by are still wrong."""
        option, cells = choice.option, self.yardstick.cells
        if option.column is None:
            return
        still = sorted((choice.score.errors & self.score.errors) - option.mends)
        new = sorted(choice.score.errors - self.score.errors)
        column = option.column
        still = [each for each in (*new, *still) if not column.cells.isdisjoint(cells(each, choice.job))]
        if still:
            targets = [*sorted(option.mends), *still[:MOST_SLOW]]
            for each in Tried(self.yardstick, self.job, column, targets, self.moves).options():
                if each.edits == option.edits or (changed := self._made(each.edits)) is None:
                    continue
                found = self._choice(each, changed, choice)
                if found is not None:
                    yield found

    def _made(self, edits: Edits, job: Job | None = None) -> Job | None:
        """The build with a change; None where that cannot be made, or the spec says that it may not."""
        if not self.moves.allows(edits):
            return None
        try:
            return self.yardstick.after(self.job if job is None else job, edits)
        except (Missing, Unreached, ValueError, LookupError):
            return None

    # Candidates.

    @cached_property
    def _inputs(self) -> list[Input]:
        """The inputs that the readings depend on, those first that explain most of them and little else: numbers of the
        parts that the readings are about, and numbers on which few other checks depend, in turns."""
        targets = self.wrong
        cells = {target: self.yardstick.cells(target, self.job) for target in targets}
        depends = self.yardstick.depends_of(self.job)
        wrong = {target.check for target in targets}
        about = Counter((target.key.path or "-", target.key.which) for target in targets)
        inputs = list(within(inputs_of(self.job, set().union(*cells.values()), keep=self.keep), self.moves, self._base))
        weight: dict[str, float] = {}
        covers: dict[str, float] = {}
        for each in inputs:
            touched = sum(not each.cells.isdisjoint(found) for found in cells.values())
            others = [number for number, found in enumerate(depends) if not each.cells.isdisjoint(found)]
            own = sum(number in wrong for number in others) / len(others) if others else 1.0
            local = sum(
                count
                for target, count in about.items()
                if is_within(each.part.path, target[0]) or _noun(each) in target[1]
            ) / len(targets)
            if each.part.path == "travel":  # what ends the travel too soon may be mended by planning less of it
                local += PLANNED
            covers[each.path] = touched / len(targets) * own**0.5
            weight[each.path] = covers[each.path] * (0.3 + 2.0 * min(local, 1.0))
        likely = sorted(inputs, key=lambda each: -weight[each.path])
        common = sorted(inputs, key=lambda each: -covers[each.path])[:MOST_COMMON]
        first = list({each.path: each for pair in zip(likely, common, strict=False) for each in pair}.values())
        return [*first, *(each for each in likely if each not in first)]

    def _columns(self) -> tuple[list[Column], list[Column]]:
        """The inputs that the checks ask for, and others on which the readings depend, the likeliest first."""
        ways = {way.paths: way for way in self._ways()}
        inputs = self._inputs
        # A number is searched over the whole of its range, whoever asks for it; a series only has its sizes.
        asked = [each for each in inputs if (way := ways.get(frozenset(each.paths))) is not None and not way.in_sizes]
        for each in asked:
            del ways[frozenset(each.paths)]
        known = {*ways, *(frozenset(each.paths) for each in asked)}
        others = [] if self.for_warnings else [each for each in inputs if frozenset(each.paths) not in known]
        most = MOST_SLOW_COLUMNS if self.is_slow else MOST_COLUMNS
        named = [*(Column.of(each, named=True) for each in asked), *ways.values()]
        return named, [Column.of(each) for each in self._few_for_each(others, most)]

    def _by_column(self, columns: list[Column], most_solved: int = MOST_SOLVED) -> Iterator[Option]:
        """The changes of some inputs that put right some readings: only the inputs that help most are followed."""
        tried = [Tried(self.yardstick, self.job, column, self.seen, self.moves) for column in columns]
        helps = [each.helps() for each in tried]
        solved = dict.fromkeys(at for at, column in enumerate(columns) if column.named and any(helps[at].values()))
        most_solved = most_solved if len(self.seen) <= FEW_SEEN else 1
        for target in self.seen:
            ranked = sorted((-help_.get(target, 0.0), at) for at, help_ in enumerate(helps))
            solved.update(dict.fromkeys(at for help_, at in ranked[:most_solved] if -help_ > SLIGHT))
        total = sorted((-sum(help_.values()), at) for at, help_ in enumerate(helps))
        solved.update(dict.fromkeys(at for help_, at in total[: 2 * most_solved] if -help_ > SLIGHT))
        for at in solved:
            yield from tried[at].options()

    def _few_for_each(self, inputs: list[Input], most: int) -> list[Input]:
        """The likeliest inputs of all, and the likeliest of each reading."""
        chosen = {each.path: each for each in inputs[: most * 3 // 4]}
        for target in self.seen:
            cells = self.yardstick.cells(target, self.job)
            own = [each for each in inputs if not each.cells.isdisjoint(cells)]
            chosen.update({each.path: each for each in own[: max(3, most // (2 * len(self.seen)))]})
        return list(chosen.values())

    def _ways(self) -> Iterator[Column]:
        """The changes that the checks of the readings ask for, as columns."""
        seen: set[frozenset[str]] = set()
        for target in self.seen:
            check = self.yardstick.held[target.check].check
            try:
                found = check.subjects(self.job)
            except (Missing, Unreached):
                continue
            subject = (
                None if isinstance(found, NoneThere) else next((e for e in found if key_of(e) == target.key), None)
            )
            for change, way in ways_of(check, self.job, subject) if subject is not None else ():
                try:
                    paths = frozenset(path for path, _ in way.edits(1))
                except OutOfReach:
                    continue
                if paths and paths not in seen and not self._is_kept(paths):
                    seen.add(paths)
                    slip = way.cure(1).words if change.is_slip else ""
                    yield Column.of_way(way, paths, in_sizes=not is_free(change), slip=slip)

    def _is_kept(self, paths: Iterable[str]) -> bool:
        return any(is_within(path, above) for path in paths for above in self.keep)

    def _by_slip(self) -> Iterator[Option]:
        if self.for_warnings:
            return
        inputs = self._few_for_each(self._inputs, MOST_COLUMNS)
        depends = {target: self.yardstick.cells(target, self.job) for target in self.seen}
        parts = parts_of(self.job, {path for cells in depends.values() for path, _ in cells})
        start = {target: badness(self.yardstick.margin(target, self.job)) for target in self.seen}
        found = []
        for number, slip in enumerate(slips_of(self.job, inputs, parts)):
            if number > (MOST_SLOW_SLIPS if self.is_slow else MOST_SLIPS):
                break
            touched = [target for target in self.seen if not cells_at(slip.edits).isdisjoint(depends[target])]
            kept = not touched or self._is_kept(path for path, _ in slip.edits)
            changed = None if kept else self._made(slip.edits)
            if changed is None:
                continue
            margins = {target: self.yardstick.margin(target, changed) for target in touched}
            gain = sum(start[target] - badness(margin) for target, margin in margins.items())
            mends = frozenset(target for target, margin in margins.items() if margin >= 0.0)
            if mends and gain > 0.5:
                found.append((gain, -number, Option(slip.edits, mends, SURE if slip.sure else GUESSED, slip.words)))
        for _, _, option in sorted(found, key=lambda each: each[:2], reverse=True)[:MOST_INSPECTED]:
            yield option
