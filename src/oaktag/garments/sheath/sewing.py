"""What is sewn to what, in order, and which runs pass smoothly over a seam: all of it that the dress has."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from math import atan, degrees
from typing import Final

from ...geometry.path import path_length
from ...model.piece import Corner, Edge, Join, Piece, Seam, sew
from ...values import replace
from .half import Half

_HALVES: Final = ("front", "back")
_SEAMS: Final = (
    ("shoulder seam", "{front}.shoulder", "{back}.shoulder"),
    ("bodice side seam", "bodice_front.side", "bodice_back.side"),
    ("skirt side seam", "skirt_front.side", "skirt_back.side"),
    ("front waist seam", "bodice_front.waist", "skirt_front.waist"),
    ("back waist seam", "bodice_back.waist", "skirt_back.waist"),
    ("side seam", "front.side", "back.side"),
    ("underarm seam", "sleeve.underarm_front", "sleeve.underarm_back"),
    ("sleeve cap", "sleeve.cap", "{front}.armhole {back}.armhole"),
    ("facing shoulder seam", "facing_front.shoulder", "facing_back.shoulder"),
    ("facing side seam", "facing_front.side", "facing_back.side"),
    *((f"{half} facing to neck", f"facing_{half}.neckline", f"{{{half}}}.neckline") for half in _HALVES),
    *((f"armhole facing {edge} seam", f"armhole_facing_front.{edge}", f"armhole_facing_back.{edge}")
      for edge in ("shoulder", "side")),
    *((f"{half} facing to armhole", f"armhole_facing_{half}.armhole", f"{{{half}}}.armhole") for half in _HALVES),
    *((f"{half} facing to armhole", f"facing_{half}.armhole", f"{{{half}}}.armhole") for half in _HALVES),
    ("lining side seam", "lining_front.side", "lining_back.side"),
    ("lining shoulder seam", "lining_front.shoulder", "lining_back.shoulder"),
    *((f"{half} lining to armhole", f"lining_{half}.armhole", f"{{{half}}}.armhole") for half in _HALVES),
    ("lining underarm seam", "lining_sleeve.underarm_front", "lining_sleeve.underarm_back"),
    ("lining sleeve cap", "lining_sleeve.cap", "lining_front.armhole lining_back.armhole"),
    *((f"{half} lining to facing", f"lining_{half}.top_edge", f"facing_{half}.outer_edge") for half in _HALVES),
)  # fmt: skip
"""Name and edges, in the order in which they are sewn; {front} and {back} hold shoulder and armhole, whether cut apart
at the waist or not."""
_SMOOTH: Final = (
    ("neckline across the shoulder", "{front} neckline shoulder", "{back} neckline shoulder"),
    ("armhole across the shoulder", "{front} armhole shoulder", "{back} armhole shoulder"),
    ("underarm across the side", "{front} armhole side", "{back} armhole side"),
    ("hem across the side", "{front_hem} hem side", "{back_hem} hem side"),
    ("bodice waist across the side", "bodice_front waist side", "bodice_back waist side"),
    ("skirt waist across the side", "skirt_front waist side", "skirt_back waist side"),
    ("cap across the underarm", "sleeve cap underarm_front", "sleeve cap underarm_back"),
    ("sleeve hem across the underarm", "sleeve hem underarm_front", "sleeve hem underarm_back"),
    ("facing edge across the shoulder", "facing_front outer_edge shoulder", "facing_back outer_edge shoulder"),
    *((f"armhole facing edge across the {across}", f"armhole_facing_front outer_edge {across}",
       f"armhole_facing_back outer_edge {across}") for across in ("shoulder", "side")),
    ("facing edge across the side", "facing_front outer_edge side", "facing_back outer_edge side"),
    ("lining hem across the side", "lining_front hem side", "lining_back hem side"),
    ("lining armhole across the shoulder", "lining_front armhole shoulder", "lining_back armhole shoulder"),
)  # fmt: skip
"""Name, and of either piece the run and the edge that is sewn across it."""


def sewn(
    pieces: Sequence[Piece], front: Half, back: Half, cap_ease: float, bulging: str
) -> tuple[list[Seam], list[Join]]:
    """The seams and joins of these pieces. `bulging` is what mends an underarm that the side stands out from."""
    edges = {f"{piece.name}.{edge.name}": edge for piece in pieces for edge in piece.edges}
    corners = {
        f"{piece.name} {one.name} {other.name}"
        for piece in pieces
        for a, b in pairwise((*piece.edges, piece.edges[0]))
        for one, other in ((a, b), (b, a))
    }
    seams = []
    rows, smooth = _tables(front.upper, back.upper, front.lower, back.lower)
    for name, a, to in rows:
        if a not in edges or any(edge not in edges for edge in to):
            continue
        if name.endswith("cap"):
            whole = "sleeve.underarm_front" in edges
            free = 0.0 if whole else front.under_notch + back.under_notch
            meets = _cap_meets(a.removesuffix(".cap"), to, whole)
            seams.append(sew(name, a, to=to, how="eased", ease=cap_ease, free=free, meets=meets))
        elif name.endswith(("to neck", "to armhole")):
            if not (name.endswith("lining to armhole") and "lining_sleeve.cap" in edges):
                middle = (to[0].replace(".armhole", ".mid_armhole"),) if name.endswith("armhole") else ()
                seams.append(sew(name, a, to=to, how="faced", ease=_inside(edges[a], edges[to[0]]), meets=middle))
        else:
            seams.append(sew(name, a, to=to, meets=(f"{to[0]} 1/2",) if name.endswith("to facing") else ()))
    joins = [join for a, b, join in smooth if a in corners and b in corners]
    chalked = -2 * degrees(atan(front.side_slope))
    return seams, [
        replace(join, before_deg=chalked, mend=bulging) if join.name == "underarm across the side" else join
        for join in joins
    ]


@cache
def _tables(
    front: str, back: str, front_hem: str, back_hem: str
) -> tuple[tuple[tuple[str, str, tuple[str, ...]], ...], tuple[tuple[str, str, Join], ...]]:
    """Seams and smooth runs with the names of the pieces in them."""
    names = {"front": front, "back": back, "front_hem": front_hem, "back_hem": back_hem}
    seams = tuple((name, a.format(**names), tuple(b.format(**names).split())) for name, a, b in _SEAMS)
    smooth = ((name, a.format(**names), b.format(**names)) for name, a, b in _SMOOTH)
    return seams, tuple((a, b, Join(name, Corner(*a.split()), Corner(*b.split()))) for name, a, b in smooth)


def _inside(made: Edge, shell: Edge) -> float:
    """How much longer a facing is that is drawn inside the shell by the turn of cloth, mm."""
    return 0.0 if made.curves is shell.curves else path_length(made.curves) - path_length(shell.curves)


def _cap_meets(sleeve: str, armholes: Sequence[str], whole: bool) -> tuple[str | tuple[str, str], ...]:
    """Where a cap meets the front and the back armhole: at its ends (of a cap sleeve, at the armholes' notches), at
    their notches, and at the shoulder."""
    front, back = (armhole.removesuffix(".armhole") for armhole in armholes)
    top = (f"{armholes[0]} shoulder", f"{sleeve}.cap_top")
    if whole:
        return (f"{front}.underarm", f"{sleeve}.underarm_front"), f"{armholes[0]} sleeve", top, f"{armholes[1]} sleeve"
    return (f"{front}.mid_armhole", f"{sleeve}.front_notch"), top, (f"{back}.mid_armhole", f"{sleeve}.back_notch")
