"""A pleated skirt: widths of cloth alike, laid in knife, box or inverted pleats that fit at the hip and are shaped from
there to the waist; a band, and an opening in a join that lies in an underlay.

    |  under |   v   | under |   v   |  under |      a width of two knife pleats: what is seen, v, between what lies
    |   /        \\   |   /       \\            |      under; at the waist each fold stands in by half of what the hip
    |  |          |     |         |            |      has over the waist, shared out among the pleats
Rules: knife cloth = finished + 2 × depth × pleats; box and inverted + 4 × depth × pleats; extra underlay at the waist =
(hip − waist) ÷ pleats, half at each edge, to nothing at the hip (geometry); extra above the depth is refused (proved on
forty women); seen 1.5 cm at least, no deeper than what is seen unless they may overlap (garments handbook, pleats).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor
from typing import Final

from ..draft.board import Board
from ..draft.signature import choice, flag, garment, length
from ..model.claim import Claim
from ..model.draft import Draft
from ..model.finding import Finding
from ..model.length import Length, inch, mm
from ..model.pattern import Pattern
from ..model.piece import Cut, LineKind, Piece, Take, sew
from ..units import show
from ..values import dataclass, replace
from .parts.part import Part, together, with_more
from .parts.waist import band, beyond, closing_at, closures, finishes, opens, waist_asked, waist_finished

LAYERS: Final = {"knife": 2, "box": 4, "inverted": 4}
"""How many times its depth lies under each pleat."""


@garment("pleated skirt with a waistband", noun="skirt")
def pleated_skirt(
    on: Board,
    *,
    pleat_kind: str = choice("pleats", *LAYERS),
    seen: Length = length("what is seen of each pleat at the hip, about", inch(2), least=mm(15), most=inch(12)),
    deep: Length | None = length("depth of each pleat", least=mm(10), most=inch(10), auto=True,
                                 worked_out="full: as deep as what is seen; box and inverted pleats half of it"),
    lap_over: bool = flag("pleats that are deeper than that, and lie over each other"),
    stitched: Length = length("pleats stitched down, from the waist", mm(0), most=inch(14)),
    ease_waist: Length = length("wearing ease round the waist", inch(0.5), most=inch(6)),
    ease_hip: Length = length("wearing ease round the hip", inch(2), least=inch(1), most=inch(12)),
    long: Length = length("waist to hem", inch(24), least=inch(12), most=inch(45)),
    cloth_wide: Length = length("width of the cloth", inch(58), least=inch(20), most=inch(130), of_cloth=True),
    waist: str = finishes("band", "curved band"),
    closure: str = closures("zip", "hook", "buttons"),
    closes_at: str = closing_at("side", "back"),
    zip_long: Length | None = opens("so that the hip passes, {a} or more", a=inch(7)),
    band_wide: Length = band(),
    band_lap: Length = beyond(),
) -> Draft:  # fmt: skip
    """Widths of cloth alike, and a band."""
    asked = waist_asked(on, waist, closure, closes_at, zip_long, ease=ease_waist, wide=band_wide, lap=band_lap,
                        long=long)  # fmt: skip
    panels = pleated_panels(on, asked.upper, long=asked.long, opening=asked.at, kind=pleat_kind, seen=seen, deep=deep,
                            lap_over=lap_over, stitched=stitched, ease_hip=ease_hip, cloth_wide=cloth_wide,
                            zip_end=asked.down, end=asked.end, above=asked.above)  # fmt: skip
    return together(on, waist_finished(on, panels, asked, hip=on.body.get("hip_girth")))


def pleated_panels(
    on: Board, waist: Length, *, long: Length, opening: str, prefix: str = "", kind: str = "knife",
    seen: Length, deep: Length | None = None, lap_over: bool = False, ease_hip: Length, cloth_wide: Length,
    stitched: Length = mm(0),
    zip_end: Length | None = None, end: str = "zip end", above: Length = mm(0),
) -> Part:  # fmt: skip
    """The skirt without its band, its upper edge `waist` round with the pleats laid. It fits at the hip where that was
    taken, else at the waist. `stitched`: each pleat is stitched down so far, up to a line. Raises DraftError
    for pleats that cannot be laid so."""
    hip, layers = on.body.get("hip_girth"), LAYERS[kind]
    girth, line = waist, on.usual(inch(8))
    if hip is not None:
        girth, line = (hip + ease_hip).called("finished hip"), with_more(on.body.waist_to_hip, above).called("hip line")
    if girth + mm(0.05) < waist:
        on.refuse("the waist is wider than the hip, where the pleats fit", "ease_hip to more")
    if line > long - inch(1):
        on.refuse(f"a skirt of {on.say(long)} ends above the hip line", "long to more")
    if stitched > long - inch(6):
        on.refuse(f"stitched down {on.say(stitched)}, the pleats do not open in a skirt of {on.say(long)}",
                  f"stitched to {on.say(long - inch(6))} or less")  # fmt: skip
    room = cloth_wide - inch(1) * 2
    laid = how_many(kind, opening, girth.mm, seen.mm, None if deep is None else deep.mm, room.mm)
    if laid is None:
        on.refuse(f"no number of pleats, {on.say(seen)} seen of each, goes on cloth {on.say(cloth_wide)} wide",
                  "seen, deep or cloth_wide")  # fmt: skip
    pleats, widths = int(on.settle("pleats", str(laid[0]))), int(on.settle("widths", str(laid[1])))
    visible = (girth / pleats).called("seen of each pleat")
    full = visible / (layers / 2)
    depth = (deep or full).called("depth of each pleat")
    if depth.mm > full.mm + 0.01 and not lap_over:
        on.refuse(f"pleats {on.say(depth)} deep would lie over each other: {on.say(visible)} is seen of each",
                  f"deep to {on.say(full)} or less, or lap_over to yes")  # fmt: skip
    extra = ((girth - waist) / pleats).called("each takes in more at the waist")
    if extra > depth or visible - extra < mm(5):
        on.refuse(f"each pleat would take in {on.say(extra)} more at the waist, and is {on.say(depth)} deep with "
                  f"{on.say(visible)} seen", "deep to more, or seen to more")  # fmt: skip
    under = (depth * layers).called("under each pleat")
    repeat, own = (visible + under).called("one pleat"), pleats // widths
    wide = (repeat * own).called("width")
    if wide > room:
        on.refuse(f"a width of {own} pleats is {on.say(wide)} wide, and the cloth {on.say(cloth_wide)}, with its "
                  "selvedges and seams", "seen or deep to less")  # fmt: skip

    s = on.sketch(f"{prefix}panel", Cut("whole", widths, all_round=True), worn="body")
    s.at("waist_left")
    s.at("waist_right", right=wide)
    s.at("hem_left", down=long)
    s.at("hem_right", right=wide, down=long)
    s.edge("join_left", "waist_left", "hem_left")
    s.hem("hem", "hem_left", "hem_right")
    s.edge("join_right", "hem_right", "waist_right")
    s.edge("waist", "waist_right", "waist_left")
    for name, down in (("waist", mm(0)), ("hip", line), ("hem", long)):
        s.level(name, down, *(() if name == "hip" else (f"{name}_left", f"{name}_right")))
    s.tell(extra, about="waist")
    for k in range(own):
        for side, at, inwards in (("left", under / 2 + repeat * k, 1), ("right", under / 2 + repeat * k + visible, -1)):
            name = f"pleat_{k + 1}_{side}"
            s.at(f"{name}_top", right=at + extra / 2 if inwards > 0 else at - extra / 2)
            s.at(f"{name}_hip", right=at, down=line)
            s.at(f"{name}_hem", right=at, down=long)
            below = (f"{name}_hem",) if line.mm < 0.01 else (f"{name}_hip", f"{name}_hem")
            s.line(f"pleat {k + 1} {side}", f"{name}_top", *below, kind=LineKind.PLEAT)
            s.notch("waist", "pleat fold", "waist_left", at=at + extra / 2 if inwards > 0 else at - extra / 2)
        if k and stitched.mm:
            for side, at in (("right", repeat * k - under / 2), ("left", repeat * k + under / 2)):
                more = extra * (max(0.0, 1 - stitched.over(line)) / 2)
                s.at(f"stitched_{k}_{side}", right=at - more if side == "right" else at + more, down=stitched)
            s.line(f"stitched to here {k}", f"stitched_{k}_right", f"stitched_{k}_left", kind=LineKind.PLACEMENT)
        for j in range(1, layers) if k else ():
            s.at(f"inner_{k}_{j}_top", right=repeat * k - under / 2 + depth * j)
            s.at(f"inner_{k}_{j}_hem", right=repeat * k - under / 2 + depth * j, down=long)
            s.line(f"inner fold {k} {j}", f"inner_{k}_{j}_top", f"inner_{k}_{j}_hem", kind=LineKind.FOLD)
    if zip_end is not None:
        for side in ("left", "right"):
            s.notch(f"join_{side}", end, f"waist_{side}", at=zip_end)
    piece = _laid(s.piece(), own, (under + extra).mm, (visible - extra).mm)

    on.note(f"{pleats} {kind} pleats, {on.say(visible)} seen of each at the hip, {on.say(depth)} deep; {widths} "
            f"width{'s' if widths > 1 else ''} of cloth, joined in the middle of an underlay. Hem it before it is "
            "pleated, then baste and press the pleats.")  # fmt: skip
    if stitched.mm:
        on.note(f"Stitch the folds of each pleat to each other from the waist down to the line across it, "
                f"{on.say(stitched)}; that in the join too, but for the opening, which goes on behind it.")  # fmt: skip
    if zip_end is not None and widths > 1:
        on.note("Of the joins one alone is left open.")
    if hip is None:
        on.note("hip_girth was not taken, so the pleats fit at the waist and run straight down from there.")
    claim = Pleated("pleats", "Change seen or deep.", piece.name, waist, girth, depth, layers, pleats)
    joins = sew("join of the widths", f"{piece.name}.join_right", to=f"{piece.name}.join_left")
    return Part((piece,), (joins,), (claim,), (), {"hem": inch(1.5)}, (f"{piece.name}.waist from start to end",))


def how_many(
    kind: str, opening: str, girth: float, seen: float, deep: float | None, room: float
) -> tuple[int, int] | None:
    """How many pleats all round, and in how many widths alike, none wider than `room`: near to so much seen of each,
    and few widths; mm. A box pleat has its middle at the centre front, an inverted one opens there."""
    layers, best = LAYERS[kind], (9.0, (0, 0))
    ideal, turns = girth / seen, 4 if opening == "side" else 2
    for pleats in range(max(3, ceil(ideal * 0.7)), floor(ideal * 1.3) + 1):
        if kind != "knife" and pleats % turns != (0 if kind == "inverted" else turns // 2):
            continue
        visible = girth / pleats
        cloth = girth + layers * pleats * (deep or visible * 2 / layers)
        widths = next((m for m in range(1, pleats + 1) if pleats % m == 0 and cloth / m <= room + 1e-6), 0)
        if visible < 15 or not widths:
            continue
        worth = abs(pleats / ideal - 1) + 0.1 * (widths - ceil(cloth / room))
        best = min(best, (worth, (pleats, widths)))
    return best[1] if best[1][0] else None


def _laid(piece: Piece, pleats: int, under: float, visible: float) -> Piece:
    """The piece with what lies under its pleats taken out of its upper edge, which is told from its right end."""
    takes = [Take(0.0, under / 2, "pleat")]
    takes += [Take(far := under / 2 + visible + (under + visible) * k, far + under, "pleat") for k in range(pleats - 1)]
    whole = piece.edge("waist").length()
    takes.append(Take(whole - under / 2, whole, "pleat"))
    return replace(piece, edges=tuple(replace(e, takes=tuple(takes)) if e.name == "waist" else e for e in piece.edges))


@dataclass(frozen=True, slots=True)
class Pleated(Claim):
    """What is seen between the pleat lines is as wide as the waist, from the hip down as the finished girth; no pleat
    shows less than 1.5 cm; the cloth is what is seen and what lies under. `pleats.…`."""

    piece: str
    waist: Length
    girth: Length
    depth: Length
    layers: int
    pleats: int

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, piece = pattern.unit, pattern.piece(self.piece).cut.piece
        lines = [line for line in piece.internal_lines if line.kind is LineKind.PLEAT]
        wide, times = piece.edge("hem").length(), piece.to_cut.around
        for level, place, wanted in (("waist", 0, self.waist.mm), ("hip", 1, self.girth.mm)):
            xs = sorted(line.points[place].x for line in lines)
            seen = [b - a for a, b in zip(xs[::2], xs[1::2], strict=True)]
            found = times * sum(seen)
            say = f"{level}: with its pleats laid it is {show(found, unit)} round, {show(wanted, unit)} meant."
            yield self.finding(abs(found - wanted) <= 1.0, round(found, 2), round(wanted, 2), say, self.change,
                               part=level)  # fmt: skip
        say = f"what is seen of a pleat is {show(min(seen), unit)} wide."
        yield self.finding(min(seen) >= 14.9, round(min(seen), 2), 15.0, say, "Change seen to more.", part="seen")
        cloth, meant = times * wide, self.girth.mm + self.layers * self.depth.mm * self.pleats
        say = f"the cloth is {show(cloth, unit)} round: what is seen and what lies under, {show(meant, unit)}."
        yield self.finding(abs(cloth - meant) <= 1.0, round(cloth, 2), round(meant, 2), say, self.change, part="cloth")
