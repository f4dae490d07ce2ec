"""A dress: any bodice and any skirt, joined at the waist or the hip, closed by a zip at the centre back.

The bodice is drafted by one of three methods (garments/blocks), its bust dart where the style wants it or in princess
lines; the skirt as the skirt of its kind, its upper edge as long as the bodice is there. The side seams are made to
meet: what the front of the bodice has over the front of the skirt is added at the skirt's centre front and taken at its
centre back (geometry).
"""

from __future__ import annotations

from typing import Final

from ..body.whom import WOMEN
from ..claims.girth import Girth, RunInRange
from ..claims.openings import OpensTo
from ..draft.board import Board
from ..draft.signature import choice, count, flag, garment, length, share
from ..errors import DraftError, GeometryError
from ..geometry.point import Point
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.length import Length, found, inch, mm
from ..model.piece import EdgeKind, NotchPlace, Piece, Seam, sew
from ..model.ref import Ref, refs
from ..values import dataclass, replace
from .blocks import METHODS, block, bust_round
from .bodice import EASE_BUST, Cuts, Neck, cut_up, facings_of, refused, relevelled, styled
from .circle_skirt import ANGLES, circle_panels
from .gathered_skirt import gathered_panels
from .gored_skirt import gored_panels
from .parts.flares import flared
from .parts.neckline import STYLES
from .parts.part import Part, lowered, together
from .parts.princess import came_of
from .parts.sleeves import REACHES, SLEEVES, sleeve
from .parts.style_darts import FOLDS, PLACES
from .parts.waist import zip_down
from .parts.waistline import raised
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
UNDER_BUST: Final = inch(3)
"""An empire line lies so far below the bust line (common practice, no source)."""


@garment("dress for women of a bodice and a skirt, with a zip at the back", noun="dress", for_whom=WOMEN)
def dress(
    on: Board,
    *,
    method: str = choice("how the bodice is drafted", *METHODS, group="bodice"),
    ease_bust: Length | None = length(
        "wearing ease round the bust", least=inch(1), most=inch(12),
        worked_out="{a} by quarters, {b} close, {c} by angle", group="bodice",
        where={"a": EASE_BUST["quarter"], "b": EASE_BUST["close"], "c": EASE_BUST["angle"]}),
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
    joined: str = choice("where bodice and skirt are joined", "waist", "empire", "hip", "one", group="skirt"),
    skirt: str = choice("skirt", *SKIRTS, group="skirt"),
    long: Length = length("waist to hem", inch(25), least=inch(14), most=inch(48), group="skirt"),
    ease_hip: Length = length("wearing ease round the hip", inch(3), most=inch(12), group="skirt"),
    flare: Length = length("each seam edge further out at the hem", inch(3), most=inch(10),
                           when=("joined", "one"), group="skirt"),
    circle_part: str = choice("how much of a circle", *ANGLES, when=("skirt", "circle"), group="skirt"),
    fullness: float = share("cloth to seam", 2.0, least=1.1, most=4.0, when=("skirt", "gathered"), group="skirt"),
    gores: int = count("gores", 6, least=4, most=12, when=("skirt", "gored"), group="skirt"),
    cloth_wide: Length | None = length("width of the cloth", least=inch(20), most=inch(130), worked_out="any",
                                       group="skirt"),
    facings: bool = flag("facings at the neck, and at armholes without sleeves", True, group="facings"),
    facing_wide: Length = length("facings, finished", inch(2), least=inch(1), most=inch(3), when=("facings", "yes"),
                                 group="facings"),
) -> Draft:  # fmt: skip
    """The bodice, its sleeves and facings, the skirt below it."""
    body = on.body
    asked = ease_bust or on.usual(EASE_BUST[method])
    on.work("ease_bust", asked)
    low = {"hip": body.waist_to_hip, "one": long}.get(joined)
    neck = Neck(neckline, neck_wider, neck_deeper, keyhole=f"front {keyhole}" if keyhole != "none" else "none")
    cuts = Cuts(princess, bust_dart, bust_fold, on.usual(inch(0.75)), yoke, yoke_down, wraps=neckline == "wrap")
    refused(on, neck, cuts, closed=True, waist_seam=joined in ("waist", "empire"), facings=facings)
    one = cuts.needs_one or bust_dart not in ("auto", "shoulder", "armhole")
    front, back = block(on, method, ease_bust=asked, ease_waist=ease_waist, below=low, ease_hip=ease_hip,
                        front_darts="one" if one else "auto", centre_back="seam")  # fmt: skip
    depth = {level.name: mm(level.depth) for level in back.levels}
    above = _above(on, depth["waist"] - depth["bust"]) if joined == "empire" else mm(0)
    if joined == "empire":
        front, back = (_raised(half, above) for half in (front, back))
    drafted, round_bust = (front, back), bust_round(front, back)
    try:
        front, back, faced = styled(on, front, back, cuts.place, neck, True, "back")
        pieces, seams = cut_up(on, front, back, cuts)
    except GeometryError as error:
        raise DraftError(f"{error}. Change {cuts.change}.") from error
    pieces = tuple(relevelled(drafted, piece) for piece in pieces)
    arm = sleeve(on, sleeve_kind, front, back, reach=sleeve_reach, to=() if len(pieces) == 2 else (
        *came_of(pieces, "front.armhole"), *reversed(came_of(pieces, "back.armhole"))))  # fmt: skip

    to_waist = found(back.edge("centre_back").length(), "centre back of the bodice")
    down = zip_down(on, None, body.waist_girth + ease_waist, long) + above
    edge = "hem" if low else "waist"
    lower = *came_of(pieces, f"back.{edge}"), *came_of(pieces, f"front.{edge}")
    if is_wrapped(front):
        lower = *came_of(pieces, "back.waist"), own_waist("front")
    claims = _girths(on, joined, refs(*lower), round_bust, ease_waist, ease_hip)
    shapes, joins = [], []
    if joined == "one":
        zipped = to_waist - long + down
        pieces = tuple(_flared(_zipped(piece, zipped), flare) for piece in pieces)
        claims.append(_hem_room(on, refs(*lower)))
    else:
        asked_skirt = Below(skirt, circle_part, fullness, cloth_wide, gores, ease_hip)
        top, down = (depth["hem"], on.usual(inch(1.5))) if low else (depth["waist"] - above, down)
        panels = _skirt(on, asked_skirt, (faced.arm, back), top, long - low if low else long + above, above, down)
        pieces = tuple(_to_be_joined(_opened(piece)) for piece in pieces)
        zipped, shapes = to_waist + down, [panels]
        joins.append(_join(f"{joined} seam", panels, lower))
    on.work("zip_long", zipped)
    shell = Part(pieces, neck.seams(front) + seams, tuple(claims), (Notion("zip", zipped.mm, "zip_long", "zip top", "zip end"),))
    try:
        faces = facings_of(pieces, faced, facing_wide, armholes=sleeve_kind == "none") if facings else Part()
    except GeometryError as error:
        raise DraftError(f"{error}. Make facing_wide less, or set facings to no.") from error
    return together(on, [shell, *neck.more(on), arm, *shapes, faces], seams=joins)


