"""A gored skirt, from the waist: four to twelve gores, equal or divided at the hip as the old books do.

       wc──ws         origin: the waist line on the middle of the gore; each half gore is drawn once
       │    \\        the side: waist to hip so deep, hip to hem so long, alike in all gores, so that their seams agree
       hc────hs       waist and hem stand square to both sides: where seams meet they run on without a dent
       │      \\
       mc──────ms     the hem, an arc: its middle lies half the hem × tan(half the flare) below its ends
Rules: equal gores, waist, hip and hem ÷ the gores (geometry). By hip division, half gores: the panel hip ÷ 12 and twice
that at the hem, of seven gores 1 1/2 times; sides halves of what is left; the back of seven 1 in more at the hip, and a
third of the rest less 2 in at the hem (Baldt, Clothing for Women, 1916). Nine gores: front and back a third of half the
waist, the front 1 in less; at the hip the front 3/4 in more, each side 1 1/2 times, the back the rest (Text-Book on
Domestic Art), where hip ≥ 4/3 waist + 1 1/2 in; else they are equal (worked rules proved on a survey). What the pages
leave open is chosen: the waist, and the hem of nine, in the proportion of the hip; a hem 1.6 times the hip.
"""

from __future__ import annotations

from itertools import pairwise
from math import asin, cos, sin, tan

from ..claims.girth import Girth
from ..draft.board import Board
from ..draft.moves import unfold
from ..draft.rulers import HIP_CURVE, compass, curve
from ..draft.signature import choice, count, garment, length
from ..geometry.point import Point
from ..model.draft import Draft
from ..model.length import Length, found, inch, mm
from ..model.piece import Cut, EdgeKind, NotchPlace, Piece, Seam, sew
from ..values import dataclass, replace
from .parts.part import Part, joined_at, together, with_more
from .parts.pockets import IN_SEAM, pocket_kinds, pocketed
from .parts.stride import can_walk, walk_of
from .parts.waist import band, beyond, closing_at, closures, finishes, opens, waist_asked, waist_finished


@dataclass(frozen=True, slots=True)
class Gore:
    """A gore by the half of its width at waist, hip and hem; `whole`: drawn with both of its sides, cut as a pair, else
    a half on the fold. From the front to the back of one half of the wearer."""

    name: str
    waist: Length
    hip: Length
    hem: Length
    whole: bool


def gores_of(
    on: Board, many: int, division: str, waist: Length, hip: Length, hem: Length, *, opening: str
) -> list[Gore]:
    """The gores of one half of the wearer. Halves of an odd number of gores have a centre back seam; of an even one the
    back lies on the fold as the front does, or, where it opens at the back, all are whole, with seams at both centres.

    Raises DraftError for what a division does not serve: gores that would be narrower at the hem than at the hip.
    """
    odd, seamed = many % 2 == 1, many % 2 == 0 and opening == "back"
    if division == "by the hip":
        if many not in (4, 6, 7, 9):
            on.refuse("a division by the hip is known for 4, 6, 7 and 9 gores", 'gores, or division to "equal"')
        if seamed:
            on.refuse(
                f"{many} gores divided at the hip have a panel at the centre back", 'closes_at to "side", or gores'
            )
        if many == 9 and hip < waist * (4 / 3) + inch(1.5):
            on.note("Hip less than 4/3 of the waist and 1 1/2 in: the division for nine gores does not serve, so they "
                    "are equal.")  # fmt: skip
            division = "equal"
    half = 0.5 / many
    sides = many // 2 - 2 if seamed else (many - 3) // 2 if odd else many // 2 - 1
    names = ["front", *(f"side_{k + 1}" for k in range(sides)), "back"]
    whole = [seamed, *(True for _ in names[1:-1]), seamed or odd]
    if division == "equal":
        widths = [(waist * half, hip * half, hem * half)] * len(names)
    else:
        widths = _divided(many, waist, hip, hem)
    for name, (_, at_hip, at_hem) in zip(names, widths, strict=True):
        if at_hem < at_hip:
            least = {6: hip * (4 / 3), 7: hip * 0.75 + inch(18), 4: hip * (4 / 3)}.get(many, hip)
            enough = least if division == "by the hip" else hip
            on.refuse(f"the {name.replace('_', ' ')} gore is narrower at the hem than at the hip",
                      f"hem_wide to {on.say(enough)} or more")  # fmt: skip
    return [Gore(name, *each, both) for name, each, both in zip(names, widths, whole, strict=True)]


