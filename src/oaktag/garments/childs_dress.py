"""A child's dress that hangs from a yoke: the yoke cut from the bodice, a gathered skirt sewn to it across the armhole.

     nc  ns           yoke: what lies above a level between shoulder tip and underarm
      \\_/ \\_ st
     |_______(        below it front and back go on down to the hem, longer by what the yoke lacks to the waist, and
     |  | | | ua      fuller at the centre line: gathered to the yoke
     |         \\
Rules: a yoke cut from the bodice and a skirt longer by what it lacks (a sewing teacher's page), gathers of 1.5 to 2
times (trade notes on children's wear; here 1.6, chosen); bodice, opening, sleeve and collar as the child's bodice has
them. To the knee, flared 1 1/4 in each quarter (common practice, no source). Hem and tucks to grow: parts/growth.
"""

from __future__ import annotations

from typing import Final

from ..body.whom import CHILDREN
from ..claims.edges import DrawnIn
from ..claims.girth import EaseInRange, GirthAtLeast
from ..claims.openings import Passes
from ..draft.board import Board
from ..draft.pivots import widen
from ..draft.signature import choice, count, garment, length, share
from ..errors import DraftError, GeometryError
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.finding import Severity
from ..model.length import Length, cm, found, greatest, inch, total
from ..model.piece import NotchPlace, Piece, sew
from ..model.ref import refs
from ..units import show_at_least
from ..values import replace
from .blocks.child import EASE, child_block
from .childs_bodice import BUTTON, HEAD_EASE, METRIC_BUTTON, SLEEVE_ENDS, SLEEVES, SLIT, USUAL_EASE, childs_sleeve
from .parts.collars import collar
from .parts.growth import SKIRT, SKIRT_HEM, tell_growth, tucks
from .parts.neckline import neck_round
from .parts.part import Part, together
from .parts.princess import came_of
from .parts.sleeves import REACHES
from .parts.upper import Faced
from .parts.upper_facings import facings_of
from .parts.yokes import level_yoke, yoke_level

END: Final = "opening end"
BELOW_YOKE: Final = cm(2.5)
"""The opening goes on below the yoke so far at least (common practice, no source)."""
BELOW_NECK: Final = 20.0
"""And the yoke line lies so far below the front neck, mm (judgement, no source)."""


@garment("dress for children that hangs gathered from a yoke, open at the back", for_whom=CHILDREN, noun="dress")
def childs_dress(
    on: Board,
    *,
    ease_chest: Length = length("wearing ease round the chest, of the yoke", EASE, least=inch(2), most=inch(7)),
    long: Length | None = length("waist to hem", least=inch(7), most=inch(40), worked_out="to the knee"),
    yoke_down: float = share("yoke line, of the way from shoulder tip to underarm", 0.55, least=0.3, most=0.75),
    fullness: float = share("skirt to yoke", 1.6, least=1.2, most=2.5),
    flare: Length = length("each side further out at the hem", inch(1.25), most=inch(5)),
    opens: str = choice("how the back opens", "slit", "zip", group="opening"),
    opening_deep: Length | None = length("its length", least=inch(3), most=inch(14), worked_out="{a}, or so that the "
                                         "head passes, and below the yoke", where={"a": SLIT}, group="opening"),
    button: Length = length("diameter of the button", BUTTON, least=inch(0.375), most=inch(0.875),
                            metric=METRIC_BUTTON, when=("opens", "slit"), group="opening"),
    collar_kind: str = choice("collar", "none", "flat", group="collar"),
    collar_wide: Length = length("its depth", inch(1.75), least=inch(1), most=inch(3), when=("collar_kind", "flat"),
                                 group="collar"),
    collar_shape: str = choice("its ends", "round", "pointed", when=("collar_kind", "flat"), group="collar"),
    sleeve_kind: str = choice("sleeve", "puff", *(kind for kind in SLEEVES if kind != "puff"), group="sleeve"),
    reach: str = choice("how far the sleeve reaches", "short", *(r for r in REACHES if r != "short"), group="sleeve"),
    sleeve_end: str = choice("what it ends in", "elastic", *(e for e in SLEEVE_ENDS if e != "elastic"), when=(
        "sleeve_kind", *(kind for kind in SLEEVES if kind != "none")), group="sleeve"),
    facing_wide: Length = length("facings, finished", inch(1.5), least=inch(1), most=inch(2.5)),
    hem_deep: Length = length("hem", SKIRT_HEM, least=inch(0.75), most=inch(5), group="room to grow"),
    tuck_count: int = count("tucks above the hem", 0, most=4, group="room to grow"),
    tuck_deep: Length = length("each so deep", inch(0.5), least=inch(0.25), most=inch(1), group="room to grow"),
) -> Draft:  # fmt: skip
    """Yokes, skirt, sleeve, collar, facings."""
    body = on.body
    long = (long or body.waist_height - body.knee_height).called("skirt")
    on.work("long", long)
    front, back = child_block(on, ease_chest=ease_chest, below=long, flare=flare, centre_back="seam")
    neck = collar(on, collar_kind, front, back, wide=collar_wide, point=collar_wide * 1.2, shape=collar_shape,
                  lap=on.usual(inch(0.375)), opens="back", to=("front_yoke.neck", "back_yoke.neck"))  # fmt: skip
    shell: list[Piece] = []
    lines: list[Length] = []
    for half in (front, back):
        yoke, skirt, line = _yoked(on, half, yoke_down, fullness)
        if tuck_count:
            skirt = tucks(on, skirt, "hem", tuck_count, tuck_deep, above=hem_deep + cm(1))
        shell += [yoke, skirt]
        lines.append(line)
    down = _opening(on, front, back, shell[2], opening_deep)
    end = NotchPlace("centre_back", 0.0, 1, END)
    at = down.mm - shell[2].edge("centre_back").length()
    shell[3] = replace(shell[3], notches=(*shell[3].notches, replace(end, at=at)))
    pieces = tuple(shell)
    hole = (*came_of(pieces, "front.armhole"), *reversed(came_of(pieces, "back.armhole")))
    arm = childs_sleeve(on, sleeve_kind, front, back, reach, sleeve_end, hole)
    try:
        faces = facings_of(pieces, Faced(front, back, front), facing_wide, armholes=sleeve_kind == "none")
    except GeometryError as error:
        raise DraftError(f"{error}. Make facing_wide less.") from error
    notion = Notion("button", button.mm, "opening", "", "", 1)
    if opens == "zip":
        pieces = tuple(replace(p, notches=(*p.notches, NotchPlace("centre_back", 0.0, 1, "zip top")))
                       if p.name == "back_yoke" else p for p in pieces)  # fmt: skip
        notion = Notion("zip", down.mm, "opening_deep", "zip top", END)
    else:
        on.note("Leave the centre back seam open above its notch; turn its allowances back there and stitch them down. "
                "A button and a loop of bias cut tube hold it at the neck.")  # fmt: skip
    on.note("Gather the skirt to the yoke from the centre to 3/4 in (2 cm) from the armhole; there it lies flat.")
    tell_growth(on, "skirt", hem_deep, SKIRT)
    centres = "back_yoke.centre_back", "back_skirt.centre_back"
    seams = (
        sew("centre back seam", centres[1], to=centres[1]),
        *(sew(f"{name} yoke seam", f"{name}_skirt.yoke", to=f"{name}_yoke.yoke", how="gathered",
              ease=(line * (fullness - 1)).mm)
          for name, line in zip(("front", "back"), lines, strict=True)),
        sew("shoulder seam", "front_yoke.shoulder", to="back_yoke.shoulder"),
        sew("side seam", "front_skirt.side", to="back_skirt.side"),
    )  # fmt: skip
    own = Part(pieces, seams, _claims(on, ease_chest, total(*lines) * 2, fullness), (notion,),
               widths={f"{name}_skirt.hem": hem_deep for name in ("front", "back")} | {
                   name: on.usual(inch(0.625)) for name in centres})  # fmt: skip
    return together(on, [own, arm, neck, faces])


