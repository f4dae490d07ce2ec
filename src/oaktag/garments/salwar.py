"""Salwar in three cuts, for women: a waist piece or belt with a drawstring, full legs, gathered or laid in pleats.

    ├──────── leg ───────┤            ├ panel ┤├────── kali ──────┤
    F────────────────────┐ top        F───────┐┌──────────────────┐ top
    F                    │            F       ││                  │ crotch: its short side
    F                     \\ crotch    F       ││               _/
    F                    /            F       ││          _ /       its long side, on the panel's
    F               /                 F       ││     _ /
    F          /   inseam             F       │└ /   inseam
    F─────┘ hem                       F───────┘ hem
F is the fold at the side of the leg. The waist piece goes once round; each half of it, on the fold at the side, takes
one leg. Rules, in inches, as three dressmakers print them: with a waist piece (2012): it is seat ÷ 2 + 3 1/2 long and 7
deep, casing 2 1/2; leg = full length − 7 + 1, its half as wide as half the cloth less 2; crotch seat ÷ 6 + 1 down and
2 out; bottom ÷ 2 + 1/2. Patiala (2010): crotch depth seat ÷ 4 + 4; belt seat ÷ 2 + 1 1/2 by seat ÷ 6 + 2; panel full
length − belt + 2 1/2, as wide as the leg round and 2 to 4; kali one straight side = panel − 3, the other = crotch −
belt + 1, top = cloth. Patiala by the hip (2020): panel full length + 3 − 8, belt hip ÷ 2 + 4 by 8, crotch hip ÷ 3 + 4,
kali hip ÷ 4 + 2 wide. Which side of a kali is the short one: worked rules 7.
"""

from __future__ import annotations

from ..body.whom import WOMEN
from ..claims.girth import RunInRange
from ..claims.openings import Passes
from ..draft.board import Board
from ..draft.rulers import curve
from ..draft.signature import choice, garment, length
from ..draft.sketch import Sketch
from ..model.draft import Draft
from ..model.length import Length, inch, mm, total
from ..model.piece import Cut, Piece, Seam, sew
from ..model.ref import refs
from .parts.part import lowered
from .parts.stride import FOOT

PLAIN, PATIALA, BY_HIP = "with a waist piece", "Patiala", "Patiala by the hip"


@garment("salwar for women in three cuts, with a drawstring", for_whom=WOMEN, noun="salwar")
def salwar(
    on: Board,
    *,
    form: str = choice("form", PLAIN, PATIALA, BY_HIP),
    long: Length | None = length("waist to hem", least=inch(20), most=inch(50), worked_out="to the ankle"),
    hem_round: Length = length("hem round the leg", inch(14), least=inch(10), most=inch(26)),
    cloth_wide: Length = length("width of the cloth, which the legs or kalis use wholly", inch(44), least=inch(34),
                                most=inch(60), when=("form", PLAIN, PATIALA)),
    casing: Length = length("casing at the top", inch(2.5), least=inch(1), most=inch(3)),
    hem_deep: Length = length("hem turned in, stitched round and round", inch(1.5), least=inch(0.5), most=inch(3)),
) -> Draft:  # fmt: skip
    """Waist piece or belt, leg or panel and kali."""
    body, seat = on.body, on.body.hip_girth
    full = (long or body.waist_height - body.ankle_height).called("full length")
    if form == PLAIN:
        deep, half_belt = inch(7), (seat / 2 + inch(3.5)).called("half the waist piece")
        crotch = (seat / 6 + inch(1)).called("crotch below the waist piece")
        down = (full - inch(7) + inch(1)).called("leg")
    elif form == PATIALA:
        deep, half_belt = (seat / 6 + inch(2)).called("belt"), (seat / 2 + inch(1.5)).called("half the belt")
        crotch = (seat / 4 + inch(4) - deep + inch(1)).called("short side of the kali")
        down = (full - deep + inch(2.5)).called("panel")
    else:
        deep, half_belt = inch(8), (seat / 2 + inch(4)).called("half the belt")
        crotch = (seat / 3 + inch(4) - inch(8)).called("short side of the kali")
        down = (full + inch(3) - inch(8)).called("panel")
    if down < crotch + inch(8):
        on.refuse(f"the leg below the belt is {on.say(down)} long, its crotch lies {on.say(crotch)} down",
                  f"long to {on.say(full + crotch + inch(8) - down)} or more")  # fmt: skip
    end = (hem_round / 2 + inch(0.5 if form == PLAIN else 1)).called("half the hem, laid flat")
    top = "waist_piece" if form == PLAIN else "belt"

    if form == PLAIN:
        leg, tops = _leg(on, down, crotch, (cloth_wide / 2 - inch(2)).called("half the leg"), end), ["leg.waist_edge"]
        pieces = [_on_leg(leg, deep, crotch, down)]
        legs = [
            sew("crotch seam", "leg.crotch", to="leg.crotch"),
            sew("inseam", "leg.inseam", to="leg.inseam"),
        ]
        waists = [("waist seam", "leg.waist_edge", "", leg.long("waist_edge"))]
    else:
        wide = cloth_wide - inch(2) if form == PATIALA else seat / 4 + inch(2)  # selvedges and seams lie in the cloth
        panel, kali = _panel(on, down, (hem_round + inch(3)) / 2, end), _kali(on, down - inch(3), crotch, wide)
        pieces = [_on_leg(panel, deep, crotch, down), _on_leg(kali, deep, crotch, down - inch(3))]
        tops = ["panel.waist_edge", "kali.waist_edge"]
        legs = [
            sew("kali seam", "kali.long_side", to="panel.long_side"),
            sew("crotch seam", "kali.crotch", to="kali.crotch"),
            sew("inseam", "kali.inseam", "panel.cuff", to=("kali.inseam", "panel.cuff")),
        ]
        waists = [
            (
                "waist seam of the panel",
                "panel.waist_edge from end to start",
                " from start to kali",
                panel.long("waist_edge"),
            ),
            (
                "waist seam of the kali",
                "kali.waist_edge from end to start",
                " from kali to end",
                kali.long("waist_edge"),
            ),
        ]
    fullness = total(*(run for *_, run in waists)).over(half_belt / 2)
    on.note("The dressmakers' numbers are stitch lines here; where theirs held the seam already, it is roomier by it.")
    on.note(f"The top of the legs is {fullness:.1f} times the {top.replace('_', ' ')}: lay it in pleats towards the "
            "side, none within the width of a hand of the crotch; or gather it.")  # fmt: skip
    seams: list[Seam] = [
        *legs,
        sew("belt seam", f"{top}.centre_seam", to=f"{top}.centre_seam"),
        *(sew(name, edge, to=f"{top}.leg_edge{part}", how="gathered", ease=(more * (1 - 1 / fullness)).mm, within=60.0)
          for name, edge, part, more in waists),  # pleats are laid to fit
    ]  # fmt: skip
    on.note(f"A drawstring, waist and {on.say(on.usual(inch(24)))} long, runs in the casing; leave an opening for it "
            "at the centre front. Its ends are tucked in: a cord that hangs can catch.")  # fmt: skip
    rise = body.get("body_rise") or body.waist_height - body.crotch_height
    claims = [
        Passes("entry.hip", "correct hip_girth.", top.replace("_", " "), refs(f"{top}.leg_edge"), "hip", seat,
               "as measured", on.usual(inch(1)).mm),
        RunInRange("run.crotch depth", "make the casing wider by {off}, or correct body_rise.",
                   refs(f"{top}.centre_seam", tops[-1].replace("waist_edge", "crotch")), rise, inch(0.5).mm, 5000.0),
        RunInRange("run.hem", "make hem_round {off} more.", refs(*[tops[0].replace("waist_edge", "hem")] * 2),
                   body.ankle_girth * FOOT, 0.0, 5000.0),
    ]  # fmt: skip
    pieces = list(on.fitted(*pieces))
    belt = _belt(on, top, half_belt / 2, deep)
    if form != PLAIN:
        belt.notch("leg_edge", "kali", "low_side", at=waists[0][-1] / fullness)
    return on.draft(
        [belt.piece(), *pieces],
        seams=seams,
        claims=claims,
        widths={"casing": casing, "hem": hem_deep},
    )


