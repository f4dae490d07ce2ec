"""The lining, derived from the shell and its facings; one length from the facing to the hem, also over a waist seam."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from ...draft.board import Board
from ...draft.lined import lining, pleated
from ...errors import DraftError, GeometryError
from ...geometry.path import place_at, reverse
from ...geometry.point import Point
from ...model.length import Length, found, inch, mm
from ...model.piece import EdgeKind, NotchPlace, Piece
from ...units import INCH
from ...values import replace
from .facings import faced
from .half import Half
from .openings import Opened

OPEN_ABOVE: Final = inch(0.5)
"""The lining's centre back seam ends this far above a vent or slit (1/2 in; common practice, no source)."""
PLEAT_TACK: Final = inch(1)
"""A waist pleat is marked this far above and below the waist line (1 in; common practice, no source)."""
WIDTHS: Final[Mapping[str, Mapping[str, Length]]] = {
    "lining": {"hem": inch(1), "top_edge": inch(0.5), "centre_back": inch(1), "slit": inch(1)},
    "interfacing": dict.fromkeys(("centre_back", "outer_edge", "side", "armhole", "shoulder", "neckline"), inch(0.125)),
}
"""Allowances by material and edge, where they differ from the shell's (common practice, no source)."""

_POINTS: Final = ("waist_side", "hip_side", "hem_side", "hem_centre", "facing_centre", "facing_shoulder", "facing_side",
                  "underarm", "shoulder_tip", "opening_top")  # fmt: skip


def own_widths(pieces: Iterable[Piece], lined: bool) -> dict[str, Length]:
    """Allowances of linings, of interfacings, and of facings that a lining is sewn to, by piece and edge."""
    own = {
        f"{piece.name}.{edge.name}": WIDTHS[piece.material][edge.name]
        for piece in pieces
        if piece.material in WIDTHS
        for edge in piece.edges
        if edge.kind is not EdgeKind.FOLD and edge.name in WIDTHS[piece.material]
    }
    return own | {f"facing_{half}.outer_edge": inch(0.5) for half in ("front", "back") if lined}


def draft_lining(
    on: Board, front: Half, back: Half, whole: Mapping[str, Piece], opened: Opened, facings: Sequence[Piece],
    sleeve: Piece | None, *, in_one: bool, sleeved: str, turn: Length, rise: Length, pleat: Length,
) -> list[Piece]:  # fmt: skip
    """Lining of front, back and sleeve; of front and back in one length.

    The top edge is the facing's; shoulder, armhole and side are the shell's; the hem hangs higher. Waist darts are laid
    as pleats the other way, a bust dart is sewn. At the centre back a pleat gives ease, unless a zip is there.
    Raises DraftError where the facing leaves no room.
    """
    at_armhole = sleeved in ("none", "cap") and not in_one
    pieces = []
    for half, faces in zip((front, back), facings, strict=False):
        ends = {"top_edge": faces}
        if at_armhole and turn.mm > 0:
            run = ("armhole",)
            ends["armhole"] = faced(on, half, whole[half.name], "turn", run, turn.mm, mm(0), turn)
        pieces.append(_half(on, half, whole[half.name], opened, ends, rise, pleat))
    if at_armhole:
        on.note(
            "The lining is sewn to the armhole, which has no facing of its own."
            + (' facing = "all-in-one" would keep it out of sight.' if sleeved == "none" else "")
        )
    elif sleeve is not None:
        pieces.append(_sleeve(on, sleeve, rise.mm))
    _tell(on, bool(front.darts), opened)
    return pieces


def _tell(on: Board, darts: bool, opened: Opened) -> None:
    """How it is sewn in."""
    tack, above = (on.say(on.usual(length)) for length in (PLEAT_TACK, OPEN_ABOVE))
    if darts:
        on.note(
            "Lining: lay the waist darts as pleats, towards the side seams where the shell's are pressed to the "
            f"centre; tack them {tack} above and below the waist line, and leave them loose beyond."
        )
    if opened.zipper is not None:
        on.note(
            "Lining: leave the side seam open between the zip notches, and sew the lining to the zip by hand."
            if opened.back_end is None
            else "Lining: the zip leaves no place for a pleat at the centre back; "
            "its ease is in the loose waist pleats."
        )
    if (kind := opened.walk.opening) != "none":
        on.note(f"Lining: sew its centre back seam only down to {above} above the {kind}; from there hem its edges.")