def _divided(many: int, waist: Length, hip: Length, hem: Length) -> list[tuple[Length, Length, Length]]:
    """Half widths of each gore at waist, hip and hem, by the hip."""
    if many == 9:
        front, back = waist / 12 - inch(0.5), waist / 12 + inch(0.5)
        side, front_hip, side_hip = waist / 9, waist / 12 + inch(0.25), waist / 6
        hips = [front_hip, *[side_hip / 2] * 3, (hip / 2 - front_hip - side_hip * 3) / 2]
        return [(w, h, hem * h.over(hip)) for w, h in zip([front, *[side / 2] * 3, back / 2], hips, strict=True)]
    panel = hip / 12
    if many == 7:
        ends = (panel, (panel + inch(1)) / 2), (panel * 1.5, ((hem / 2 - panel * 1.5) / 3 - inch(2)) / 2)
        left = [hip / 2 - panel * 2 - inch(1), hem / 2 - ends[1][0] - ends[1][1] * 2]
    else:
        ends = (panel, panel), (panel * 2, panel * 2)
        left = [hip / 2 - panel * 2, hem / 2 - panel * 4]
    sides = 1 if many == 4 else 2
    rows = [
        (ends[0][0], ends[1][0]),
        *[(left[0] / (2 * sides), left[1] / (2 * sides))] * sides,
        (ends[0][1], ends[1][1]),
    ]
    return [(waist * at_hip.over(hip), at_hip, at_hem) for at_hip, at_hem in rows]


def gored_panels(
    on: Board,
    waist: Length,
    *,
    long: Length,
    opening: str = "back",
    prefix: str = "",
    gores: int = 6,
    division: str = "equal",
    ease_hip: Length,
    hem_wide: Length | None = None,
    flare_low: Length | None = None,
    down: Length | None = None,
    end: str = "zip end",
    above: Length = mm(0),
) -> Part:
    """The gores of a skirt, `long` along its seams; `waist` all round as sewn; `flare_low`: how far below the hip equal
    gores go straight down before they flare; `down`: how far it opens at the centre back or in the side seam."""
    hip_line = with_more(on.body.waist_to_hip, above).called("hip line")
    hip = (on.body.hip_girth + ease_hip).called("hip all round")
    if waist > hip + mm(0.05):
        on.refuse("the waist is wider than the hip", "ease_hip to more")
    hem = (hem_wide or hip * 1.6).called("hem all round")
    row = gores_of(on, gores, division, waist, hip, hem, opening=opening)
    low = flare_low if flare_low is not None and flare_low.mm and division == "equal" else None
    below = (long - hip_line).called("hip to hem")
    middle = (len(row) - 1) // 2
    pieces = []
    for k, gore in enumerate(row):
        edges = f"seam_{k}" if k else "centre_front", f"seam_{k + 1}" if k < len(row) - 1 else "centre_back"
        zipped = f"seam_{middle + 1}" if opening == "side" else "centre_back" if opening == "back" else ""
        pieces.append(_gore(on, f"{prefix}{gore.name}", gore, edges, (hip_line, below, low), (zipped, down, end)))
    pieces = list(on.fitted(*pieces, as_long=joined_at(prefix)))
    seams: list[Seam] = []
    for k, (before, after) in enumerate(pairwise(pieces), 1):
        words = f"{before.name} to {after.name}".replace("_", " ")
        seams.append(sew(words, f"{before.name}.seam_{k}", to=f"{after.name}.seam_{k}"))
    for piece, centre in ((pieces[0], "centre_front"), (pieces[-1], "centre_back")):
        if any(edge.name == centre and edge.kind is EdgeKind.SEAM for edge in piece.edges):
            seams.append(sew(f"{centre.replace('_', ' ')} seam", f"{piece.name}.{centre}", to=f"{piece.name}.{centre}"))
    backwards = [piece.name for piece in reversed(pieces)]
    return Part(tuple(pieces), tuple(seams), top=tuple(f"{name}.waist" for name in backwards),
                widths={"hem": inch(1)})  # fmt: skip


