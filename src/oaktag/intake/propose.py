"""A first plan for a drawing: every outline and edge with its length, what its lines are taken for, seams that may be
meant, and a numbered picture.

Whatever is only guessed and may be wrong is a remark until a maker says yes: a first plan never stops its own drawing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from ..errors import GeometryError, InputError, InputErrors, Where
from ..geometry.path import flatten, path_length
from ..geometry.polygon import Box
from ..model.piece import Piece
from ..units import Unit, show
from ..values import dataclass, replace
from .darts import Stroke, darts_in, wedges_closed
from .drawn import IDLE, called, draft_of, looks_like, names_of, ring_of
from .joints import Joint, joints_of
from .limits import PIECE, Budget
from .model import Drawing, DrawnPath, DrawnPoint, Outline, Outlines, Said
from .numbered import Lettered, pages_of
from .plan import MEANINGS, Lines, PiecePlan, Plan, Reading, name_of

_MATERIALS: Final = ("shell", "lining", "interfacing")
"""Words for cloth that files write in capitals."""
_MOST_SEAMS: Final = 60
_MOST_ASKED: Final = 60
_MOST_SIGNS: Final = 1_900
"""Equals signs in a plan: a job file that has more than 2,000 is not read."""
_DART: Final = "looks like a dart and is taken for one"
_TAKEN: Final = {"drill": "taken for a drill hole", "notch": "taken for a notch", "internal": "drawn as it is"}


@dataclass(frozen=True, slots=True)
class Proposal:
    """The text of the plan, the pages of the picture that its numbers stand in, each as SVG, and how many seams are
    guessed in it."""

    plan: str
    pictures: tuple[str, ...]
    seams: int = 0


@dataclass(frozen=True, slots=True)
class _Asked:
    """Lines that no layer's name explains: their letter, the words by which a plan names them, what they become."""

    letter: str
    outline: int | None
    called: tuple[str, ...]
    paths: tuple[DrawnPath, ...]
    taken: str


def proposed(
    drawing: Drawing,
    outlines: Outlines,
    reading: Reading,
    *,
    title: str,
    file: str,
    unit: Unit,
    picture: str,
    rules: str = "",
) -> Proposal:
    """A plan that can be used as it is: names from the drawing's words and layers, e1, e2, … for edges.

    `file` is the drawing, `picture` the picture's first page and `rules` a table of rules (.rul), as the plan names
    them. InputError for too many outlines.
    """
    Budget(drawing.name).spend(PIECE, len(outlines.outlines))
    reading, outlines = _with_darts_closed(reading, outlines)
    names = _piece_names(outlines.outlines)
    pieces = _pieces(drawing, outlines, names)
    asked = _asked(outlines)
    pages = pages_of(
        outlines.outlines,
        names,
        [Lettered(one.letter, one.outline, tuple(path.curves for path in one.paths)) for one in asked],
    )
    more = f" and its {len(pages) - 1} more pages" if len(pages) > 1 else ""
    lines = [
        f"# A first plan for {file}: {len(outlines.outlines)} outlines, in true size by {drawing.unit}.",
        f"# The numbers and letters are those of {picture}{more}. Give names to pieces and edges, say what is cut, and",
        "# run   oaktag finish DRAWING --plan THIS -o FOLDER",
        f"title   = {_text(title)}",
        f"drawing = {_text(file)}",
        f'units   = "{unit}"',
        "",
        *_reading(reading),
        *_lines(outlines, asked, names, unit),
        "[allowances]              # by edge or piece.edge; 10 mm where nothing is said, hems 40 mm, folds none",
        *(f"# {name} = {_text(show(10.0, unit))}" for name in ("side", "hem")),
        "",
    ]
    for number, (name, outline) in enumerate(zip(names, outlines.outlines, strict=True), start=1):
        piece = pieces[number - 1] if pieces else None
        lines += _piece(number, name, outline, piece, unit)
    likely, others = joints_of(pieces)
    lines += _seams(likely, others, unit)
    if rules:
        lines += ["[sizes]                   # make = [...] for some of them", f"rules = {_text(rules)}", ""]
    for note in dict.fromkeys((*drawing.notes, *outlines.notes)):
        lines.append(f"# told while reading: {' '.join(note.split())}")
    text = "\n".join(lines).rstrip() + "\n"
    if text.count("=") > _MOST_SIGNS:  # without its remarks
        kept = [line.partition("#")[0].rstrip() if line.startswith(("outline", "cut")) else line for line in lines]
        kept = [line for line in kept if not line.startswith("#") or ("=" not in line and "[[" not in line)]
        text = "\n".join(kept).rstrip() + "\n"
    if text.count("=") > _MOST_SIGNS:
        raise InputError(
            f"it has {len(outlines.outlines)} outlines, more than one plan holds", where=Where(file),
            expected="the pieces of one garment", instead="Save it in parts",
        )  # fmt: skip
    return Proposal(text, pages, len(likely))


