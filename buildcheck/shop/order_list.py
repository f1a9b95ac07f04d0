"""Parts that are cut, ordered and renewed for a build, from its parts list, held against its packing list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from buildcheck.build import Build, Side
from buildcheck.build.attachment import Attachment
from buildcheck.build.part import words
from buildcheck.build.records import PackedPart
from buildcheck.job.parts_list import Fact, ListedPart, Piece, Span, parts_list
from buildcheck.job.tube_cut import Rod, has_one_tube, lacking, taken_up, tube_cut
from buildcheck.spec.quantity import Dimension

MADE = ("link", "radius arm", "lateral bar", "drag link", "tie rod")
"""Kinds of part that a shop makes of a tube and joints, or buys whole."""

NUTS = ("all-metal-lock-nut", "nylon-insert-lock-nut", "castle-nut-and-cotter-pin")
"""Means of locking a bolt that are a nut of their own."""

SINGLE_USE = ("all-metal-lock-nut", "nylon-insert-lock-nut", "castle-nut-and-cotter-pin", "safety-wire", "tab-washer")
"""Means of locking a bolt that hold once."""

MADE_BY_THE_SHOP = (
    "an arm ends in a yoke that the shop makes, and no tube runs from joint to joint; set it up by these distances"
)
"""Why a radius arm has no cut length."""


class Taken(NamedTuple):
    """Length that one joint takes up, m."""

    end: str
    length: float


class Cut(NamedTuple):
    """A tube to cut: for which parts, joint to joint and cut length, m, and what each joint takes up between the two.

    `length` is None where it is not known, with `why` and the spec paths that are missing for it. A radius arm has
    none: it is set up by `set_up_by`, the distances of its joints.
    """

    label: str
    paths: tuple[str, ...]
    tube: tuple[Fact, ...]
    joint_to_joint: float | None
    length: float | None
    takes: tuple[Taken, ...]
    unknown: tuple[str, ...]
    why: str
    set_up_by: tuple[Span, ...] = ()

    @property
    def incomplete(self) -> bool:
        """Whether the length to cut, or for an arm a distance of its joints, is not known."""
        return self.length is None and not (self.set_up_by and all(span.value is not None for span in self.set_up_by))

    @property
    def number(self) -> int:
        """How many are cut."""
        return len(self.paths)


class Line(NamedTuple):
    """One line of the order: a kind of thing by what it is ordered by, how many, and what each of them is for.

    `unknown` are the spec paths of what the order still lacks.
    """

    kind: str
    facts: tuple[Fact, ...]
    number: int
    used_for: tuple[str, ...]
    unknown: tuple[str, ...]


class Packed(NamedTuple):
    """One entry of the packing list: how many the build needs, or None where it has nothing by that name; how many were
    ordered and arrived, and whether they were inspected; None for what is not stated."""

    name: str
    path: str
    needed: int | None
    ordered: int | None
    arrived: int | None
    inspected: bool | None

    @property
    def lacks(self) -> tuple[str, ...]:
        """The steps still to do, in words."""
        return tuple(self._lacks())

    def _lacks(self) -> Iterator[str]:
        if self.needed is None:
            yield "nothing in the spec has this name"
        elif self.ordered is not None and self.ordered < self.needed:
            yield f"order {self.needed - self.ordered} more"
        wanted = self.needed if self.ordered is None else self.ordered
        if self.ordered is None:
            yield "how many were ordered is not stated"
        if self.arrived is None:
            yield "how many arrived is not stated"
        elif wanted is not None and self.arrived < wanted:
            yield f"{wanted - self.arrived} not arrived"
        if self.inspected is None:
            yield "whether they were inspected is not stated"
        elif not self.inspected:
            yield "not inspected"


class Renewal(NamedTuple):
    """A part to renew while the truck is apart, with why; `renewed` is None where the records do not say."""

    name: str
    why: str
    renewed: bool | None


class OrderList(NamedTuple):
    """Everything that is cut, ordered and renewed. `unpacked` are the kinds of part that the packing list does not
    have, `absent` the sections of the spec that are not there, whose parts are not known."""

    cuts: tuple[Cut, ...]
    lines: tuple[Line, ...]
    packed: tuple[Packed, ...]
    unpacked: tuple[str, ...]
    renewals: tuple[Renewal, ...]
    absent: tuple[str, ...]

    @property
    def incomplete(self) -> int:
        """The number of cuts and lines that still lack something."""
        return sum(cut.incomplete for cut in self.cuts) + sum(bool(line.unknown) for line in self.lines)

    @property
    def empty(self) -> bool:
        """Whether the spec has no part to cut or to order."""
        return not self.cuts and not self.lines


def order_list(build: Build) -> OrderList:
    """The cut list, the order, the packing list as far as it goes, and what is renewed, for a build."""
    listed = parts_list(build)
    cuts = tuple(_cuts(build, listed.parts))
    lines = tuple(_together(line for part in listed.parts for line in _lines(build, part)))
    names = _names(listed.parts, lines)
    held = build.parts if build.has("parts") else {}
    packed = tuple(_packed(name, each, names) for name, each in held.items())
    known = {_spoken(name) for name in held}
    kinds = dict.fromkeys(part.kind for part in listed.parts if part.kind != "bracket")
    unpacked = tuple(kind for kind in kinds if not known & {_spoken(kind), *_labels(listed.parts, kind)})
    return OrderList(cuts, lines, packed, unpacked, tuple(_renewals(build, listed.parts)), listed.absent)


# What is cut.


def _cuts(build: Build, parts: Iterable[ListedPart]) -> Iterator[Cut]:
    made: dict[object, Cut] = {}
    for part in parts:
        if part.kind not in MADE or not any(piece.kind == "tube" for piece in part.pieces):
            continue
        cut = _cut(build.value(part.path), part)
        label = cut.label.removeprefix(f"{part.side.value} ") if part.side is not Side.CENTRE else cut.label
        lengths = [None if each is None else round(each, 6) for each in (cut.joint_to_joint, cut.length)]
        key = (label, *lengths, tuple(fact.value for fact in cut.tube), cut.length is None)
        first = made.get(key)
        if first is None or part.side is not Side.RIGHT:
            made[key] = cut
        else:
            both = first.label.replace("left", "left and right", 1)
            unknown = (*first.unknown, *cut.unknown)
            made[key] = first._replace(label=both, paths=(*first.paths, *cut.paths), unknown=unknown)
    yield from made.values()


def _cut(rod: Rod, part: ListedPart) -> Cut:
    tube = next(piece for piece in part.pieces if piece.kind == "tube")
    if not has_one_tube(rod):
        return Cut(part.label, (part.path,), tube.facts, part.length, None, (), (), MADE_BY_THE_SHOP, part.spans[1:])
    missing = lacking(rod)
    if part.length is None or missing:
        why = part.spans[0].why if part.length is None else "the spec does not say what the joints take up"
        return Cut(part.label, (part.path,), tube.facts, part.length, None, (), missing, why)
    takes = tuple(Taken(f"{taken.name} joint", taken.length) for taken in taken_up(rod))
    return Cut(part.label, (part.path,), tube.facts, part.length, tube_cut(rod), takes, (), "")


# What is ordered.


def _lines(build: Build, part: ListedPart) -> Iterator[Line]:
    """The lines of one part."""
    if part.kind == "bracket":
        yield from _of_bracket(build.value(part.path), part)
        return
    if part.kind not in MADE:
        pieces = tuple(fact for piece in part.pieces if piece.kind == "tube" for fact in piece.facts)
        length = _length_fact(part)
        yield _line(part.kind, (*length, *part.facts, *pieces), part.label)
    studs = {piece.name.removesuffix(", stud"): piece for piece in part.pieces if piece.kind == "stud"}
    for piece in part.pieces:
        name = f"{part.label} {piece.name.removesuffix(', bolt')}"
        if piece.kind in ("joint", "spring", "bolt"):
            made = piece if piece.name not in studs else _on_its_stud(piece, studs[piece.name])
            yield _of_piece(made, name, "driveshaft joint" if part.kind == "driveshaft" else piece.kind)
        if piece.kind == "joint" and part.kind in MADE:
            yield from _of_thread(piece, name)
        if piece.kind == "bolt":
            yield from _nut(piece, 1, name)


def _length_fact(part: ListedPart) -> tuple[Fact, ...]:
    """Of a part without a length of its own to order it by, that at ride height."""
    if part.kind not in ("front shaft", "brace") or not part.spans:
        return ()
    name = "end to end" if part.kind == "brace" else "joint to joint"
    return (Fact(part.path, name, part.spans[0].value, Dimension.LENGTH),)


def _on_its_stud(joint: Piece, stud: Piece) -> Piece:
    """A joint with its stud, which comes with it."""
    facts = stud.facts or (Fact(stud.path, "", None, None),)
    return joint._replace(facts=(*joint.facts, *(fact._replace(name=f"stud {fact.name}".strip()) for fact in facts)))


def _of_piece(piece: Piece, name: str, kind: str) -> Line:
    return _line(kind, piece.facts, name) if piece.stated else Line(kind, (), 1, (name,), (piece.path,))


def _of_thread(piece: Piece, name: str) -> Iterator[Line]:
    """The jam nut of a joint with a shank, and the threaded insert that it screws into."""
    thread = [fact for fact in piece.facts if fact.name in ("thread", "thread hand")]
    if thread:
        yield _line("jam nut", thread, name)
        yield _line("threaded insert", thread, name)


def _nut(piece: Piece, count: int, name: str) -> Iterator[Line]:
    by = next((fact for fact in piece.facts if fact.name == "locked by"), None)
    if by is not None and by.value in NUTS:
        size = next(fact for fact in piece.facts if fact.name == "size")
        yield _line(words(str(by.value).replace("-", "_")), (size,), name, count)


def _of_bracket(bracket: Attachment, part: ListedPart) -> Iterator[Line]:
    plate = tuple(fact for fact in part.facts if fact.name in ("bracket material", "bracket thickness"))
    yield _line("bracket plate", plate, part.label)
    for piece in part.pieces:
        if not piece.stated:
            yield Line("bolt", (), 1, (part.label,), (piece.path,))
            continue
        each = tuple(fact for fact in piece.facts if fact.name != "count")
        count = bracket.bolts.count if bracket.bolts.has("count") else 1
        unknown = () if bracket.bolts.has("count") else (bracket.bolts.own_path_of("count"),)
        line = _line("bolt", (*each[:2], _clamped(bracket), *each[2:]), part.label, count)
        yield line._replace(unknown=(*unknown, *line.unknown))
        yield from _nut(piece, count, part.label)


def _clamped(bracket: Attachment) -> Fact:
    """The thickness that the bolts of a bracket clamp: its foot, and the part below unless that has the thread."""
    own = bracket.bolts if bracket.bolts.has("foot_thickness") else bracket
    name = "foot_thickness" if own is bracket.bolts else "bracket_thickness"
    if not own.has(name):
        return Fact(own.own_path_of(name), "grip", None, Dimension.LENGTH)
    foot: float = getattr(own, name)
    if bracket.bolts.has("threaded_into") and bracket.bolts.threaded_into == "parent":
        return Fact("", "grip", foot, Dimension.LENGTH)
    if not bracket.has("parent_thickness"):
        return Fact(bracket.own_path_of("parent_thickness"), "grip", None, Dimension.LENGTH)
    return Fact("", "grip", foot + bracket.parent_thickness, Dimension.LENGTH)


def _line(kind: str, facts: Iterable[Fact], name: str, count: int = 1) -> Line:
    every = tuple(facts)
    return Line(kind, every, count, (name,), tuple(fact.path for fact in every if fact.value is None))


def _together(lines: Iterable[Line]) -> Iterator[Line]:
    """The lines of the same thing as one, in the order of the first; things of a kind beside each other."""
    made: dict[object, Line] = {}
    for line in lines:
        key = (line.kind, tuple((fact.name, fact.value) for fact in line.facts), not line.facts)
        first = made.get(key)
        if first is None:
            made[key] = line
            continue
        made[key] = first._replace(
            number=first.number + line.number,
            used_for=(*first.used_for, *line.used_for),
            unknown=tuple(dict.fromkeys((*first.unknown, *line.unknown))),
        )
    kinds = list(dict.fromkeys(line.kind for line in made.values()))
    yield from sorted(made.values(), key=lambda line: kinds.index(line.kind))


# The packing list.


def _names(parts: Iterable[ListedPart], lines: Iterable[Line]) -> dict[str, int]:
    """How many the build needs of what a packing list may name: a kind, or a part by its name without its side."""
    found: dict[str, int] = {}
    for part in parts:
        for name in {_spoken(part.kind), _label(part)}:
            found[name] = found.get(name, 0) + 1
    for line in lines:
        own = _spoken(line.kind)
        if line.kind not in {part.kind for part in parts}:
            found[own] = found.get(own, 0) + line.number
        kind = next((str(fact.value) for fact in line.facts if fact.name == "kind"), "")
        if line.kind == "joint" and kind:
            found[_spoken(kind)] = found.get(_spoken(kind), 0) + line.number
    return found


def _label(part: ListedPart) -> str:
    return _spoken(part.label.removeprefix(f"{part.side.value} "))


def _labels(parts: Iterable[ListedPart], kind: str) -> set[str]:
    return {_label(part) for part in parts if part.kind == kind}


def _spoken(name: str) -> str:
    """A name as it is compared: small letters, spaces between words, one and not several."""
    return name.replace("_", " ").replace("-", " ").casefold().removesuffix("s")


def _packed(name: str, part: PackedPart, needed: dict[str, int]) -> Packed:
    return Packed(
        name,
        part.path,
        needed.get(_spoken(name)),
        part.ordered if part.has("ordered") else None,
        part.arrived if part.has("arrived") else None,
        part.inspected if part.has("inspected") else None,
    )


# What is renewed.


def _renewals(build: Build, parts: Iterable[ListedPart]) -> Iterator[Renewal]:
    """Parts that the records name, then those that are common practice for the parts of this build (no source)."""
    recorded = build.records.reassembled.renewed if _records_renewals(build) else {}
    done = {_spoken(name): part.renewed for name, part in recorded.items()}
    for name, part in recorded.items():
        yield Renewal(words(name), "named in the records", part.renewed)
    for name, why in dict(_usual(build, parts)).items():
        if _spoken(name) not in done:
            yield Renewal(name, f"{why} (common practice, no source)", None)


def _records_renewals(build: Build) -> bool:
    records = build.records if build.has("records") else None
    return records is not None and records.has("reassembled") and records.reassembled.has("renewed")


HEATED = "it is fitted while brackets are welded near it"


def _usual(build: Build, parts: Iterable[ListedPart]) -> Iterator[tuple[str, str]]:
    axle = build.axle if build.has("axle") else None
    if axle is not None and axle.has("driven") and axle.driven:
        yield "axle shaft seals", "welding heat and old grease harden their lips"
    if build.has("steering"):
        yield "knuckle bearings or ball joints", "they are in reach now, and carry more after the change"
        yield "tie rod and drag link ends", "a worn end shakes the steering"
    if build.has("brake_lines"):
        yield "brake hoses", "an old hose swells or cracks as it is bent anew"
    if build.has("driveshaft"):
        yield "driveshaft joints", "they run at other angles from now on"
    yield "wheel bearings and hub seals", "they are open once the brakes are off"
    locks = {
        str(fact.value) for part in parts for piece in part.pieces for fact in piece.facts if fact.name == "locked by"
    }
    for lock in SINGLE_USE:
        if lock in locks:
            yield f"{lock.replace('-', ' ')}, wherever one is undone", "it holds once"
    if axle is not None and axle.has("heat_sensitive_parts"):
        for name, part in axle.heat_sensitive_parts.items():
            if part.state == "fitted":
                yield words(name), HEATED
    tacked = build.records.tacked if build.has("records") and build.records.has("tacked") else None
    if tacked is not None and tacked.has("near_welds"):
        for name, state in tacked.near_welds.given().items():
            if state == "fitted":
                yield words(name), HEATED
