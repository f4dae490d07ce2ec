"""A length of a roll as a sheet for the exporters, full size, mm; and the words that stand where it begins."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..device.profile import DeviceProfile
from ..geometry.point import XY
from ..sheet.lettering import text_lines, wrapped
from ..sheet.strokes import Figure, Role, Sheet, Stroke
from .code import Ink
from .pack import HEAD, Length, Put

_WORDS = (7.0, 4.0)
"""Capitals of the first line and of the others, mm."""
_PITCH = 1.7
_CAUTION = (
    "Before cutting, measure the scale block with a steel rule. Blades are sharp when they stand still, too: cut away "
    "from your fingers."
)


def figure_name(put: Put) -> str:
    """`7 alto-3 front 14`: what it is called in a file, with no sign that parts an id."""
    own = put.piece
    words = " ".join(filter(None, (str(put.number), own.order, own.words, own.size)))
    return re.sub(r"[.,]+", "", words)


def sheet_of(length: Length, title: str, ink: Ink) -> Sheet:
    """The block and the words first, then the pieces in the order in which they are drawn, then the far block."""
    blocks = [figure.moved(move) for figure, move in length.blocks]
    first = [figure for figure in blocks if figure.name == HEAD or figure is blocks[0]]
    pieces = [
        Figure(figure_name(put), (*put.piece.figure.strokes, *put.piece.tag.strokes(put.number, ink))).moved(put.move)
        for put in length.puts
    ]
    last = [figure for figure in blocks if figure not in first]
    return Sheet(title, length.width, length.long, (*first, *pieces, *last))


def head_of(title: str, lines: Sequence[str], device: DeviceProfile, room: XY) -> Figure:
    """What the roll is, and the cautions, in so many mm across and along; nothing where there is no room."""
    wide, high = room
    if wide <= 0.0:
        return Figure(HEAD, ())
    corrected = device.correction.words() if not device.correction.identity else ""
    told = [*lines, f"corrected for {device.name}: {corrected}"] if corrected else list(lines)
    size = _WORDS[1]
    rows = [(line, _WORDS[0]) for line in wrapped(title, _WORDS[0], wide)[:2]]
    cautions = [(line, size) for text in (_CAUTION, *device.cautions) for line in wrapped(text, size, wide)]
    most = int((high - sum(_PITCH * s for _, s in (*rows, *cautions))) / (_PITCH * size))
    body = [(line, size) for text in told for line in wrapped(text, size, wide)]
    if len(body) > max(0, most):
        body = [*body[: max(0, most - 1)], ("and more: see the cut list", size)]
    strokes: list[Stroke] = []
    y = 0.0
    for line, s in (*rows, *body, *cautions):
        y -= _PITCH * s
        strokes += [Stroke(Role.LABEL, points) for points in text_lines(line, s, (0.0, y))]
    return Figure(HEAD, tuple(strokes))
