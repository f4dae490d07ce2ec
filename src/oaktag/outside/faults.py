"""What is wrong with a garment, or with a draft that it made, in words: before a stage stumbles over it.

The general stages trust what they are given, as ours are tested. One of a maker's own is looked through each time it is
drafted: names, outlines, and every place that a seam, a notch or a check will look for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from itertools import pairwise
from typing import Any, Final

from ..body.measurements import KINDS
from ..body.whom import FOR_WHOM
from ..draft.garment import GARMENT_NAMES, Garment, Names
from ..draft.options import ChoiceOption, LengthOption
from ..geometry.path import flatten
from ..geometry.point import distance
from ..geometry.polygon import area
from ..model.draft import Draft
from ..model.piece import EdgeKind, Piece
from ..model.ref import Ref
from .typed import untyped

APART: Final = 0.01
"""Edges that are further apart than this do not meet, mm."""
_DOT: Final = 1e-6
"""A curve that is shorter is a point, mm."""
_NAME: Final = re.compile(r"[^\W_]+(?:[-_][^\W_]+)*")
_TOLD: Final = frozenset({"pieces", "steps", "body", "style"})
"""Fields of a draft that name no other piece."""


def faults_of_garment(garment: Garment) -> Iterator[str]:
    """What of its description cannot be worked with."""
    wrong = list(untyped(garment, Garment)) or list(untyped(garment.names_of(), Names, "names_of"))
    if wrong:
        yield from wrong
        return
    if not _NAME.fullmatch(garment.name) or len(garment.name) > 60:
        yield f"name = {garment.name!r} cannot be the name of a garment: write letters, digits and hyphens"
    if garment.name in GARMENT_NAMES:
        yield f"name = {garment.name!r} is the name of a garment that ships: give it another"
    named = (*garment.uses, *garment.instead, *garment.instead.values())
    yield from (f"uses {name!r}, which is no measurement" for name in dict.fromkeys(named) if name not in KINDS)
    for field, names in (("edges", garment.edges), ("pieces", garment.pieces)):
        if not names or not all(map(_is_plain, names)):
            yield f"{field}: write their names in small letters, digits and _"
    if garment.for_whom not in ("", *FOR_WHOM):
        listed = ", ".join(f'"{whom}"' for whom in FOR_WHOM)
        yield f"for_whom = {garment.for_whom!r} is nobody that is known: write one of {listed}, or leave it empty"
    known: set[str] = set()
    for option in garment.options:
        if not _is_plain(option.name) or option.name in known:
            yield f"the option {option.name!r}: write each name once, in small letters, digits and _"
        known.add(option.name)
        if isinstance(option, ChoiceOption):
            if option.default not in option.choices:
                yield f"the option {option.name}: its default {option.default!r} is none of its choices"
        elif isinstance(option, LengthOption) and option.default is None and not option.default_words:
            yield f"the option {option.name} has neither a default nor default_words"
        elif not option.least <= (option.least if option.default is None else option.default) <= option.most:
            yield f"the option {option.name}: its default lies outside {option.least:g} to {option.most:g}"
        elif isinstance(option, LengthOption) and not _fits(option.default_words, option.lengths):
            yield f"the option {option.name}: default_words names a length that is not given"


def faults_of_draft(draft: object, garment: Garment) -> Iterator[str]:
    """What of a draft cannot be finished."""
    if not isinstance(draft, Draft):
        yield f"draft gives {type(draft).__name__} back, and no Draft"
        return
    wrong = list(untyped(draft, Draft))
    if wrong:
        yield from wrong
        return
    if draft.garment != garment.name:
        yield f"the draft is of {draft.garment!r}, and the garment is {garment.name!r}"
    names = [piece.name for piece in draft.pieces]
    if not names or len(set(names)) < len(names):
        yield "two pieces have one name" if names else "there is no piece"
    for piece in draft.pieces:
        yield from (f"{piece.name}: {words}" for words in _faults_of_piece(piece, garment))
        for edge in piece.edges:
            keys = (f"{piece.name}.{edge.name}", edge.name)
            if edge.kind is not EdgeKind.FOLD and not any(key in draft.default_allowances for key in keys):
                yield f"{keys[0]} has no width in default_allowances"
    for name, allowance in draft.default_allowances.items():
        widths = [allowance] if isinstance(allowance, (int, float)) else [station.width for station in allowance]
        if not widths or min(widths) < 0:
            yield f"default_allowances of {name}: {allowance!r} is no width"
    for step in draft.steps:
        if not _fits(step.formula, step.lengths):
            yield f"the step {step.label!r}: its formula {step.formula!r} names a length that is not given"
    hanging = [cord.name for cord in draft.cords]
    if "" in hanging or len(set(hanging)) < len(hanging):
        yield "two cords have one name, or one has none"
    for cord in draft.cords:
        if not _fits(cord.change, {"most": 0.0}):
            yield f"the cord {cord.name!r}: its change {cord.change!r} names a length that is not given"
        if min(length.mm for length in (cord.end, cord.drawn or cord.end, cord.loop or cord.end)) < 0:
            yield f"the cord {cord.name!r}: a length below 0"
    edges = {piece.name: {edge.name for edge in piece.edges} for piece in draft.pieces}
    for field in fields(draft):
        if field.name not in _TOLD:
            yield from dict.fromkeys(_lost(getattr(draft, field.name), edges, field.name))


def _faults_of_piece(piece: Piece, garment: Garment) -> Iterator[str]:
    if piece.name not in garment.pieces:
        yield "the garment does not list it among its pieces"
    names = [edge.name for edge in piece.edges]
    if len(set(names)) < len(names) or len(names) < 2:
        yield "it needs two edges or more, each with a name of its own"
        return
    yield from (f"the garment does not list {name!r} among its edges" for name in names if name not in garment.edges)
    lengths = {edge.name: [curve.length() for curve in edge.curves] for edge in piece.edges}
    empty = [name for name, own in lengths.items() if sum(own) < APART or min(own) < _DOT]
    if empty:
        yield f"{', '.join(empty)}: an edge, or a curve of it, without a length"
        return
    for edge, following in pairwise((*piece.edges, piece.edges[0])):
        for before, after in pairwise(edge.curves):
            if distance(before.end, after.start) > APART:
                yield f"{edge.name} is broken: a gap of {distance(before.end, after.start):.2f} mm"
        if distance(edge.end, following.start) > APART:
            gap = distance(edge.end, following.start)
            yield f"{edge.name} ends {gap:.2f} mm from where {following.name} begins"
            return
    if area([p for edge in piece.edges for p in flatten(edge.curves)[:-1]]) < 1.0:
        yield "its edges run clockwise, or lie on each other: give them counter-clockwise"
    for notch in piece.notches:
        if notch.edge not in names or not -APART <= notch.at <= piece.edge(notch.edge).length() + APART:
            yield f"a notch at {notch.at:g} mm of {notch.edge!r} lies on no edge"
    yield from (f"the drill hole {hole!r} is none of its points" for hole in piece.holes if hole not in piece.points)
    yield from (f"the line {each.name!r} needs two points" for each in piece.internal_lines if len(each.points) < 2)
    for dart in piece.darts:
        if len(dart.points) not in (3, 4):
            yield f"the dart {dart.name!r} has {len(dart.points)} points: three if it opens at an edge, else four"
    if distance(*piece.grain) < 1.0:
        yield "its grain line has no length"


def _lost(value: Any, edges: Mapping[str, set[str]], field: str) -> Iterator[str]:
    """Whatever names a piece, or an edge of one, that there is none of."""
    if isinstance(value, Ref):
        if value.edge not in edges.get(value.piece, ()):
            yield f"{field} names {value}, which is no edge of a piece"
    elif is_dataclass(value):
        own = getattr(value, "piece", None)
        if isinstance(own, str) and own and own not in edges:
            yield f"{field} names the piece {own!r}, which is not there"
        for one in fields(value):
            yield from _lost(getattr(value, one.name), edges, field)
    elif isinstance(value, tuple):
        for each in value:
            yield from _lost(each, edges, field)


def _fits(words: str, lengths: Mapping[str, float]) -> bool:
    """Whether every {name} in the words is given."""
    try:
        words.format(**dict.fromkeys(lengths, ""))
    except (LookupError, ValueError, AttributeError):
        return False
    return True


def _is_plain(name: str) -> bool:
    return name == name.lower() and name.replace("_", "").isalnum() and len(name) <= 60
