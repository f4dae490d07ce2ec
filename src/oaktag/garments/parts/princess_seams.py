"""What is claimed of panels of which one is eased to the other: the side panel of a princess line, over the bust."""

from __future__ import annotations

from collections.abc import Sequence

from ...claims.edges import EasedAbove
from ...model.claim import Claim
from ...model.piece import Piece
from ...model.ref import Ref


def princess_claims(pieces: Sequence[Piece]) -> tuple[Claim, ...]:
    """Of every pair of panels: equally long below the bust, the side panel eased above by no more than 6 mm."""
    panels = {piece.name for piece in pieces if any(edge.name == "princess" for edge in piece.edges)}
    halves = [piece.name.removesuffix("_side") for piece in pieces if piece.name in panels]
    change = "choose another princess line, or another place for the bust dart."
    return tuple(
        EasedAbove(f"princess.{half}", change, f"{half} princess seam", Ref.of(f"{half}_side.princess"),
                   Ref.of(f"{half}_centre.princess"), "bust")
        for half in halves if {f"{half}_centre", f"{half}_side"} <= panels
    )  # fmt: skip
