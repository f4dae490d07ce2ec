"""Front and back of trousers, halves of one leg each: two drafts, five shapes of leg.

       wc──▽──ws       origin: the waist line on the crease; x towards the side, y up
      /        \\       crease: straight, from the waist to the hem
    seat       hs      fork: on the crotch line; the front curve leaves the inseam at 96 degrees, the back one at 84
   fork         │
      \\         │      knee: half way from crotch line to floor, and 5 cm up; shorts and culottes have none
      kn       kn      hem: half of it less 1 cm on the front, 2 cm more on the back
       hm─────hm
"block": the basic trouser block of a textbook of English for the clothing trade, 3rd ed. (crease hip ÷ 12 + 1.5 cm from
the centre front; hip ÷ 4 + 0.5 and + 1.5 cm; fork hip ÷ 16 + 0.5 cm, the back half as much again; the back's waist 2 cm
in, and 3.5 up where 2 are printed). "easy": the short draft of an Italian page (crease hip ÷ 12; fork hip ÷ 20 + 1, the
back another hip ÷ 20 + 2 and 1 down; hip ÷ 4 and + 2 at half the crotch depth; the back's waist hip ÷ 24 in, 4 up;
darts 1 and 3 cm). What both leave open, by worked rules proved on 40 women of a survey: curves, knee, one back dart
where the hip has less than 18.3 cm over the waist, and a crotch line 1.5 cm below the seat or more. The front curve of
the easy draft starts at half the crotch depth, or below a fly that needs more (chosen).
Legs, all chosen: hem 0.47 of the hip straight, 0.4 tapered, never less than heel and instep and 4 cm; 0.62 wide, 0.66
of shorts, with a back 6 cm wider than the front; culottes fall straight from the fork, and 3 cm out at the side.
"""

from __future__ import annotations

from typing import Final

from ...draft.board import Board
from ...draft.rulers import HIP_CURVE, STRAIGHT, Bevel, Ruler, curve
from ...draft.sketch import Sketch
from ...model.length import Length, cm, found, greatest, inch, least, mm
from ...model.piece import Cut, LineKind
from ...values import dataclass
from .part import with_more

BLOCK: Final = "block"
EASY: Final = "easy"
STRAIGHT_LEG, TAPERED, WIDE, SHORTS, CULOTTES = "straight", "tapered", "wide", "shorts", "culottes"
HEMS: Final = {STRAIGHT_LEG: 0.47, TAPERED: 0.4, WIDE: 0.62, SHORTS: 0.66}
"""Hem round the leg as part of the hip (0.47 by worked rules; the others chosen)."""


@dataclass(frozen=True, slots=True)
class Numbers:
    """What a draft says, for one hip."""

    crease: Length
    """From the centre front."""
    front_fork: Length
    """From the centre front."""
    back_fork: Length
    """From there further out."""
    fork_down: Length
    front_in: Length
    """The front waist from the centre front."""
    back_waist: Length
    """The back waist from the crease."""
    back_up: Length
    back_seat: Length
    """Where the back curve starts, from the crease, at half the crotch depth."""
    wider: Length
    """The back hip than a quarter, and the front less."""
    front_dart: Length
    back_darts: Length
    """Together."""
    out: tuple[Length, Length]
    """The back fork further out: what is chosen, and the most."""


def numbers(draft: str, hip: Length) -> Numbers:
    """Of the draft of that name."""
    if draft == EASY:
        crease = (hip / 12).called("crease from the centre front")
        return Numbers(
            crease=crease,
            front_fork=(hip / 20 + cm(1)).called("front fork"),
            back_fork=(hip / 20 + cm(2)).called("back fork beyond the front one"),
            fork_down=cm(1),
            front_in=mm(0),
            back_waist=crease - hip / 24,
            back_up=cm(4),
            back_seat=crease,
            wider=cm(1),
            front_dart=cm(1),
            back_darts=cm(3),
            out=(mm(0), cm(1)),
        )
    crease = (hip / 12 + cm(1.5)).called("crease from the centre front")
    fork = (hip / 16 + cm(0.5)).called("front fork")
    return Numbers(
        crease=crease,
        front_fork=fork,
        back_fork=fork / 2,
        fork_down=cm(0.5),
        front_in=cm(1),
        back_waist=crease * 0.75 - cm(2),
        back_up=cm(3.5),
        back_seat=crease * 0.75,
        wider=cm(0.5),
        front_dart=cm(2),
        back_darts=cm(4),
        out=(cm(2), cm(3)),
    )


