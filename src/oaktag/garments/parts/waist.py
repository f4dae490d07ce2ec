"""How the waist of a skirt or of trousers is finished, and how it opens: band, curved band, facing or elastic.

    asked = waist_asked(on, waist, closure, closes_at, zip_long, ease=ease_waist, wide=band_wide, lap=band_lap, …)
    panels = gored_panels(on, asked.upper, long=asked.long, above=asked.above, down=asked.down, end=asked.end, …)
    return together(on, waist_finished(on, panels, asked))

A garment names which kinds it allows (`finishes`, `closures`, `closing_at`). The edges that are left open are those on
which its panels have the notch `end`. Below a curved band the panels start as far below the waist as it is deep. For
elastic they are drawn so wide that they pass over the hip.
Rules: band as long as the waist and a lap, cut twice as wide (garments handbook, waistbands); curved band a ring
sector, angle = (lower less upper girth) ÷ depth (geometry), its lower girth in proportion between waist and hip
(chosen); opening (hip less waist and 2 in) ÷ 2 or more (a sewing magazine); elastic 1 in shorter than the waist (a
maker's guide: 1 to 2 in); facing 2 1/2 in wide, no less than 2 (a tutorial of a pattern maker); pull-on 1 in over the
hip, buttons 2 in apart (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi
from typing import Any, Final

from ...claims.girth import Girth
from ...claims.openings import OpenedPasses, OpensTo, Passes
from ...draft.board import Board
from ...draft.facings import facing
from ...draft.rulers import Ruler, compass
from ...draft.signature import choice, length
from ...errors import GeometryError
from ...model.claim import Claim
from ...model.draft import Notion
from ...model.length import Length, found, greatest, inch, mm
from ...model.piece import Cut, LineKind, Piece, Seam, sew
from ...model.ref import Ref, refs
from ...values import dataclass, replace
from .part import Part, lowered

_LEAST_TURN: Final = 0.02
"""A band that turns by less, radians, is a straight one."""
_SAME: Final = 0.01
"""Openings that differ by less than this, mm, are one."""
_PARTS: Final = 12
"""In so many arcs it is drawn, of less than 30 degrees each, so that all sizes are alike."""
_PLACES: Final = {"back": "centre back", "side": "left side"}
BAND: Final = inch(1.25)
BELOW_BAND: Final = "below the band"
"""The level at which the panels start below a curved band."""
GROUP: Final = "waist"


# ---------------------------------------------------------------- what may be asked


def finishes(*kinds: str) -> Any:
    """The option of how the waist is finished: the kinds that a garment allows, its usual one first."""
    return choice("waist finish", *kinds, group=GROUP)


def closures(*kinds: str) -> Any:
    """The option of how it closes."""
    return choice("how it closes; elastic closes nothing", *kinds, group=GROUP)


def closing_at(*places: str) -> Any:
    """The option of where it closes."""
    return choice("where it closes", *places, group=GROUP)


def opens(worked_out: str, **where: Length) -> Any:
    """The option of how far it opens."""
    return length("zip or placket, from the waist down", least=inch(4), most=inch(14), group=GROUP,
                  worked_out=worked_out, where=where)  # fmt: skip


def band(usual: Length = BAND) -> Any:
    """The option of how wide a band or a casing is."""
    return length("waistband or casing, finished", usual, least=inch(0.75), most=inch(3), group=GROUP)


def beyond(usual: Length = BAND) -> Any:
    """The option of how far the band goes on beyond the closure."""
    return length("waistband lap beyond the closure", usual, most=inch(3), group=GROUP)


@dataclass(frozen=True, slots=True)
class Waist:
    """What was asked of a waist, and what follows for the panels below it."""

    kind: str
    closure: str
    at: str
    """Where it opens: at the back, the side or the front, else "none"."""
    ease: Length
    wide: Length
    lap: Length
    around: Length
    """All round at the waist, as sewn."""
    upper: Length
    """All round at the upper edge of the panels."""
    long: Length
    """From there to the hem."""
    above: Length
    """How far that edge lies above the waist; below a curved band less than nothing."""
    down: Length | None
    """How far it opens from there."""

    @property
    def end(self) -> str:
        """The name of the notch at which the opening ends."""
        return "zip end" if self.closure == "zip" else "opening end"


def waist_asked(
    on: Board, kind: str, closure: str, at: str, zip_long: Length | None, *, ease: Length, wide: Length, lap: Length,
    long: Length, over_hip: Length = inch(2), slope: float = 0.0, at_least: Length | None = None,
) -> Waist:  # fmt: skip
    """What the panels need to know. `over_hip`: so much wider than the hip is what elastic draws in; `slope`: a skirt
    widens by so much of its depth; `at_least`: it opens so far. Raises DraftError as `opening_down`."""
    around = (on.body.waist_girth + ease).called("waist line")
    if kind == "elastic":
        around = (greatest(on.body.waist_girth, on.body.hip_girth) + over_hip).called("casing")
    at = "none" if kind == "elastic" or closure == "none" else at
    down = None if at in ("none", "front") else opening_down(on, zip_long, around, long, at_least, slope=slope)
    upper, above = around, mm(0)
    if kind == "curved band":
        above, hip = mm(0) - wide, on.body.hip_girth - on.body.waist_girth
        upper = (around + hip * wide.over(on.body.waist_to_hip)).called("waist line below the band")
    return Waist(kind, closure, at, ease, on.usual(inch(2.5)) if kind == "facing" else wide, lap, around, upper,
                 long + above if above.mm else long, above, down)  # fmt: skip


def opening_down(
    on: Board, asked: Length | None, waist: Length, long: Length, at_least: Length | None = None, *, slope: float = 0.0
) -> Length:
    """How far from the waist down a skirt opens: as asked, else so that the hip passes, and `at_least` 7 in;
    and to where a flaring one, which widens by `slope` of its depth, is as wide as the hip. Raises DraftError where
    that is too long for the skirt."""
    hip, down = on.body.get("hip_girth"), asked or at_least or on.usual(inch(7))
    if asked is None and hip is not None:
        reach = ((hip - on.body.waist_girth + inch(2)) / 2).called("opening that the hip passes")
        down = greatest(down, greatest(reach, (hip - waist) / slope) if slope else reach)
    down = down.called("opening")
    on.work("zip_long", down)
    if down > long - inch(1):
        on.refuse(
            f"an opening of {on.say(down)} is too long for a skirt of {on.say(long)}", "long to more, or zip_long"
        )
    return down


def opened_at(panels: Part, end: str) -> tuple[str, ...]:
    """The edges on which a notch of that name stands, from the centre back on."""
    by_name = {piece.name: piece for piece in panels.pieces}
    pieces = [by_name[name] for name in dict.fromkeys(ref.piece for ref in refs(*panels.top))]
    return tuple(dict.fromkeys(f"{p.name}.{n.edge}" for p in pieces for n in p.notches if n.name == end))


def opened_down(panels: Part, end: str, drafted: Length) -> Length:
    """How far the panels open down to the notch of that name, which they were `drafted` to have so far down: as much,
    unless they were fitted."""
    by_name = {piece.name: piece for piece in panels.pieces}
    tops = {ref.piece: ref.edge for ref in refs(*panels.top)}
    ref = Ref.of(opened_at(panels, end)[0])
    edge = by_name[ref.piece].edge(ref.edge)
    at = next(notch.at for notch in by_name[ref.piece].notches if notch.name == end and notch.edge == ref.edge)
    top_first = by_name[ref.piece].beside(ref.edge)[0] == tops[ref.piece]
    far = edge.sewn(at) if top_first else edge.sewn_length() - edge.sewn(at)
    return drafted if abs(far - drafted.mm) < _SAME else found(far, "the opening as fitted").called("opening")


# ---------------------------------------------------------------- the finish


def waist_finished(
    on: Board, panels: Part, waist: Waist, *, hip: Length | None = None, along: Sequence[str] = ()
) -> tuple[Part, Part]:
    """The panels, hung below the waist as far as they start there, and the finish: band or facings, placket, seams,
    notions, claims. `hip`: the girth that must get in, if any. `along`: half of what a band is sewn to, from where it
    starts; told where the tops do not say it. Raises DraftError for what cannot be closed."""
    long = found(_round(panels, panels.top) - panels.gathers, "waist line")
    worn = next((piece.worn for piece in panels.pieces if piece.worn), "body")
    opens = waist.at not in ("none", "front")
    past = waist.lap if (opens or waist.closure == "fly") and waist.kind != "facing" else mm(0)
    opened = opened_at(panels, waist.end) if opens else ()
    tops = refs(*panels.top)
    strips: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    bagged = any(piece.name == ref.piece and not piece.worn for piece in panels.pieces for ref in tops)
    if bagged and not along and (waist.kind == "facing" or (waist.closure != "zip" and waist.at == "side")):
        on.refuse("slant pockets are caught in a waistband, and take the place of a placket",
                  'pocket_kind, or waist to "band" and closes_at to "back"')  # fmt: skip
    if waist.kind == "facing":
        try:
            strips, seams = _facings(panels, waist.wide)
        except GeometryError:
            on.refuse("the waist bends more sharply than a facing is wide", 'waist to "band"')
    else:
        curved = waist.kind == "curved band"
        strips = (_curved(on, long, waist.around, waist.wide, past, worn if worn == "body" else "") if curved else
                  straight_band(on, long, waist.wide, past),)  # fmt: skip
        walked = f"waistband.band_seam from start to {'lap' if past.mm else 'end'}"
        halves = waist.at == "side" and len(panels.top) > 1 and not panels.gathers
        if panels.gathers > 0.5:
            seams = (sew("waist seam", *panels.top, to=walked, how="gathered", ease=panels.gathers),)
        else:
            half = tuple(along) or (
                tuple(f"{r.piece}.{r.edge} from {a} to {b}" for r, a, b in _corners(panels)) if bagged else panels.top
            )
            seams = (sew("waist seam", walked, to=_all_round(panels, opened) if halves else half),)
        if panels.gathers:
            tops = refs(walked)
        if waist.at == "none":
            seams = (sew("band join", "waistband.under_end", to="waistband.lap_end"), *seams)
    claims: list[Claim] = []
    girth = Girth("girth.waist", "Change ease_waist.", "waist", on.body.waist_girth, waist.ease, tops, worn=worn)
    if waist.kind == "elastic":
        snug, less = on.body.waist_girth - on.usual(inch(1)), on.say(on.usual(inch(1)))
        on.note(f"Elastic: cut it {on.say(snug)} long, {less} less than the waist, and as wide as "
                f"the casing less a little; leave a gap in the casing to thread it through.")  # fmt: skip
    elif waist.kind == "curved band":
        line = "waistband.upper_edge" + (" from upper lap to end" if past.mm else "")
        claims.append(replace(girth, seam=refs(line)))
    else:
        claims.append(girth)
    if waist.at == "none" and hip is not None:
        claims.append(Passes("entry.hip", "choose a closure, or make the waist {more} wider.", "waist", tops, "hip",
                             hip, "as measured", inch(1).mm))  # fmt: skip
    part = _closed(on, panels, waist, opened, hip, Part(strips, seams, tuple(claims))) if opens else Part(
        strips, seams, tuple(claims))  # fmt: skip
    if waist.kind == "curved band":
        panels = replace(panels, pieces=tuple(_hung(piece, mm(0) - waist.above) for piece in panels.pieces))
    return panels, part


def _hung(piece: Piece, by: Length) -> Piece:
    """A panel that starts so far below the waist."""
    levels = (replace(each, name=BELOW_BAND) if each.name == "waist" else each for each in piece.levels)
    return lowered(replace(piece, levels=tuple(levels)), by)


def _closed(on: Board, panels: Part, waist: Waist, opened: Sequence[str], hip: Length | None, part: Part) -> Part:
    """The finish with what closes it."""
    if waist.down is None or not opened:
        on.refuse(f"a closure with {waist.closure} needs a seam that opens", 'closure to "none"')
    down = opened_down(panels, waist.end, waist.down)
    claims = list(part.claims)
    if hip is not None:
        place, change = _PLACES[waist.at], "make zip_long {enough} or more."
        claims.append(OpenedPasses("opening.hip", change, place, refs(*panels.top), waist.end, hip, inch(2).mm,
                                   panels.gathers))  # fmt: skip
        told = any(claim.id == "zip.reach" for claim in panels.claims) or "body" not in {p.worn for p in panels.pieces}
        if waist.closure == "zip" and "hip" in _levels(panels) and not told:
            change = "set zip_long to {enough} or more."
            claims.append(OpensTo("zip.reach", change, "zip", place, "hip", _levels(panels)[0], hip))
    part = replace(part, claims=tuple(claims))
    if waist.at == "side":
        on.note("It opens in the left side seam.")
    if waist.closure == "zip":
        return replace(part, notions=(Notion("zip", down.mm, "zip_long", "", waist.end),))
    strip, sewn = _placket(on, panels, opened, down, waist.end)
    every = on.usual(inch(2))
    many = int(down.mm // every.mm)
    on.note("Fasten the band with a hook and bar, and the placket with snaps." if waist.closure == "hook" else
            f"Buttons: one on the band and {many} on the placket, {on.say(every)} apart.")  # fmt: skip
    return replace(part, pieces=(*part.pieces, strip), seams=(sewn, *part.seams))


def _round(panels: Part, run: Sequence[str]) -> float:
    by_name = {piece.name: piece for piece in panels.pieces}
    return sum(by_name[r.piece].to_cut.around * by_name[r.piece].edge(r.edge).sewn_length() for r in refs(*run))


def _levels(panels: Part) -> list[str]:
    return next([level.name for level in piece.levels] for piece in panels.pieces if piece.levels)


def _all_round(panels: Part, opened: Sequence[str]) -> tuple[str, ...]:
    """All waist edges from the opening in the left side over the front to the right, and over the back: halves."""
    behind = [ref.piece for ref in refs(*panels.top)].index(Ref.of(opened[0]).piece) + 1
    rows = _corners(panels)
    ahead = [f"{ref.piece}.{ref.edge} from {first} to {last}" for ref, first, last in rows]
    aback = [f"right {ref.piece}.{ref.edge} from {last} to {first}" for ref, first, last in rows]
    walk = [f"left {ref}" for ref in (*ahead[behind:], *ahead[:behind])]
    front = len(ahead) - behind
    return (*walk[:front], *aback[: behind - 1 : -1], *aback[:behind][::-1], *walk[front:])


def _corners(panels: Part) -> list[tuple[Ref, str, str]]:
    """Each top edge, from the back to the front, with the edges beside it: towards the back, and the front."""
    pieces = {piece.name: piece for piece in panels.pieces}
    joined = {(a.piece, a.edge, b.piece) for seam in panels.seams for one, other in ((seam.a, seam.b), (seam.b, seam.a))
              for a in one for b in other if a.piece != b.piece}  # fmt: skip
    tops = refs(*panels.top)
    rows = []
    for k, ref in enumerate(tops):
        beside = pieces[ref.piece].beside(ref.edge)
        behind, ahead = ([edge for edge in beside if any((ref.piece, edge, other.piece) in joined for other in others)]
                         for others in (tops[:k], tops[k + 1 :]))  # fmt: skip
        first = behind[0] if behind else next(
            (edge for edge in beside if k and edge not in ahead and not edge.startswith("centre")),
            next(edge for edge in beside if edge not in ahead))  # fmt: skip
        rows.append((ref, first, beside[0] if first == beside[1] else beside[1]))
    return rows


def straight_band(on: Board, long: Length, wide: Length, lap: Length) -> Piece:
    """A straight band, cut twice as wide and folded; `lap` beyond the closure."""
    s = on.sketch("waistband")
    s.box(long + lap if lap.mm else long, wide * 2, ("under_end", "band_seam", "lap_end", "inside_edge"))
    s.between("fold_start", "bottom_left", "top_left")
    s.between("fold_end", "bottom_right", "top_right")
    s.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    if lap.mm:
        s.notch("band_seam", "lap", "bottom_right", at=lap)
    return s.piece()


def _curved(on: Board, lower: Length, upper: Length, deep: Length, lap: Length, worn: str = "body") -> Piece:
    """A ring sector, twice: its lower edge is the top of the skirt. The pin stands above the start; it turns to the
    right end, and the lap goes straight on."""
    turn = (lower.mm - upper.mm) / deep.mm
    if not _LEAST_TURN < turn < 1.9 * pi:
        on.refuse(f"a curved band {on.say(deep)} deep, {on.say(upper)} round above and {on.say(lower)} below, cannot "
                  "be drawn", 'waist to "band", or band_wide')  # fmt: skip
    s = on.sketch("waistband", Cut("whole", 2), worn=worn)
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
    s.level("waist", mm(0), *high[2 * _PARTS :: -1])
    s.level(BELOW_BAND, deep, *low[: 2 * _PARTS + 1])
    if lap.mm:
        s.notch("band_seam", "lap", end[1])
        s.notch("upper_edge", "upper lap", end[0])
    s.grain(f"low_{_PARTS // 2}", f"upper_{_PARTS // 2}")
    return s.piece()


def _facings(panels: Part, wide: Length) -> tuple[tuple[Piece, ...], tuple[Seam, ...]]:
    """A facing of each panel, darts closed; they are joined as the panels are, and faced to them."""
    by_name = {piece.name: piece for piece in panels.pieces}
    pieces = {r.piece: facing(by_name[r.piece], [r.edge], f"facing_{r.piece}", wide.mm) for r in refs(*panels.top)}
    pieces = {name: replace(strip, to_cut=by_name[name].to_cut) for name, strip in pieces.items()}
    seams = []
    for seam in panels.seams:
        sides, gore = [seam.a[0], seam.b[0]], by_name[seam.a[0].piece].to_cut.all_round
        if len(seam.a) == len(seam.b) == 1 and (gore or sides[0].piece != sides[1].piece) and all(
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
    gore = next(piece for piece in panels.pieces if piece.name == first.piece).to_cut.all_round
    to: tuple[str, ...] = (f"{first} from {top[first.piece]} to {end}",)
    if first != second or gore:
        one = "one" if gore else "left"
        to = (f"{one} {to[0]}", f"{one} {second} from {end} to {top[second.piece]}")
    return strip.piece(), sew("placket", "placket.placket_seam from start to end", to=to)