def _with_darts_closed(reading: Reading, outlines: Outlines) -> tuple[Reading, Outlines]:
    """Wedges that are cut into the outlines taken for darts, unless the outlines are cut lines or pattern data, which
    keeps its lines."""
    known = reading.outline == "cut line" or any(one.cut or one.said for one in outlines.outlines)
    if reading.close_darts or known:
        return reading, outlines
    closed = [wedges_closed(outline) for outline in outlines.outlines]
    if not any(count for _, count in closed):
        return reading, outlines
    return replace(reading, close_darts=True), replace(outlines, outlines=tuple(outline for outline, _ in closed))


def _pieces(drawing: Drawing, outlines: Outlines, names: Sequence[str]) -> tuple[Piece, ...]:
    """The pieces that this plan will make, on the outlines as they are drawn; none where they cannot be made."""
    plans = tuple(
        PiecePlan(name, number, fold=_fold(outline.said))
        for number, (name, outline) in enumerate(zip(names, outlines.outlines, strict=True), start=1)
    )
    try:
        draft, _ = draft_of(drawing, outlines, Plan(pieces=plans))
        return draft.pieces
    except (InputErrors, GeometryError):
        return ()


def _asked(outlines: Outlines) -> list[_Asked]:
    """The lines whose meaning is not told by a name, by outline and name, the darts among them for themselves."""
    guess = Lines()
    found: dict[tuple[int, str, str], list[DrawnPath]] = {}
    darts: list[tuple[int, list[DrawnPath]]] = []
    for i, outline in enumerate((*outlines.outlines, None)):
        paths = [p for p in (outline.paths if outline else outlines.loose) if guess.meaning(names_of(p)) is None]
        used: set[int] = set()
        ring = ring_of(outline.edges) if outline else None
        if outline is not None and paths:
            strokes = [Stroke(path.curves, path.closed, False) for path in paths]
            for dart in darts_in(outline.edges, strokes):
                darts.append((i, [paths[n] for n in dart.strokes]))
                used |= set(dart.strokes)
        for n, path in enumerate(paths):
            if n not in used:
                taken = _TAKEN[looks_like(path.curves, ring, closed=path.closed)] if ring is not None else "left out"
                found.setdefault((i, called(path, outline), taken), []).append(path)
    rows = [(i, _DART, paths) for i, paths in darts] + [(i, taken, paths) for (i, _, taken), paths in found.items()]
    rows.sort(key=lambda row: (row[0], row[1] != _DART))
    asked: list[_Asked] = []
    for letter, (i, taken, paths) in zip(_letters(), rows[:_MOST_ASKED], strict=False):
        holder = outlines.outlines[i] if i < len(outlines.outlines) else None
        words = tuple(dict.fromkeys(called(path, holder) for path in paths))
        asked.append(_Asked(letter, i if holder else None, words, tuple(paths), taken))
    return asked


def _letters() -> Iterator[str]:
    """A, B, … Z, AA, AB, …; without I and O, which read as figures."""
    signs = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    yield from signs
    yield from (a + b for a in signs for b in signs)