def _belt(on: Board, name: str, half: Length, deep: Length) -> Sketch:
    """Half of one of the two halves, its fold at the side."""
    s = on.sketch(name, Cut("fold", 2, all_round=True), worn="body")
    s.at("top_side")
    s.at("low_side", down=deep)
    s.at("low_centre", right=half, down=deep)
    s.at("top_centre", right=half)
    s.fold("side_fold", "top_side", "low_side")
    s.edge("leg_edge", "low_side", "low_centre")
    s.edge("centre_seam", "low_centre", "top_centre")
    s.hem("casing", "top_centre", "top_side")
    s.level("", mm(0))
    s.level("", deep)
    return s


def _on_leg(sheet: Sketch, below: Length, crotch: Length, down: Length) -> Piece:
    """The piece with its levels, told from the waist, so far above it."""
    for name, at in (("", mm(0)), ("crotch", crotch), ("", down)):
        sheet.level(name, at)
    return lowered(sheet.piece(), below)


def _leg(on: Board, down: Length, crotch: Length, wide: Length, end: Length) -> Sketch:
    """Half a leg, its fold at the side; front and back are alike."""
    s = on.sketch("leg", Cut("fold", 2, all_round=True), worn="leg")
    s.at("top_side")
    s.at("hem_side", down=down)
    s.at("hem_in", right=end, down=down)
    s.at("fork", right=wide + inch(2), down=crotch)
    s.at("top_centre", right=wide)
    s.fold("side_fold", "top_side", "hem_side")
    s.hem("hem", "hem_side", curve("level", "square"), "hem_in")
    s.edge("inseam", "hem_in", "fork")
    s.edge("crotch", "fork", curve("square", "upright"), "top_centre")
    s.edge("waist_edge", "top_centre", "top_side")
    return s


def _panel(on: Board, down: Length, wide: Length, end: Length) -> Sketch:
    """Half the straight panel at the side of the leg; below the kalis its edges are sewn to each other, as a cuff."""
    s = on.sketch("panel", Cut("fold", 2, all_round=True), worn="leg")
    s.at("top_side")
    s.at("hem_side", down=down)
    s.at("hem_in", right=end, down=down)
    s.at("top_edge", right=wide)
    s.between("cuff_top", "hem_in", "top_edge", inch(3).over(down))
    s.fold("side_fold", "top_side", "hem_side")
    s.hem("hem", "hem_side", curve("level", "square"), "hem_in")
    s.edge("cuff", "hem_in", "cuff_top")
    s.edge("long_side", "cuff_top", "top_edge")
    s.edge("waist_edge", "top_edge", "top_side")
    return s


def _kali(on: Board, long_side: Length, crotch: Length, wide: Length) -> Sketch:
    """The wedge between panel and crotch, one for the front and one for the back of each leg."""
    s = on.sketch("kali", Cut("pair", 4, all_round=True), worn="leg")
    s.at("top_panel")
    s.at("low_panel", down=long_side)
    s.at("fork", right=wide, down=crotch)
    s.at("top_centre", right=wide)
    s.edge("long_side", "top_panel", "low_panel")
    s.edge("inseam", "low_panel", "fork")
    s.edge("crotch", "fork", "top_centre")
    s.edge("waist_edge", "top_centre", "top_panel")
    return s