def _gore(
    on: Board, name: str, gore: Gore, edges: tuple[str, str], deep: tuple[Length, Length, Length | None],
    opened: tuple[str, Length | None, str],
) -> Piece:  # fmt: skip
    """One gore: its half on the sheet, unfolded where it is cut whole."""
    hip_line, below, low = deep
    run = below - low if low is not None else below
    at_hip = hip_line.mm < 0.01  # it begins there
    flare, lean = (asin((wide - narrow).mm / far.mm) if far.mm > 0.01 else 0.0 for wide, narrow, far in
                   ((gore.hem, gore.hip, run), (gore.hip, gore.waist, hip_line)))  # fmt: skip
    at_top = flare if at_hip and low is None else 2 * lean - (flare if low is None else 0.0)
    at_hem = flare if low is None else 2 * flare
    rise = found(gore.waist.mm * tan(at_top / 2), "so that the waist is square to the side")
    s = on.sketch(name, Cut("fold"), worn="body")
    s.at("waist_centre")
    bend = 2 * (lean - flare if low is None else lean)
    upper = found(
        hip_line.mm * (1 - bend**2 / 24) * cos(lean), "so that the side down to the hip is as long as the hip line"
    )
    s.at("hip_side", right=gore.hip, down=upper - rise)
    s.at("waist_side", left=gore.hip - gore.waist, up=upper, of="hip_side")
    if low is not None:
        s.at("flare_side", down=low, of="hip_side")
    s.at("hem_side", right=gore.hem - gore.hip, of="flare_side" if low is not None else "hip_side", far=run)
    drop = found(gore.hem.mm * tan(at_hem / 2), "half the hem × the tangent of half the flare")
    s.put("hem_low", Point(0.0, s.points["hem_side"].y))
    s.at("hem_centre", of="hem_low", down=drop)
    seam, centre = edges[::-1] if gore.whole or gore.name != "back" else edges
    if low is not None:
        s.edge(seam, "hem_side", curve("free", "upright"), "flare_side", "hip_side", HIP_CURVE, "waist_side")
    elif at_hip:
        s.edge(seam, "hem_side", "waist_side")
    else:
        s.edge(seam, "hem_side", "hip_side", HIP_CURVE, "waist_side")
    s.edge("waist", "waist_side", curve("square", "level"), "waist_centre")
    s.fit("waist", to=gore.waist, move="waist_side", way="right", change="ease_waist or ease_hip")
    s.fold(centre, "waist_centre", "hem_centre")
    if at_hem > 0.01:
        s.put("hem_pin", Point(0.0, s.points["hem_centre"].y + gore.hem.mm / sin(at_hem)))
        s.hem("hem", "hem_centre", compass("hem_pin"), "hem_side")
    else:
        s.hem("hem", "hem_centre", "hem_side")
    s.put("hip_centre", Point(0.0, s.points["hip_side"].y))
    s.level("waist", mm(0), "waist_centre", "waist_side")
    s.level("hip", hip_line, "hip_centre", "hip_side")
    s.level("hem", hip_line + below, *(("hem_centre", compass("hem_pin"), "hem_side") if at_hem > 0.01 else
                                       ("hem_centre", "hem_side")))  # fmt: skip
    half = s.piece()
    piece = _whole(half, seam, centre) if gore.whole else half
    name_of_end, down, end = opened
    edge = next((each for each in piece.edges if each.name == name_of_end), None)
    if edge is None or down is None:
        return piece
    far = down.mm if edge.start.y > edge.end.y else edge.length() - down.mm
    return replace(piece, notches=(*piece.notches, NotchPlace(edge.name, far, 1, end)))


def _whole(half: Piece, seam: str, other: str) -> Piece:
    """The half unfolded, its mirrored side called as told, its waist and its hem each in one; cut as a pair."""
    piece = unfold(half, "left")
    side, waist, hem = (piece.edge(name) for name in (seam, "waist", "hem"))
    waist = replace(waist, curves=(*waist.curves, *piece.edge("waist_right").curves), spans=())
    hem = replace(hem, curves=(*piece.edge("hem_right").curves, *hem.curves), spans=())
    edges = (hem, side, waist, replace(piece.edge(f"{seam}_right"), name=other))
    return replace(piece, edges=edges, to_cut=Cut("pair"))


@garment("gored skirt, of four to twelve equal gores or divided at the hip", noun="skirt")
def gored_skirt(
    on: Board,
    *,
    gores: int = count("gores", 6, least=4, most=12),
    division: str = choice("how the gores are divided", "equal", "by the hip"),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    ease_hip: Length = length("wearing ease round the hip", inch(2), most=inch(12)),
    long: Length = length("waist to hem, along the seams", inch(26), least=inch(14), most=inch(45)),
    hem_wide: Length | None = length("hem all round", least=inch(30), most=inch(200),
                                     worked_out="1.6 times the hip and its ease"),
    flare_low: Length = length("flare starts below the hip", mm(0), most=inch(20), when=("division", "equal")),
    waist: str = finishes("band", "curved band", "facing", "elastic"),
    closure: str = closures("zip", "buttons", "hook"),
    closes_at: str = closing_at("side", "back"),
    zip_long: Length | None = opens("{a} below the hip line, or so that the hip passes", a=inch(0.5)),
    band_wide: Length = band(),
    band_lap: Length = beyond(),
    pocket_kind: str = pocket_kinds(IN_SEAM, "slant"),
) -> Draft:  # fmt: skip
    """Gores from the front to the back, and the waist finish."""
    body = on.body
    asked = waist_asked(
        on, waist, closure, closes_at, zip_long, ease=ease_waist, wide=band_wide, lap=band_lap, long=long,
        over_hip=ease_hip, at_least=body.waist_to_hip + on.usual(inch(0.5)),
    )  # fmt: skip
    on.work("hem_wide", hem_wide or (body.hip_girth + ease_hip) * 1.6)
    if flare_low > long - body.waist_to_hip - inch(4):
        on.refuse("so low there is no room for flare", "flare_low to less, or long")
    walk = can_walk(walk_of(on, long), "make hem_wide more")
    panels = gored_panels(
        on, asked.upper, long=asked.long, opening=asked.at, gores=gores, division=division, ease_hip=ease_hip,
        hem_wide=hem_wide, flare_low=flare_low, down=asked.down, end=asked.end, above=asked.above,
    )  # fmt: skip
    k = len(panels.pieces) // 2  # the seam at the side, or next before it
    front, back = (f"{piece.name}.seam_{k}" for piece in panels.pieces[k - 1 : k + 1])
    panels = pocketed(on, panels, pocket_kind, front=front, back=back)
    on.note("Waist and hem of each gore are drawn square to its seams, so that they run on without a dent.")
    girth = Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip)
    return together(on, waist_finished(on, panels, asked, hip=body.hip_girth), claims=[girth, walk])