@dataclass(frozen=True, slots=True)
class Leg:
    """What is asked of the two halves; depths are below their upper edge."""

    draft: str
    shape: str
    elastic: bool
    rise: Length
    hip_line: Length
    floor: Length
    long: Length
    turn_up: Length
    hip: Length
    """A quarter, with its ease."""
    waist: Length
    """A quarter of the upper edge, as sewn."""
    front_take: Length
    back_take: Length
    """What darts or a pleat take in, in all."""
    hem: Length | None
    """Round the leg; worked out where it is None."""
    heel: Length
    opening: Length
    """So far the centre front opens, so that the hip passes; the front curve of the easy draft starts below."""


def half(on: Board, name: str, leg: Leg, out: Length, low: Length) -> Sketch:
    """The front or the back; the back fork so far `out`, the crotch line so far below the seat."""
    n, back = numbers(leg.draft, on.body.hip_girth), name == "back"
    s = on.sketch(name, Cut("pair", 2), worn="leg")
    crotch = (leg.rise + low).called("crotch line")
    half_depth = (crotch / 2).called("half the crotch depth")
    hip_line = least(leg.hip_line, crotch - cm(6)).called("hip line")
    hip_down = half_depth if leg.draft == EASY else hip_line
    if back:
        fork, hip_side = n.crease + n.front_fork + n.back_fork + out, leg.hip + n.wider - n.back_seat
    else:
        fork, hip_side = n.crease + n.front_fork, leg.hip - n.wider - n.crease
    s.at("fork", left=fork, down=crotch + n.fork_down if back else crotch)
    s.at("hip_side", right=hip_side, down=hip_down)
    inside, outside = _leg(on, s, back, leg, crotch, out)
    s.at("crease_top", down=hip_line)
    s.at("crease_hem", down=leg.long)
    s.line("crease", "crease_top", "crease_hem", kind=LineKind.FOLD)
    if back:
        s.at("seat", left=n.back_seat, down=half_depth)
        least_in = n.back_seat - cm(2)  # elastic takes the rest in, and the hip must pass it
        s.at("waist_centre", left=greatest(n.back_waist, least_in) if leg.elastic else n.back_waist, up=n.back_up)
    else:
        starts = least(hip_line, greatest(half_depth, leg.opening + mm(5))) if leg.draft == EASY else hip_line
        s.at("seat", left=n.crease, down=starts)
        s.at("waist_centre", left=n.crease if leg.elastic or not n.front_in.mm else n.crease - n.front_in)
    if leg.elastic:
        s.at("waist_side", right=hip_side)
    elif back:
        s.at("waist_flat", of="waist_centre", down=n.back_up, far=with_more(leg.waist, leg.back_take))
        s.at("waist_side", of="waist_flat", up=cm(1))
    else:
        s.at("waist_side", of="waist_centre", right=with_more(leg.waist, leg.front_take), up=cm(1))
    s.edge("inseam", "fork", *inside)
    s.edge("side", *outside, "hip_side", HIP_CURVE, "waist_side")
    ends = inside[-1], outside[0]
    s.hem("hem", ends[0], STRAIGHT if leg.turn_up.mm else curve("square", "square"), ends[1])
    s.edge("crotch", "waist_centre", "seat", curve("smooth", Bevel(84 if back else 96), share=0.8 if back else 0.6),
           "fork")  # fmt: skip
    if back:
        s.between(
            "waist_turn", "waist_side" if leg.elastic else "waist_flat", "waist_centre", 0.5 if leg.elastic else 0.2
        )
        s.edge("waist", "waist_side", curve("square", "smooth"), "waist_turn", STRAIGHT, "waist_centre")
    else:
        s.edge("waist", "waist_side", curve("square", "square"), "waist_centre")
    s.level("waist", mm(0))
    s.level("hip", hip_line, beyond=10.0)
    s.level("crotch", crotch, beyond=10.0)
    if "knee_in" in s.points:
        s.level("knee", _knee(leg, crotch))  # the side seams meet there
        for edge, end in (("side", "knee_out"), ("inseam", "knee_in")):
            s.notch(edge, "knee", end, count=2 if back else 1)
    s.level("hem", _lowest(leg))
    return s


def _knee(leg: Leg, crotch: Length) -> Length:
    return (crotch + (leg.floor - crotch) / 2 - cm(5)).called("knee line")


def _lowest(leg: Leg) -> Length:
    """How far down it is cut."""
    return (leg.long + leg.turn_up * 2 if leg.turn_up.mm else leg.long).called("hem line")


