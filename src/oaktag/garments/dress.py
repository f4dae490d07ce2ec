"""A dress: any bodice and any skirt, joined at the waist, above or below it, closed by a zip at the centre back.

The bodice is drafted by one of three methods (garments/blocks), its bust dart where the style wants it or in princess
lines; the skirt as the skirt of its kind, its upper edge as long as the bodice is there. The side seams are made to
meet: what the front of the bodice has over the front of the skirt is added at the skirt's centre front and taken at its
centre back (geometry).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from ..body.whom import WOMEN
from ..claims.edges import DrawnIn
from ..claims.girth import Girth, GirthAtLeast, RunInRange
from ..claims.openings import OpensTo
from ..draft.board import Board
from ..draft.signature import choice, count, flag, garment, length, share
from ..errors import DraftError, GeometryError
from ..geometry.point import Point
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.finding import Severity
from ..model.length import Length, found, greatest, inch, mm
from ..model.piece import NotchPlace, Piece, Seam, sew
from ..model.ref import Ref, refs
from ..values import dataclass, replace
from .blocks import METHODS, block, bust_ease, bust_round, eased
from .circle_skirt import ANGLES, circle_panels
from .gathered_skirt import gathered_panels
from .gored_skirt import gored_panels
from .parts.flares import flared
from .parts.neckline import STYLES
from .parts.part import Part, lowered, together, with_more
from .parts.princess import came_of
from .parts.princess_seams import princess_claims
from .parts.sleeves import REACHES, SLEEVES, sleeve
from .parts.style_darts import FOLDS, PLACES, carried, widened
from .parts.upper import TURNED, Cuts, Neck, cut_up, falling_waist, refused, relevelled, styled
from .parts.upper_facings import facings_of
from .parts.waist import opened_down, opening_down
from .parts.waistline import SHAPES, raised, shaped, shaped_to, told_from
from .parts.wrap_front import is_wrapped, own_waist
from .parts.yokes import YOKES
from .pleated_skirt import pleated_panels
from .straight_skirt import straight_panels

SKIRT: Final = "skirt_"
SKIRTS: Final = ("circle", "gathered", "straight", "A-line", "gored", "pleated")
FITTED: Final = ("straight", "A-line", "gored", "pleated")
"""Kinds that are shaped between their upper edge and the hip."""
STEP: Final = inch(12)
"""A hem is so much wider than the hip that one can walk in it (common practice, no source)."""
ABOVE_HIP: Final = inch(2)
"""A lowered waist lies so far above the hip at least: below that the skirt begins at the hip (judgement, no source)."""
UNDER_BUST: Final = inch(3)
"""An empire line lies so far below the bust line (common practice, no source)."""


@garment("dress for women of a bodice and a skirt, with a zip at the back", noun="dress", for_whom=WOMEN)
def dress(
    on: Board,
    *,
    method: str = choice("how the bodice is drafted", *METHODS, group="bodice"),
    ease_bust: Length | None = bust_ease(least=inch(1), most=inch(12), group="bodice"),
    ease_waist: Length = length("wearing ease round the waist", inch(2), most=inch(12), group="bodice"),
    bust_dart: str = choice("where the bust dart opens", "auto", *PLACES, when=("princess", "none"), group="bodice"),
    princess: str = choice("princess lines", "none", "shoulder", "armhole", group="bodice"),
    neckline: str = choice("neckline", "round", *(style for style in STYLES if style != "round"), group="neckline"),
    neck_wider: Length | None = length("neckline wider, at each shoulder", most=inch(4), worked_out="by its style",
                                       group="neckline"),
    neck_deeper: Length | None = length("front neckline deeper", most=inch(9), worked_out="by its style",
                                        group="neckline"),
    keyhole: str = choice("keyhole opening below the front neckline", "none", "slit", "drop", group="neckline"),
    yoke: str = choice("yoke", *YOKES, when=("princess", "none"), group="bodice"),
    yoke_down: float = share("yoke line, of the way from shoulder tip to underarm", 0.5, least=0.2, most=0.8,
                             group="bodice"),
    bust_fold: str = choice("what the bust dart is sewn as", *FOLDS, when=("princess", "none"), group="bodice"),
    sleeve_kind: str = choice("sleeve", "none", *(kind for kind in SLEEVES if kind != "none"), group="sleeve"),
    sleeve_reach: str = choice("how far it reaches", *REACHES, group="sleeve"),
    joined: str = choice("where bodice and skirt are joined", "waist", "empire", "lowered", "hip", "one",
                         group="skirt"),
    join_low: Length | None = length("how far below the waist", least=inch(2), most=inch(8),
                                     worked_out="half way to the hip", when=("joined", "lowered"), group="skirt"),
    join_shape: str = choice("front of the join", *SHAPES, when=("joined", "waist", "lowered"), group="skirt"),
    join_deep: Length = length("its centre lower than the side", inch(2), least=inch(0.5), most=inch(4),
                               when=("join_shape", "point", "curve"), group="skirt"),
    skirt: str = choice("skirt", *SKIRTS, group="skirt"),
    long: Length = length("waist to hem", inch(25), least=inch(14), most=inch(48), group="skirt"),
    ease_hip: Length = length("wearing ease round the hip", inch(3), most=inch(12), group="skirt"),
    flare: Length = length("each seam edge further out at the hem, of an A-line skirt from the hip", inch(3),
                           most=inch(10), when=("joined", "one", "hip"), group="skirt"),
    circle_part: str = choice("how much of a circle", *ANGLES, when=("skirt", "circle"), group="skirt"),
    fullness: float = share("cloth to seam", 2.0, least=1.1, most=4.0, when=("skirt", "gathered"), group="skirt"),
    gores: int = count("gores", 6, least=4, most=12, when=("skirt", "gored"), group="skirt"),
    cloth_wide: Length | None = length("width of the cloth", least=inch(20), most=inch(130), worked_out="any",
                                       of_cloth=True, group="skirt"),
    facings: bool = flag("facings at the neck, and at armholes without sleeves", True, group="facings"),
    facing_wide: Length = length("facings, finished", inch(2), least=inch(1), most=inch(3), when=("facings", "yes"),
                                 group="facings"),
) -> Draft:  # fmt: skip
    """The bodice, its sleeves and facings, the skirt below it."""
    body = on.body
    asked = eased(on, method, ease_bust)
    lowered_by = (join_low or body.waist_to_hip / 2).called("join below the waist")
    low = {"hip": body.waist_to_hip, "one": long, "lowered": lowered_by}.get(joined)
    falls = join_shape != "level" and joined in ("waist", "lowered")
    if joined == "lowered":
        on.work("join_low", lowered_by)
    if joined == "lowered" and lowered_by > body.waist_to_hip - ABOVE_HIP:
        on.refuse(f"{on.say(lowered_by)} below the waist is nearly at the hip, {on.say(body.waist_to_hip)} down",
                  "join_low to less, or joined to hip")  # fmt: skip
    neck = Neck(neckline, neck_wider, neck_deeper, keyhole=f"front {keyhole}" if keyhole != "none" else "none")
    cuts = Cuts(princess, bust_dart, bust_fold, on.usual(inch(0.75)), yoke, yoke_down, wraps=neckline == "wrap")
    refused(on, neck, cuts, closed=True, waist_seam=joined in ("waist", "empire"), facings=facings)
    one = cuts.needs_one or bust_dart not in ("auto", "shoulder", "armhole")
    front, back = block(on, method, ease_bust=asked, ease_waist=ease_waist, below=low, ease_hip=ease_hip,
                        front_darts="one" if one else "auto", centre_back="seam",
                         joined=joined in ("hip", "lowered"))  # fmt: skip
    depth = {level.name: mm(level.depth) for level in back.levels}
    above = _above(on, depth["waist"] - depth["bust"]) if joined == "empire" else mm(0)
    if joined == "empire":
        front, back = (_raised(half, above) for half in (front, back))
    drafted, round_bust = (front, back), bust_round(front, back)
    edge = "hem" if low else "waist"
    refused_shape(on, neckline, skirt, falls=falls)
    try:
        if falls:
            front = shaped(front, edge, join_deep.mm, join_shape)
        front, back, faced = styled(on, front, back, cuts.place, neck, True, "back")
        pieces, seams = cut_up(on, front, back, cuts)
    except GeometryError as error:
        raise DraftError(f"{error}. Change {cuts.change}.") from error
    pieces = tuple(relevelled(drafted, piece) for piece in pieces)
    arm = sleeve(on, sleeve_kind, front, back, reach=sleeve_reach, to=() if len(pieces) == 2 else (
        *came_of(pieces, "front.armhole"), *reversed(came_of(pieces, "back.armhole"))))  # fmt: skip

    to_waist = found(back.edge("centre_back").length(), "centre back of the bodice")
    down = opening_down(on, None, body.waist_girth + ease_waist, long) + above
    lower = *came_of(pieces, f"back.{edge}"), *came_of(pieces, f"front.{edge}")
    if is_wrapped(front):
        lower = *came_of(pieces, "back.waist"), own_waist("front")
    claims = _girths(
        on,
        joined,
        refs(*lower),
        round_bust,
        ease_waist,
        ease_hip,
        loose=cuts.turned or falls or widened(*pieces),
        falls=falls,
    )
    shapes, joins = [], []
    if joined == "one":
        zipped = to_waist - long + down
        pieces = tuple(_flared(_zipped(piece, zipped), flare) for piece in pieces)
        claims.append(_hem_room(on, refs(*lower)))
    else:
        asked_skirt = Below(skirt, circle_part, fullness, cloth_wide, gores, ease_hip,
                            2 if joined != "lowered" else 0 if falls else 1)  # fmt: skip
        top = depth["hem"] if low else depth["waist"] - above
        if low:
            above = (mm(0) - low).called("join below the waist line")
            to_hip = body.waist_to_hip if skirt in FITTED and joined == "lowered" else low
            down = greatest(on.usual(inch(1.5)), down - low, to_hip - low).called("zip in the skirt")
        meet = _darts_met(pieces) if joined == "waist" and not falls and not is_wrapped(front) else {}
        panels = _skirt(on, asked_skirt, drafted, top, long + above, above, down, flare, meet)
        if falls:
            long_now, long_before = long_of(front, pieces, edge), drafted[0].edge(edge).sewn_length()
            panels = _falling(panels, long_before, long_now, join_deep, join_shape)
        pieces = tuple(_to_be_joined(_opened(piece)) for piece in pieces)
        down = opened_down(panels, "zip end", down)
        zipped, shapes = to_waist + down, [panels]
        joins.append(_join(f"{joined} seam", panels, lower))
    claims += princess_claims(pieces)
    on.work("zip_long", zipped)
    shell = Part(
        pieces, neck.seams(front) + seams, tuple(claims), (Notion("zip", zipped.mm, "zip_long", "zip top", "zip end"),)
    )
    try:
        faces = facings_of(pieces, faced, facing_wide, armholes=sleeve_kind == "none") if facings else Part()
    except GeometryError as error:
        raise DraftError(f"{error}. Make facing_wide less, or set facings to no.") from error
    draft = together(on, [shell, *neck.more(on), arm, *shapes, faces], seams=joins)
    return replace(draft, advice={**draft.advice, **carried(on, bust_dart, TURNED)})


def _girths(
    on: Board, joined: str, join: tuple[Ref, ...], round_bust: Length, ease_waist: Length, ease_hip: Length, *,
    loose: bool, falls: bool,
) -> list[Claim]:  # fmt: skip
    """Bust, waist and hip all round, where the bodice reaches them; and that the zip reaches far enough."""
    body, wider = on.body, "choose a wider skirt."
    ease_worn = found((round_bust - body.bust_girth).mm, "what is left of the ease at the bust")
    bust: Claim = Girth("girth.bust", "Change ease_bust.", "bust", body.bust_girth, ease_worn)
    if loose:
        bust = GirthAtLeast("girth.bust", "add {more} to ease_bust.", "bust", body.bust_girth, ease_worn,
                            severity=Severity.ERROR)  # fmt: skip
    waist: Claim = Girth("girth.waist", "Change ease_waist.", "waist", body.waist_girth, ease_waist,
                         join if joined == "waist" else ())  # fmt: skip
    if falls and joined == "waist":
        waist = falling_waist(on, ease_waist, join)
    hip = Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip, join if joined == "hip" else ())
    opens = OpensTo("zip.reach", wider, "zip", "centre back", "hip", "hip", body.hip_girth)
    if joined == "empire":
        return [bust, opens]
    if joined in ("waist", "lowered"):
        return [bust, opens, waist]
    if joined == "hip":
        return [bust, waist, hip]
    opens = OpensTo("zip.reach", "set ease_hip to more.", "zip", "centre back", "hip", "waist", body.hip_girth)
    return [bust, waist, hip, opens]


def refused_shape(on: Board, neckline: str, skirt: str, *, falls: bool) -> None:
    """Refuse a join that falls to the centre where it cannot be drawn."""
    if falls and neckline == "wrap":
        on.refuse("a wrap front has no centre at the waist that falls", "join_shape to level, or neckline")
    if falls and skirt not in ("circle", "gathered", "straight", "A-line"):
        on.refuse(f"the front of a {skirt} skirt is not in one, so its upper edge is not shaped",
                  "join_shape to level, or skirt to circle, gathered, straight or A-line")  # fmt: skip


def long_of(front: Piece, pieces: tuple[Piece, ...], edge: str) -> float:
    """How long an edge of the front is as sewn, wherever it lies now, mm."""
    by_name = {piece.name: piece for piece in pieces}
    return sum(by_name[r.piece].edge(r.edge).sewn_length() for r in refs(*came_of(pieces, f"{front.name}.{edge}")))


def _falling(panels: Part, before: float, long: float, deep: Length, shape: str) -> Part:
    """The skirt whose front falls to the centre at its upper edge as that of the bodice does, and is as long there,
    `long` mm and no longer `before`; one that is gathered falls as deep."""
    name = f"{SKIRT}front"
    front = next((piece for piece in panels.pieces if piece.name == name and piece.on_fold), None)
    if front is None:
        raise DraftError("the skirt is cut in widths or gores, so its front is not shaped. Change join_shape to level, "
                         "cloth_wide to more, or skirt.")  # fmt: skip
    try:
        made = shaped_to(front, "waist", deep.mm, shape, long) if not panels.gathers else shaped(
            front, "waist", deep.mm, shape)  # fmt: skip
    except GeometryError as error:
        raise DraftError(f"{error}. Change join_deep, or join_shape to level.") from error
    low = front.points["waist_centre"].y - made.points["waist_centre"].y
    cloth, onto = 2 * (made.edge("waist").sewn_length() - front.edge("waist").sewn_length()), 2 * (long - before)
    pieces = tuple(told_from(made if piece is front else piece, low) for piece in panels.pieces)
    claims = tuple(
        replace(claim, cloth=with_more(claim.cloth, mm(cloth)), onto=with_more(claim.onto, mm(onto)))
        if isinstance(claim, DrawnIn) else claim for claim in panels.claims
    )  # fmt: skip
    return replace(panels, pieces=pieces, claims=claims, gathers=panels.gathers and panels.gathers + cloth - onto)


def _hem_room(on: Board, hems: tuple[Ref, ...]) -> Claim:
    """A dress in one is wide enough at its hem to walk in."""
    hip, room = on.body.hip_girth / 2, on.usual(STEP).mm / 2
    return RunInRange("hem.room", "widen it by {off}: set flare.", hems, hip, room, 5000.0)


def _join(name: str, panels: Part, lower: tuple[str, ...]) -> Seam:
    """The skirt sewn to the bodice, gathered where it is longer."""
    gathers = panels.gathers / (2 if len(panels.top) == 2 else 1)
    return sew(name, *panels.top, to=lower, how="gathered" if gathers > 0.5 else None, ease=gathers)


def _above(on: Board, room: Length) -> Length:
    """How far above the waist an empire line lies."""
    above = (room - on.usual(UNDER_BUST)).called("join above the waist line")
    if above < inch(1.5):
        on.refuse(f"the waist lies only {on.say(above)} below the join under the bust", 'joined to "waist"')
    return above


def _raised(half: Piece, by: Length) -> Piece:
    """The half cut off above its waist; the level of the waist becomes that of its lower edge."""
    upper = raised(half, by.mm)
    waist = next(level for level in half.levels if level.name == "waist")
    lower = replace(
        waist, name="", depth=waist.depth - by.mm, points=tuple(Point(p.x, p.y + by.mm) for p in waist.points)
    )
    return replace(upper, levels=(*(level for level in upper.levels if level.name != "waist"), lower))


def _opened(piece: Piece) -> Piece:
    """With a notch at the top of its centre back, if it has one: a zip is sewn in from there."""
    top = NotchPlace("centre_back", 0.0, 1, "zip top")
    return replace(piece, notches=(*piece.notches, top)) if _at_the_back(piece) else piece


def _zipped(piece: Piece, down: Length) -> Piece:
    """With the notches between which a zip is sewn into its centre back, if it has one."""
    opened, end = _opened(piece), NotchPlace("centre_back", down.mm, 1, "zip end")
    return replace(opened, notches=(*opened.notches, end)) if _at_the_back(piece) else piece


def _flared(piece: Piece, by: Length) -> Piece:
    hip = next(level for level in piece.levels if level.name == "hip").points[-1].y  # that at the side
    return flared(piece, ("side", "princess"), hip, by.mm)


def _at_the_back(piece: Piece) -> bool:
    return any(edge.name == "centre_back" for edge in piece.edges)


def _to_be_joined(piece: Piece) -> Piece:
    """Its lower edge is one that the skirt is sewn to: the level of the hem is that of the skirt."""
    return _unnamed(piece, ("hem",))


@dataclass(frozen=True, slots=True)
class Below:
    """The skirt that is asked for."""

    kind: str
    circle_part: str
    fullness: float
    cloth_wide: Length | None
    gores: int
    ease_hip: Length
    darts: int
    """In each half of a straight or A-line one."""


def _skirt(
    on: Board, asked: Below, halves: tuple[Piece, Piece], top: Length, long: Length, above: Length, down: Length,
    flare: Length, meet: Mapping[str, Sequence[Length]],
) -> Part:  # fmt: skip
    """The panels below the bodice, as deep on the body as they hang, `top` below its zero; their side seams below those
    of the bodice. `above`: the join lies so far above the waist line, or below it; `down`: how far they open at the
    back; `flare`: of an A-line skirt that begins at the hip."""
    at_hip = (on.body.waist_to_hip + above).mm < 0.01
    front, back = (half.edge("waist" if above.mm >= 0 else "hem").sewn_length() for half in halves)
    around = found(2 * (front + back), "bodice, where the skirt is sewn on").called("join")
    forward = mm(0) if abs(front - back) < 0.01 else found((front - back) / 2, "bodice: front wider than back, half")
    if above.mm > 0 and asked.kind in FITTED:
        on.note(f"From the join under the bust down to the hip the {asked.kind} skirt is not taken in: it hangs "
                'loose at the waist. For a shaped waist set joined to "waist" or "one".')  # fmt: skip
    if above.mm < 0 and around > on.body.hip_girth + asked.ease_hip:
        asked = replace(asked, ease_hip=(around - on.body.hip_girth).called("hip ease, as wide as the join"))
    part = _panels(on, asked, around, long, forward, above, down, meet)
    pieces = part.pieces
    if at_hip and asked.kind == "A-line":
        pieces = tuple(flared(p, ("side",), p.points["waist_side"].y - 1.0, flare.mm) for p in pieces)
    own = ("waist", "upper tier", *(("hip",) if at_hip else ())) if above.mm < 0 else ()
    pieces = tuple(_unnamed(lowered(piece, top), own) for piece in pieces)
    return replace(
        part,
        pieces=pieces,
        seams=tuple(replace(seam, name=f"skirt {seam.name}") for seam in part.seams),
        claims=() if at_hip else part.claims,
        widths={f"{piece.name}.hem": part.widths.get("hem", inch(1)) for piece in pieces},
    )


def _darts_met(pieces: tuple[Piece, ...]) -> dict[str, list[Length]]:
    """Where the waist darts of the bodice, or its princess lines, meet the waist seam: from the centre, as sewn."""
    met: dict[str, list[Length]] = {}
    for half in ("front", "back"):
        ends = (edge for piece in pieces if piece.name.startswith(half) for edge in piece.edges)
        first, *more = (edge for edge in ends if edge.name == "waist")
        fars = [first.sewn(take.start) for take in first.takes] + [first.sewn_length()] * bool(more)
        met[half] = [found(far, f"{half} of the bodice, centre to dart") for far in fars]
    return met


def _panels(
    on: Board, asked: Below, around: Length, long: Length, forward: Length, above: Length, down: Length,
    meet: Mapping[str, Sequence[Length]],
) -> Part:  # fmt: skip
    """The panels of a skirt of that kind, `around` all round at its upper edge."""
    if asked.kind == "circle":
        return circle_panels(on, around, long=long, opening="back", prefix=SKIRT, circle_part=asked.circle_part,
                             cloth_wide=asked.cloth_wide, zip_end=down, forward=forward, above=above)  # fmt: skip
    if asked.kind == "gathered":
        return gathered_panels(on, around, long=long, opening="back", prefix=SKIRT, fullness=asked.fullness,
                               cloth_wide=asked.cloth_wide, zip_end=down, above=above)  # fmt: skip
    if asked.kind == "gored":
        return gored_panels(on, around, long=long, opening="back", prefix=SKIRT, gores=asked.gores,
                            ease_hip=asked.ease_hip, down=down, above=above)  # fmt: skip
    if asked.kind == "pleated":
        return pleated_panels(on, around, long=long, opening="back", prefix=SKIRT, seen=on.usual(inch(2)),
                              ease_hip=asked.ease_hip, cloth_wide=asked.cloth_wide or on.usual(inch(58)), zip_end=down,
                              above=above)  # fmt: skip
    vent = asked.kind == "straight" and long > on.body.waist_to_hip + on.usual(inch(10))
    return straight_panels(on, around, long=long, opening="back", prefix=SKIRT, form=asked.kind,
                           ease_hip=asked.ease_hip, down=down, side_rise=mm(0), waist_darts=asked.darts,
                           hem_opening="vent" if vent else "none", vent_long=on.usual(inch(8)),
                           vent_wide=on.usual(inch(2)), forward=forward, above=above, darts_at=meet)  # fmt: skip


def _unnamed(piece: Piece, names: tuple[str, ...]) -> Piece:
    """The piece whose levels of those names have none: they are the bodice's."""
    levels = tuple(replace(level, name="") if level.name in names else level for level in piece.levels)
    return replace(piece, levels=levels)
