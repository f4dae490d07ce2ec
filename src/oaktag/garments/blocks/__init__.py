"""Blocks of a bodice, front and back halves, by three methods: quarter, close, angle.

quarter   front and back share a quarter of every girth; the bust dart lies in the side seam, where the front length was
          measured (trade lists, drafting rules for women's blocks 1; as the sheath dress)
close     a close-fitting block by back width, chest and neck, with a bust dart at the shoulder (the same, 2)
angle     front and back unlike, from bust, waist and back length alone; the bust dart by an angle, at the armhole, and
          the waist's surplus dealt out by percentages (the same, 4; from memory)
"""

from __future__ import annotations

from typing import Any, Final

from ...draft.board import Board
from ...draft.signature import length
from ...model.length import Length, inch
from ...model.piece import EdgeKind, Piece
from ...values import replace
from .angle import angle_block
from .close import close_block
from .lower import Asked, bust_round, levelled
from .quarter import quarter_block

METHODS = ("quarter", "close", "angle")
EASE: Final = {"quarter": 3.0, "close": 4.0, "angle": 4.75}
"""Wearing ease round the bust, in, as each method has it: 8, 10, 12 cm (drafting rules for women's blocks, 2, 4; the
quarter's common practice, no source)."""

__all__ = ["METHODS", "block", "bust_ease", "bust_round", "eased", "levelled"]


def bust_ease(more: float = 0.0, *, least: Length, most: Length, group: str = "") -> Any:
    """The option of a garment for the ease round the bust, `more` in of it than the methods have."""
    return length(
        "wearing ease round the bust", least=least, most=most, worked_out="{a} by quarters, {b} close, {c} by angle",
        where={key: inch(EASE[method] + more) for key, method in zip("abc", METHODS, strict=True)}, group=group,
    )  # fmt: skip


def eased(on: Board, method: str, asked: Length | None, more: float = 0.0) -> Length:
    """The ease round the bust that was asked for, or else that of the method and `more` in."""
    ease = asked or on.usual(inch(EASE[method] + more))
    on.work("ease_bust", ease)
    return ease


def block(
    on: Board,
    method: str,
    *,
    ease_bust: Length,
    ease_waist: Length,
    below: Length | None = None,
    ease_hip: Length | None = None,
    waist_darts: bool = True,
    front_darts: str = "auto",
    centre_back: str = "fold",
    prefix: str = "",
    joined: bool = False,
) -> tuple[Piece, Piece]:
    """Front and back half by a method, for the eases all round, mm.

    Edges `centre_front` or `centre_back`, `neck`, `shoulder`, `armhole`, `side`, `waist`; with `below` it goes on so
    far below the waist line, to a `hem`, its waist darts double-ended or, without `waist_darts`, none. Darts `bust`,
    `waist`, `waist_2` in front (`front_darts`: one, two, or as the method has it, "auto"), `shoulder`, `waist`,
    `waist_2` in the back. Levels `bust`, `waist`, `hip`, `hem`, told from the back's side neck point down; `levelled`
    draws them anew after moves. `joined`: its hem is sewn to something below. `centre_back`: on the fold, or a "seam"
    that is shaped. The points of the darts lie where the method has them: a bust dart's at the `bust_point`, to be
    pulled back when all moves are done.
    Raises DraftError for a body that the method does not serve.
    """
    asked = Asked(ease_bust, ease_waist, below, ease_hip, waist_darts, front_darts, centre_back == "seam", prefix)
    halves = {"quarter": quarter_block, "close": close_block, "angle": angle_block}[method](on, asked)
    front, back = on.fitted(*(_to_be_joined(half) if joined else half for half in halves))
    return front, back


def _to_be_joined(half: Piece) -> Piece:
    edges = (replace(edge, kind=EdgeKind.SEAM) if edge.name == "hem" else edge for edge in half.edges)
    return replace(half, edges=tuple(edges))