def _leg(
    on: Board, s: Sketch, back: bool, leg: Leg, crotch: Length, out: Length
) -> tuple[tuple[str | Ruler, ...], tuple[str | Ruler, ...]]:
    """The points below the fork: the run of the inseam from there down, and that of the side from below up to the hip.

    A leg with a turn-up runs straight down from so far above the hem on, so that it lies on the leg that it covers.
    """
    short, turned = leg.shape in (SHORTS, CULOTTES), leg.turn_up.mm > 0
    end = leg.long - leg.turn_up if turned else leg.long
    knee = _knee(leg, crotch)
    if leg.shape == SHORTS and end < crotch + cm(3):
        on.refuse(f"the crotch line is {on.say(crotch)} below the waist, and shorts end below it",
                  f"long to {on.say(crotch + leg.turn_up + cm(3))} or more")  # fmt: skip
    if not short and end < knee + cm(5):
        on.refuse(f"the knee line is {on.say(knee)} below the waist, and shorts are another shape",
                  f'long to {on.say(knee + leg.turn_up + cm(5))} or more, or leg_shape to "{SHORTS}"')  # fmt: skip
    inner, outer = _hem(on, s, back, leg, out)
    s.at("hem_in", left=inner, down=end)
    s.at("hem_out", right=outer, down=end)
    inside: tuple[str | Ruler, ...] = ("hem_in",)
    outside: tuple[str | Ruler, ...] = ("hem_out", curve("smooth" if turned else "free", "smooth"))
    if not short:
        n = numbers(leg.draft, on.body.hip_girth)
        front, reach = _front_hem(leg, on.body.hip_girth), n.crease + n.front_fork
        wider = cm(2) if leg.shape == TAPERED else cm(1.3)
        at_knee = least(front + wider, (front + reach) / 2).called("half the front knee")
        add_in, add_out = _back_more(leg) if back else (mm(0), mm(0))
        s.at("knee_in", left=with_more(at_knee, add_in), down=knee)
        s.at("knee_out", right=with_more(at_knee, add_out), down=knee)
        inside = (curve("free", "smooth"), "knee_in", "hem_in")
        outside = ("hem_out", "knee_out", curve("smooth", "smooth"))
    if turned:
        s.at("low_in", left=inner, down=_lowest(leg))
        s.at("low_out", right=outer, down=_lowest(leg))
        for k, down in enumerate((leg.long, leg.long + leg.turn_up), 1):
            s.at(f"fold_{k}_in", left=inner, down=down)
            s.at(f"fold_{k}_out", right=outer, down=down)
            s.line(f"turn-up fold {k}", f"fold_{k}_in", f"fold_{k}_out", kind=LineKind.FOLD)
        inside, outside = (*inside, "low_in"), ("low_out", *outside)
    return inside, outside


def _hem(on: Board, s: Sketch, back: bool, leg: Leg, out: Length) -> tuple[Length, Length]:
    """How far the hem reaches inwards and to the side from the crease."""
    if leg.shape != CULOTTES:
        front = _front_hem(leg, on.body.hip_girth)
        add_in, add_out = _back_more(leg) if back else (mm(0), mm(0))
        return with_more(front, add_in), with_more(front, add_out)
    n = numbers(leg.draft, on.body.hip_girth)
    down = (leg.hip * 2 - n.back_seat + n.crease + n.front_fork * 2 + n.back_fork + out).called("straight down, round")
    flare = cm(3) if leg.hem is None else ((leg.hem - down) / 2).called("out at the side")
    if flare < mm(0):
        on.refuse(f"culottes that fall straight are {on.say(down)} round the leg",
                  f'hem_wide to {on.say(down + mm(1))} or more, or leg_shape to "{WIDE}"')  # fmt: skip
    fork, hip_side = found(-s.points["fork"].x, "fork"), found(s.points["hip_side"].x, "hip side")
    return fork, hip_side + flare


def _front_hem(leg: Leg, hip: Length) -> Length:
    """Half of it; where none is asked for the foot passes the hem."""
    around = leg.hem or greatest(hip * HEMS[leg.shape], leg.heel + cm(4))
    return (around / 4 - cm(1.5 if leg.shape == SHORTS else 0.5)).called("half the front hem")


def _back_more(leg: Leg) -> tuple[Length, Length]:
    """How much wider the back leg is inwards and at the side."""
    if leg.shape == SHORTS:
        return cm(4.5), cm(1.5)
    return (cm(2), mm(0)) if leg.draft == EASY else (cm(1), cm(1))


def usual_long(on: Board, shape: str, rise: Length, floor: Length) -> Length:
    """From the waist to the hem where nothing is asked for."""
    if shape == SHORTS:
        return rise + on.usual(inch(5))
    if shape == CULOTTES:
        return rise + (floor - rise) / 2 + on.usual(inch(4))
    return floor - on.usual(inch(1))