def _text(words: str) -> str:
    return '"' + words.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _reading(reading: Reading) -> list[str]:
    rows = []
    if reading.unit is not None:
        rows.append(f'unit  = "{reading.unit}"')
    if reading.scale is not None:
        rows.append(f"scale = {reading.scale!r}")
    if reading.known is not None:
        rows.append(f"known = {_text(f'{reading.known.path}={reading.known.length:g}mm')}")
    usual = Reading()
    if reading.corner_angle != usual.corner_angle:
        rows.append(f"corner_angle = {reading.corner_angle:g}")
    if reading.gap != usual.gap:
        rows.append(f"gap = {reading.gap:g}")
    if reading.outline:
        rows.append(f'outline = "{reading.outline}"   # what the outlines are: "cut line" or "stitch line"')
    if reading.close_darts:
        rows.append("close_darts = true       # wedges cut into the outline are darts; false: they stay as they are")
    head = "[reading]                 # corner_angle: a sharper turn than that parts two edges, degrees"
    open_ = [] if reading.outline else ['# outline = "cut line"   # where the outlines are cut along, not sewn along']
    return [head, *(rows or ["# corner_angle = 25"]), *open_, ""]


def _lines(outlines: Outlines, asked: Sequence[_Asked], names: Sequence[str], unit: Unit) -> Iterator[str]:
    """What the lines inside are taken for by their names, and those that a maker may say something of."""
    yield "[lines]                   # layers or ids, * for any letters; what is not named is drawn as it is"
    guess = Lines()
    by_meaning: dict[str, dict[str, None]] = {}
    drawn: list[DrawnPath | DrawnPoint] = []
    for outline in outlines.outlines:
        drawn += [*outline.paths, *outline.points]
    for one in (*drawn, *outlines.loose):
        words = names_of(one)
        meaning = guess.meaning(words)
        telling = [n for n in words if guess.meaning((n,)) == meaning and not IDLE.match(n)]
        name = telling[-1] if telling else words[0] if words else ""  # the widest group that says it
        if meaning is not None:
            by_meaning.setdefault(meaning, {})[name] = None
    for meaning in MEANINGS:
        if meaning in by_meaning:
            yield f"{meaning:8} = [{', '.join(_text(name) for name in list(by_meaning[meaning])[:20])}]"
    if asked:
        yield "# What these are no name tells; the letters are in the picture. Write their names into a list to say it."
    for row in asked:
        long = sum(path_length(path.curves) for path in row.paths)
        where = "in no outline" if row.outline is None else names[row.outline]
        count = "1 line" if len(row.paths) == 1 else f"{len(row.paths)} lines"
        said = ", ".join(_text(" ".join(name.split())) for name in row.called[:6])
        yield f"# {row.letter:2}  {said}: {where}, {count}, {show(long, unit)} in all; {row.taken}"
    yield f"# any of: {', '.join(MEANINGS)}"
    yield ""


def _piece(number: int, name: str, outline: Outline, piece: Piece | None, unit: Unit) -> list[str]:
    lengths = [path_length(edge) for edge in outline.edges]
    box = Box.round(p for edge in outline.edges for p in flatten(edge, 0.5))
    words = "; ".join(text.words for text in outline.texts)[:90]
    rows = [
        f"[pieces.{_key(name)}]" + (f"    # says: {' '.join(words.split())}" if words else ""),
        f"outline  = {number}" + (f"         # {outline.id or outline.layer}" if outline.id or outline.layer else ""),
        f"# {show(box.width, unit)} wide, {show(box.height, unit)} long",
        *_cut(outline.said),
        'edges    = [              # counter-clockwise from the first corner; "-" goes on with the one before',
    ]
    for i, (edge, length) in enumerate(zip(outline.edges, lengths, strict=True), start=1):
        (x0, y0), (x1, y1) = edge[0].start, edge[-1].end
        way = "up" if y1 - y0 > abs(x1 - x0) else "down" if y0 - y1 > abs(x1 - x0) else "right" if x1 > x0 else "left"
        rows.append(f'    "e{i}",{"":16} # {i}: {show(length, unit)} ({length:.1f} mm), goes {way}')
    rows.append("]")
    for dart in piece.darts if piece else ():
        place = f"at {dart.name.split()[0]}, " if dart.is_open else ""
        legs = " and ".join(show(leg, unit) for leg in dart.legs()[0])
        rows.append(f"# a dart: {place}{show(dart.intake, unit)} wide, legs {legs}")
    return [*rows, '# notches = { e1 = ["10 cm"] }', ""]


