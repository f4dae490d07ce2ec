"""A gown that is put on over the head: the head that its neck must pass, and her stride told from the shoulder."""

from __future__ import annotations

from typing import Final

from ...draft.board import Board
from ...model.length import Length, cm
from ...model.walking import Walk
from ...values import replace
from .stride import walk_of

HEAD: Final = cm(58)
"""Stands for a head that was not measured: few are larger (common practice, no source)."""
HEAD_EASE: Final = cm(3)
"""A neck is so much more round than the head (worked rules 7)."""
BUST: Final = 0.66
"""The bust line is so much of the waist line (medians 8.8 and 13.4 in; worked rules 7)."""


def head_of(on: Board) -> tuple[Length, str]:
    """The head's girth, and how it is known; where it was not measured, one that is assumed and told."""
    head = on.body.get("head_girth")
    if head is None:
        on.note(f"head_girth was not measured: {on.say(HEAD)} is assumed.")
    return head or HEAD, "as measured" if head else "assumed"


def walk_below(on: Board, long: Length, rise: float = 0.0) -> Walk:
    """Her legs below a hem so `long` below the side neck point, that meets the side seam `rise` mm higher."""
    walk = walk_of(on, long, rise=rise)
    return replace(walk, top_height=walk.top_height + on.body.waist_line.mm)
