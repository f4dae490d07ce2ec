"""How the waist of a skirt or of trousers is finished, and how it opens: band, curved band, facing or elastic.

    down = opening_down(on, zip_long, waist, hip_line)          # how far it opens, for the notch on the panels
    panels = straight_panels(on, waist, long=long, opening="back", opening_long=down)
    finish = waist_finish(on, panels, "band", "zip", "back", opened=("back.centre_back",), down=down,
                          ease=ease_waist, wide=band_wide, lap=band_lap)
    return together(on, [panels, finish])

`opened` are the edges that are left open down to the notch "zip end" (of any other closure "opening end"), that nearer
to the centre back first: one edge that is sewn to the wearer's other side, or the two of the left side seam. For
elastic the panels are drawn as wide as the hip and its ease.
Rules: band as long as the waist and a lap, cut twice as wide (garments handbook, waistbands); curved band a ring
sector, angle = (lower less upper girth) ÷ depth (geometry); opening (hip less waist and 2 in) ÷ 2 or more (a sewing
magazine); elastic 1 in shorter than the waist (a maker's guide: 1 to 2 in); facing 2 1/2 in wide, no less than 2 (a
tutorial of a pattern maker); pull-on 1 in over the hip, buttons 2 in apart (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi
from typing import Final, Literal, TypeAlias

from ...claims.girth import Girth
from ...claims.openings import OpenedPasses, OpensTo, Passes
from ...draft.board import Board
from ...draft.facings import facing
from ...draft.rulers import Ruler, compass
from ...model.claim import Claim
from ...model.draft import Notion
from ...model.length import Length, found, greatest, inch, mm
from ...model.piece import Cut, LineKind, Piece, Seam, sew
from ...model.ref import Ref, refs
from ...values import replace
from .part import Part

WaistKind: TypeAlias = Literal["band", "curved band", "facing", "elastic"]
ClosureKind: TypeAlias = Literal["zip", "buttons", "hook", "none"]
_LEAST_TURN: Final = 0.02
"""A band that turns by less, radians, is a straight one."""
_PARTS: Final = 12
"""In so many arcs it is drawn, of less than 30 degrees each, so that all sizes are alike."""


def zip_down(on: Board, asked: Length | None, waist: Length, long: Length, *, slope: float = 0.0) -> Length:
    """How long a zip opens a skirt so that the hip passes: 7 in at least, half of what the hip has over the waist and
    2 in more [chosen, worked rules proved on a survey], and to where a flaring skirt is as wide as the hip: it widens
    by `slope` of its depth. Raises DraftError where it is too long for the skirt."""
    hip, zip_end = on.body.get("hip_girth"), asked or on.usual(inch(7))
    if asked is None and hip is not None:
        reach = (hip - on.body.waist_girth + inch(2)) / 2
        zip_end = greatest(zip_end, greatest(reach, (hip - waist) / slope) if slope else reach)
    zip_end = zip_end.called("zip")
    on.work("zip_long", zip_end)
    if zip_end > long - inch(1):
        on.refuse(f"a zip of {on.say(zip_end)} is too long for a skirt of {on.say(long)}", "long to more, or zip_long")
    return zip_end


def opening_down(on: Board, asked: Length | None, waist: Length, at_least: Length | None = None) -> Length:
    """How far from the waist down it opens: as asked, else so that the hip passes, and `at_least` as far as told."""
    reach = ((on.body.hip_girth - waist + inch(2)) / 2).called("opening that the hip passes")
    return (asked or (reach if at_least is None else greatest(at_least, reach))).called("opening")


def opened_at(panels: Part, end: str = "zip end") -> tuple[str, ...]:
    """The edges that a notch of that name stands on, piece by piece."""
    return tuple(dict.fromkeys(f"{p.name}.{n.edge}" for p in panels.pieces for n in p.notches if n.name == end))


def opening_end(closure: str) -> str:
    """The name of the notch at which it ends."""
    return "zip end" if closure == "zip" else "opening end"


def waist_finish(
    on: Board,
    panels: Part,
    kind: str,
    closure: str,
    at: str = "back",
    *,
    opened: Sequence[str] = (),
    down: Length | None = None,
    ease: Length,
    wide: Length,
    lap: Length,
    hip: Length | None = None,
    upper: Length | None = None,
    option: str = "zip_long",
) -> Part:
    """Band pieces, waist seam and claims for panels whose `top` is sewn to them.

    `ease`: of the waist; `wide`: the finished band, of a facing too; `hip`: the girth that must get in,
    if any; `upper`: the upper girth of a curved band, whose lower edge is as long as the panels' top;
    `option`: what sets the length of the opening, `down`. Raises DraftError for what cannot be closed or curved.
    """
    long = found(_round(panels, panels.top) - panels.gathers, "waist line")
    fastened = closure != "none" and kind != "elastic"
    past = lap if fastened and kind != "facing" else mm(0)
    tops = refs(*panels.top)
    strips: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    if kind == "facing":
        strips, seams = _facings(on, panels, wide)
    else:
        curved = kind == "curved band"
        strips = (_curved(on, long, upper or long, wide, past) if curved else _straight(on, long, wide, past),)
        to = "lap" if past.mm else "end"
        walked = f"waistband.band_seam from start to {to}"
        halves = at == "side" and fastened and len(panels.top) > 1 and not panels.gathers
        if panels.gathers > 0.5:
            seams = (sew("waist seam", *panels.top, to=walked, how="gathered", ease=panels.gathers),)
        else:
            seams = (sew("waist seam", walked, to=_all_round(panels, opened) if halves else panels.top),)
        if panels.gathers:
            tops = refs(walked)
        if not fastened:
            seams = (sew("band join", "waistband.under_end", to="waistband.lap_end"), *seams)
    claims: list[Claim] = []
    if kind == "elastic":
        snug = on.body.waist_girth - on.usual(inch(1))
        on.note(f"Elastic: cut it {on.say(snug)} long, {on.say(on.usual(inch(1)))} less than the waist, and as wide as "
                f"the casing less a little; leave a gap in the casing to thread it through.")  # fmt: skip
    elif kind == "curved band":
        line = "waistband.upper_edge" + (" from upper lap to end" if past.mm else "")
        claims.append(Girth("girth.waist", "Change ease_waist.", "waist", on.body.waist_girth, ease, refs(line)))
    else:
        claims.append(Girth("girth.waist", "Change ease_waist.", "waist", on.body.waist_girth, ease, tops))
    part = Part(strips, seams, tuple(claims))
    if not fastened:
        if hip is not None:
            claims.append(Passes("entry.hip", "choose a closure, or make the waist {more} wider.", "waist", tops, "hip",
                                 hip, "as measured", inch(1).mm))  # fmt: skip
        return replace(part, claims=tuple(claims))
    if down is None or not opened:
        on.refuse(f"a closure with {closure} needs a seam that opens", 'closure to "none"')
    end = opening_end(closure)
    if hip is not None:
        place = "centre back" if at == "back" else "centre front" if at == "front" else "left side"
        change, run = f"make {option} {{enough}} or more.", refs(*panels.top)
        claims.append(OpenedPasses("opening.hip", change, place, run, end, hip, inch(2).mm, panels.gathers))
        if closure == "zip" and all(claim.id != "zip.reach" for claim in panels.claims):
            narrow = _levels(panels)[0]
            claims.append(
                OpensTo("zip.reach", f"set {option} to {{enough}} or more.", "zip", place, "hip", narrow, hip)
            )
    notions: tuple[Notion, ...] = ()
    if at == "side":
        on.note("It opens in the left side seam.")
    if closure == "zip":
        notions = (Notion("zip", down.mm, option, "", end),)
    else:
        strip, sewn = _placket(on, panels, opened, down, end)
        part = replace(part, pieces=(*part.pieces, strip), seams=(sewn, *part.seams))
        every = on.usual(inch(2))
        how_many = int(down.mm // every.mm)
        on.note("Fasten the band with a hook and bar, and the placket with snaps." if closure == "hook" else
                f"Buttons: one on the band and {how_many} on the placket, {on.say(every)} apart.")  # fmt: skip
    return replace(part, claims=tuple(claims), notions=notions)


def _round(panels: Part, run: Sequence[str]) -> float:
    by_name = {piece.name: piece for piece in panels.pieces}
    return sum(by_name[r.piece].to_cut.around * by_name[r.piece].edge(r.edge).sewn_length() for r in refs(*run))


def _levels(panels: Part) -> list[str]:
    return next([level.name for level in piece.levels] for piece in panels.pieces if piece.levels)


def _all_round(panels: Part, opened: Sequence[str]) -> tuple[str, ...]:
    """All waist edges from the opening in the left side over the front to the right, and over the back: halves."""
    behind = [Ref.of(ref).piece for ref in panels.top].index(Ref.of(opened[0]).piece) + 1
    back, front = list(panels.top[:behind]), list(panels.top[behind:])
    ahead = {ref: f"{ref} from {first} to {last}" for ref, (first, last) in _corners(panels).items()}
    aback = {ref: f"{ref} from {last} to {first}" for ref, (first, last) in _corners(panels).items()}
    walk = [f"left {ahead[ref]}" for ref in front] + [f"right {aback[ref]}" for ref in reversed(front)]
    return tuple(walk + [f"right {aback[ref]}" for ref in reversed(back)] + [f"left {ahead[ref]}" for ref in back])


def _corners(panels: Part) -> dict[str, tuple[str, str]]:
    """Of each top edge, told from the back to the front, the edges beside it: towards the back, and the front."""
    by_name = {piece.name: piece for piece in panels.pieces}
    joined = [(a, b) for seam in panels.seams for a, b in zip(seam.a, seam.b, strict=False)]
    joined += [(b, a) for a, b in joined]
    found: dict[str, tuple[str, str]] = {}
    tops = refs(*panels.top)
    for ref, other in zip(tops, (*tops[1:], tops[-2]), strict=True):
        beside = by_name[ref.piece].beside(ref.edge)
        towards = next(a.edge for a, b in joined if a.piece == ref.piece and b.piece == other.piece)
        away = beside[0] if towards == beside[1] else beside[1]
        found[str(ref)] = (towards, away) if ref == tops[-1] else (away, towards)
    return found


def _straight(on: Board, long: Length, wide: Length, lap: Length) -> Piece:
    band = on.sketch("waistband")
    band.box(long + lap if lap.mm else long, wide * 2, ("under_end", "band_seam", "lap_end", "inside_edge"))
    band.between("fold_start", "bottom_left", "top_left")
    band.between("fold_end", "bottom_right", "top_right")
    band.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    if lap.mm:
        band.notch("band_seam", "lap", "bottom_right", at=lap)
    return band.piece()


def _curved(on: Board, lower: Length, upper: Length, deep: Length, lap: Length) -> Piece:
    """A ring sector, twice: its lower edge is the top of the skirt. The pin stands above the start; it turns to the
    right end, and the lap goes straight on."""
    turn = (lower.mm - upper.mm) / deep.mm
    if not _LEAST_TURN < turn < 1.9 * pi:
        on.refuse(f"a curved band {on.say(deep)} deep, {on.say(upper)} round above and {on.say(lower)} below, cannot "
                  "be drawn", 'waist to "band", or band_wide')  # fmt: skip
    s = on.sketch("waistband", Cut("whole", 2))
    s.at("band_pin")
    radius = found(upper.mm / turn, "{} ÷ the angle, which is ({} − {}) ÷ {}", upper, lower, upper, deep)
    reach = {"upper": radius.called("radius of the upper edge")}
    reach["low"] = (reach["upper"] + deep).called("radius of the lower edge")
    for edge, far in reach.items():
        s.at(f"{edge}_start", down=far)
        for k in range(_PARTS):
            s.swing(
                f"{edge}_{k + 1}", f"{edge}_{k or 'start'}", about="band_pin", deg=turn * 180 / pi / _PARTS, reach=far
            )
    low: list[str | Ruler] = ["low_start"]
    high: list[str | Ruler] = ["upper_start"]
    for k in range(_PARTS):
        low += [compass("band_pin"), f"low_{k + 1}"]
        high += [compass("band_pin"), f"upper_{k + 1}"]
    end = f"upper_{_PARTS}", f"low_{_PARTS}"
    if lap.mm:
        s.between("low_lap", *end, 1.0, left=lap)
        s.between("upper_lap", *end, 0.0, left=lap)
        low.append("low_lap")
        high.append("upper_lap")
    s.edge("band_seam", *low)
    s.edge("lap_end", str(low[-1]), str(high[-1]))
    s.edge("upper_edge", *high[::-1])
    s.edge("under_end", "upper_start", "low_start")
    if lap.mm:
        s.notch("band_seam", "lap", end[1])
        s.notch("upper_edge", "upper lap", end[0])
    s.grain(f"low_{_PARTS // 2}", f"upper_{_PARTS // 2}")
    return s.piece()


def _facings(on: Board, panels: Part, wide: Length) -> tuple[tuple[Piece, ...], tuple[Seam, ...]]:
    """A facing of each panel, darts closed; they are joined as the panels are, and faced to them."""
    by_name = {piece.name: piece for piece in panels.pieces}
    pieces = {r.piece: facing(by_name[r.piece], [r.edge], f"facing_{r.piece}", wide.mm) for r in refs(*panels.top)}
    seams = []
    for seam in panels.seams:
        sides = [seam.a[0], seam.b[0]]
        if len(seam.a) == len(seam.b) == 1 and sides[0].piece != sides[1].piece and all(
            ref.piece in pieces and not ref.start and any(e.name == ref.edge for e in pieces[ref.piece].edges)
            for ref in sides
        ):  # fmt: skip
            a, b = (f"facing_{ref.piece}.{ref.edge}" for ref in sides)
            seams.append(sew(f"facing {seam.name}", a, to=b))
    for r in refs(*panels.top):
        seams.append(sew(f"{r.piece.replace('_', ' ')} facing", f"facing_{r.piece}.{r.edge}", to=str(r), how="faced"))
    return tuple(pieces.values()), tuple(seams)


def _placket(on: Board, panels: Part, opened: Sequence[str], down: Length, end: str) -> tuple[Piece, Seam]:
    """A strip round both edges of the opening, folded over them, 1 in wide (common practice, no source)."""
    strip = on.sketch("placket")
    strip.box(down * 2, on.usual(inch(1)) * 2, ("upper_end", "placket_seam", "lower_end", "inner_edge"))
    top = {ref.piece: ref.edge for ref in refs(*panels.top)}
    first, second = refs(opened[0], opened[-1])
    to: tuple[str, ...] = (f"{first} from {top[first.piece]} to {end}",)
    if first != second:
        to = (f"left {to[0]}", f"left {second} from {end} to {top[second.piece]}")
    return strip.piece(), sew("placket", "placket.placket_seam from start to end", to=to)