def _yoked(on: Board, half: Piece, share: float, fullness: float) -> tuple[Piece, Piece, Length]:
    """The yoke, the skirt below it let out at its centre line, and how long the line between them is."""
    y = min(yoke_level(half, share), half.points["neck_centre"].y - BELOW_NECK)
    if y < half.points["underarm"].y + 20.0:
        on.refuse("the yoke line lies too near to the underarm", "yoke_down to less")
    try:
        yoke, skirt = level_yoke(half, y, names=(f"{half.name}_yoke", f"{half.name}_skirt"))
        wide = found(yoke.edge("yoke").length(), f"yoke of the {half.name}").called(f"{half.name} yoke line")
        return yoke, widen(skirt, f"centre_{half.name}", (wide * (fullness - 1)).mm), wide
    except GeometryError as error:
        raise DraftError(f"{error}. Change yoke_down.") from error


def _opening(on: Board, front: Piece, back: Piece, yoke: Piece, asked: Length | None) -> Length:
    """How far the centre back opens: so that the head passes, and below the yoke."""
    to_yoke = found(yoke.edge("centre_back").length(), "back yoke") + BELOW_YOKE
    head = on.body.head_girth.mm + HEAD_EASE.mm + 5.0
    lack = found((head - neck_round(front, back)) / 2, "half of what the neck lacks for the head")
    down = (asked or greatest(on.usual(SLIT), lack, to_yoke)).called("back opening")
    if down < to_yoke:
        on.refuse(f"an opening of {on.say(down)} ends in the yoke or its seam",
                  f"opening_deep to {show_at_least(to_yoke.mm, on.unit)} or more")  # fmt: skip
    on.work("opening_deep", down)
    return down


def _claims(on: Board, ease: Length, yoke: Length, fullness: float) -> tuple[Claim, ...]:
    """Chest and hip, the gathers, and that the head passes."""
    body = on.body
    run = refs(
        "front_yoke.neck", "back_yoke.neck", "back_yoke.centre_back", f"back_skirt.centre_back from yoke to {END}"
    )
    known = "as measured" if body.get("head_girth") else "assumed"
    skirt, onto = refs("front_skirt.yoke", "back_skirt.yoke"), yoke.called("yoke all round")
    return (
        GirthAtLeast("girth.chest", "add {more} to ease_chest.", "chest", body.bust_girth, ease,
                     severity=Severity.ERROR),
        EaseInRange("ease.chest", "ease_chest", "chest", ease, *USUAL_EASE, "a child's dress in woven cloth"),
        GirthAtLeast("girth.hip", "add {more} to fullness or flare.", "hip", body.hip_girth, cm(10)),
        DrawnIn("gathers.yoke", "change fullness.", skirt, onto * fullness, onto),
        Passes("entry.neckline", "make opening_deep {more} longer.", "neckline with its opening", run, "head",
               body.head_girth, known, HEAD_EASE.mm),
    )  # fmt: skip