def _fold(said: Said | None) -> str:
    """The edge on the fold, as the file says."""
    return f"e{said.fold}" if said is not None and said.fold else ""


def _cut(said: Said | None) -> list[str]:
    """How often it is cut, of what, and on which fold, as the file says."""
    remark = "# pair = true for two that mirror each other; fold = EDGE for a half"
    if said is None:
        return [f"cut      = 1              {remark}"]
    right, left, fold = said.right or 0, said.left or 0, _fold(said)
    rows = [f"cut      = {max(1, right + left):<14} {remark}"]
    if right == left and right and not fold:
        rows.append("pair     = true")
    if fold:
        rows.append(f"fold     = {_text(fold)}")
    if said.material:
        plain = said.material.lower()
        rows.append(f"material = {_text(plain if plain in _MATERIALS else ' '.join(said.material.split())[:80])}")
    rows.append(f"label    = {_text(' '.join(said.name.split())[:80])}      # as the file has it")
    return rows


def _key(name: str) -> str:
    """A key of TOML: in quotes where it is more than plain letters, digits, _ and -."""
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _text(name)


def _seams(likely: Sequence[Joint], others: Sequence[Joint], unit: Unit) -> Iterator[str]:
    """Edges that fit each other, as remarks: nothing is walked until a maker takes them in."""
    if likely:
        yield "# Seams that may be meant: their lengths fit, and the corners and notches that meet. Of each that is"
        yield '# meant take the "# " away before its lines: it is walked from then on.'
        yield ""
    for joint in likely[:_MOST_SEAMS]:
        yield f"# [[seams]]                # {_fit(joint, unit)}"
        yield f"# a = {_text(joint.a)}"
        yield f"# b = {_text(joint.b)}"
        if abs(joint.apart) > 0.5:
            yield f'# # ease = "{joint.apart:.1f} mm"     # accepts that difference'
        yield ""
    for joint in others[:_MOST_SEAMS]:
        yield f"# or {joint.a} and {joint.b}: {_fit(joint, unit)}"
    if others:
        yield ""


def _fit(joint: Joint, unit: Unit) -> str:
    apart = f", {abs(joint.apart):.1f} mm apart" if abs(joint.apart) > 0.05 else ", equal"
    notches = "" if not joint.notches else f"; {joint.notches} notch{'es' * (joint.notches > 1)} of each meet"
    return f"{show(joint.lengths[0], unit)} and {show(joint.lengths[1], unit)}{apart}{notches}"


def _piece_names(outlines: Sequence[Outline]) -> list[str]:
    """From the words in it, else its id, group or layer, else piece1, piece2, …"""
    found: dict[str, int] = {}  # and how often each was asked for
    for number, outline in enumerate(outlines, start=1):
        words = [text.words for text in sorted(outline.texts, key=lambda t: -t.height)]
        said = [outline.id, *reversed(outline.groups), outline.layer]
        candidates = [*words, *(name for name in said if name and not IDLE.match(name))]
        own = name_of(outline.said.name) if outline.said is not None else ""
        base = own or next((slug for word in candidates if (slug := _slug(word))), f"piece{number}")
        name, count = base, found.get(base, 0)
        while name in found:
            count += 1
            name = f"{base}_{count}"
        found[base] = max(count, 1)
        found.setdefault(name, 1)
    return list(found)


def _slug(words: str) -> str:
    plain = re.sub(r"(?i)^\s*\d+\s+of\s+\d+\s*:?\s*", "", words)
    plain = re.sub(r"(?i)[._ -]?(cut[ _-]?line|boundary|outline|contour)$", "", plain)
    slug = name_of(plain, 24)
    return slug if any(sign.isalpha() for sign in slug) else ""