# ---------------------------------------------------------------- front, back, sleeve


def _half(
    on: Board, half: Half, whole: Piece, opened: Opened, ends: Mapping[str, Piece], rise: Length, pleat: Length
) -> Piece:  # fmt: skip
    """One half; under a facing in one with that of the armhole it has neither armhole nor shoulder."""
    s, name, kind = on.sketch(f"lining_{half.name}"), f"centre_{half.name}", opened.walk.opening
    s.tell(found(half.depth("hem_centre") - rise.mm, "the shell's hem line − {}", rise), "hem line", "hem_centre.y")
    if place_at(reverse(half.side), rise.mm)[0].y > half.points["hip_side"].y - 10:
        raise DraftError(
            f"{s.name}: its hem would lie at the hip line. Make lining_hem_rise less, or the dress longer."
        )
    at_back, above = half.name == "back" and not opened.nowhere_at_back, on.usual(OPEN_ABOVE)
    pleats = half.name == "back" and opened.back_end is None and pleat.mm > 0
    if at_back and kind != "none":
        stop, hem = whole.edge(name).end.y + above.mm, whole.points["hem_centre"].y + rise.mm
        top = whole.points["hip_side"].y if pleats else ends["top_edge"].points["facing_centre"].y
        if stop > top - 1 or stop < hem + INCH:
            raise DraftError(
                f"lining_back: its centre back seam has no room above the {kind}. Make opening_length or "
                "lining_hem_rise less."
            )
    sewn = [dart.name for dart in whole.darts if dart.is_open]
    try:
        made = lining(whole, s.name, short=rise.mm, facings=ends, sewn=sewn, slit=name if at_back else "",
                      above=above.mm, tack=on.usual(PLEAT_TACK).mm)  # fmt: skip
    except GeometryError as error:
        if half.bust_dart is None:
            raise DraftError(f"{error}. Make facing_width narrower, or lining_hem_rise less.") from None
        raise DraftError(
            f"{half.name}: the lower edge of the facing, which the lining is sewn to, runs across the bust dart. "
            'Make the neck less deep, facing_width narrower, or choose facing = "separate".'
        ) from None
    edges = {edge.name: edge for edge in made.edges}
    if "shoulder" in edges:
        s.tell(found(edges["shoulder"].length(), "what the facing leaves of it"), "shoulder", about="shoulder")
    notches, points = list(made.notches), dict(made.points)
    notches.append(NotchPlace("top_edge", edges["top_edge"].length() / 2, half.count, "facing"))
    if "armhole" in ends:
        shell = next(n for n in whole.notches if n.edge == "armhole")
        share = edges["armhole"].length() / whole.edge("armhole").length()
        notches.append(replace(shell, at=shell.at * share))
    if "armhole" in edges:
        points |= {"underarm": edges["armhole"].start, "shoulder_tip": edges["armhole"].end}
    if "slit" in edges:
        s.tell(found(edges["slit"].length(), "{} above the opening, from the hem up", above), "centre back seam ends",
               about="slit")  # fmt: skip
        points["opening_top"] = edges["slit"].start
    top, waist, hip, hem = edges[name].start.y, *(made.points[p].y for p in ("waist_side", "hip_side", "hem_centre"))
    x, upper = half.beside_centre, half.darts[0].points[0].y if half.darts else whole.points["underarm"].y
    made = replace(
        made,
        points={key: points[key] for key in _POINTS if key in points},
        grain=(Point(x, (upper + waist) / 2), Point(x, (hip + hem) / 2)),
        notches=tuple(notches),
        sheets=(),
    )
    if not pleats:
        return made
    s.tell(found(pleat.mm, "beyond the centre back line, so deep"), "centre back pleat", about=name)
    return pleated(made, name, pleat.mm, full=top - waist, gone=top - hip, tack=top - waist)


def _sleeve(on: Board, sleeve: Piece, rise: float) -> Piece:
    """The sleeve, shorter at its hem."""
    short = min(sleeve.edge("underarm_front").length(), sleeve.edge("underarm_back").length()) / 2
    if rise > short:
        on.note(f"The sleeve lining is only {on.say(short)} shorter than the sleeve, whose seam is that short.")
        rise = short
    return replace(lining(sleeve, "lining_sleeve", short=rise), internal_lines=sleeve.internal_lines)