def _girths(
    on: Board, joined: str, join: tuple[Ref, ...], round_bust: Length, ease_waist: Length, ease_hip: Length
) -> list[Claim]:
    """Bust, waist and hip all round, where the bodice reaches them; and that the zip reaches far enough."""
    body, wider = on.body, "choose a wider skirt."
    ease_worn = found((round_bust - body.bust_girth).mm, "what is left of the ease at the bust")
    bust = Girth("girth.bust", "Change ease_bust.", "bust", body.bust_girth, ease_worn)
    waist = Girth("girth.waist", "Change ease_waist.", "waist", body.waist_girth, ease_waist,
                  join if joined == "waist" else ())  # fmt: skip
    hip = Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip, join if joined == "hip" else ())
    opens = OpensTo("zip.reach", wider, "zip", "centre back", "hip", "hip", body.hip_girth)
    if joined == "empire":
        return [bust, opens]
    if joined == "waist":
        return [bust, opens, waist]
    if joined == "hip":
        return [bust, waist, hip]
    opens = OpensTo("zip.reach", "set ease_hip to more.", "zip", "centre back", "hip", "waist", body.hip_girth)
    return [bust, waist, hip, opens]


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
    hip = next(level for level in piece.levels if level.name == "hip").points[0].y
    return flared(piece, ("side", "princess"), hip, by.mm)


def _at_the_back(piece: Piece) -> bool:
    return any(edge.name == "centre_back" for edge in piece.edges)


def _to_be_joined(piece: Piece) -> Piece:
    """Its hem as the edge that the skirt is sewn to."""
    edges = (replace(edge, kind=EdgeKind.SEAM) if edge.name == "hem" else edge for edge in piece.edges)
    return replace(piece, edges=tuple(edges))


@dataclass(frozen=True, slots=True)
class Below:
    """The skirt that is asked for."""

    kind: str
    circle_part: str
    fullness: float
    cloth_wide: Length | None
    gores: int
    ease_hip: Length


def _skirt(
    on: Board, asked: Below, halves: tuple[Piece, Piece], top: Length, long: Length, above: Length, down: Length
) -> Part:
    """The panels below the bodice, as deep on the body as they hang, `top` below its zero; their side seams below those
    of the bodice. `down`: how far they open at the back."""
    at_hip = any(edge.name == "hem" for edge in halves[0].edges)
    front, back = (half.edge("hem" if at_hip else "waist").sewn_length() for half in halves)
    around = found(2 * (front + back), "bodice, where the skirt is sewn on").called("join")
    forward = mm(0) if abs(front - back) < 0.01 else found((front - back) / 2, "bodice: front wider than back, half")
    if above.mm and asked.kind in FITTED:
        on.note(f"From the join under the bust down to the hip the {asked.kind} skirt is not taken in: it hangs "
                'loose at the waist. For a shaped waist set joined to "waist" or "one".')  # fmt: skip
    part = _panels(on, asked, around, long, forward, above, down)
    pieces = tuple(lowered(piece, top) for piece in part.pieces)
    return replace(
        part,
        pieces=tuple(map(_below_the_hip, pieces)) if at_hip else pieces,
        seams=tuple(replace(seam, name=f"skirt {seam.name}") for seam in part.seams),
        claims=() if at_hip else part.claims,
        widths={f"{piece.name}.hem": part.widths.get("hem", inch(1)) for piece in pieces},
    )


def _panels(
    on: Board, asked: Below, around: Length, long: Length, forward: Length, above: Length, down: Length
) -> Part:
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
                           ease_hip=asked.ease_hip, down=down, side_rise=mm(0),
                           hem_opening="vent" if vent else "none", vent_long=on.usual(inch(8)),
                           vent_wide=on.usual(inch(2)), forward=forward, above=above)  # fmt: skip


def _below_the_hip(piece: Piece) -> Piece:
    """Levels of the waist and the hip are those of the bodice."""
    return replace(
        piece,
        levels=tuple(
            replace(level, name="") if level.name in ("waist", "hip", "upper tier") else level for level in piece.levels
        ),
    )
