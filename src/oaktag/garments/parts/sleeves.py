"""Sleeves fitted to an armhole as it was drafted, of any garment: set in, puffed, bishop, bell, elbow dart.

     ____
   /  |   \\        cap: from the front underarm (right) over the shoulder to the back; as long as the armhole and
  / f |  b \\       the sewing ease, solved by its height (draft/sleeve.py); none of it below the notches f and b
_/____|_____\\_     biceps line: upper arm and wearing ease
 |    |     |      styles are moves of this plain sleeve: slashed and flared from the cap, which stays as long as it
  \\___|____/       is; spread, its cap drawn anew between the notches and gathered to the armhole
Rules: drafting rules for blocks, 7; worked rules 2.3 and 4 (solved for the height on 80 of 80 bodies; a shirt's cap
stands no flatter than a sixth of its armhole). Cap ease 3/4 to 1 1/2 in woven, none in shirts and knits. Bell: slashes
of 3 to 6 cm hinged at the cap; bishop: slashed into four, 2 in each (a teaching page), 2.5 cm longer at the back; puff:
1.4 to 1.8 of the seam, the cap 3 to 5 cm higher, the hem 2 to 4 cm lower (chosen values that worked). Cap: what lies
between the notches, its hem hollowed (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final, TypeAlias

from ...claims.sleeve import SleeveFits
from ...draft.board import Board
from ...draft.facings import closed_run
from ...draft.rulers import curve
from ...draft.sketch import Sketch
from ...draft.sleeve import LEAST_UNDERARM, Sleeve, SleeveOrder, draft_sleeve
from ...errors import DraftError, GeometryError
from ...geometry.path import Path, path_length
from ...geometry.point import Point, distance
from ...model.length import Length, cm, found, greatest, inch, least, mm
from ...model.piece import Cut, LineKind, Piece, sew
from ...values import dataclass, replace
from .part import Part, ruled
from .sleeve_styles import elbow_darted, flared, puffed, tip_only

Halves: TypeAlias = Piece | Sequence[Piece]
"""Front or back, each piece with an edge `armhole`: several are told from the underarm up to the shoulder."""
SLEEVES: Final = (
    "plain", "none", "puff", "puff cap", "puff hem", "gathered cap", "bishop", "bell", "flared", "elbow dart",
    "cap",
)  # fmt: skip
REACHES: Final = ("long", "three-quarter", "elbow", "short")
REACH: Final = {"long": 1.0, "three-quarter": 0.75, "elbow": 0.55, "short": 0.4}
"""How much of the arm it covers (common practice, no source)."""
NOTCH: Final = 0.42
"""The notches lie at this part of either armhole, from the underarm: there is no ease below them (common practice)."""
FLATTEST: Final = 1 / 6
"""A cap stands this part of its armhole high at least (worked rules, shirts)."""
CAP_EASE: Final = inch(1.25)
"""Sewing ease of a set-in cap (3/4 in and 1 1/2 in are printed; between them)."""
BICEPS_EASE: Final = inch(2)
WIDENED: Final = inch(1.5)
"""The usual wearing ease of a woven sleeve, and by how much more it is widened for a cap that would stand too high
(common practice, no source)."""
ELBOW_INTAKE: Final = cm(4)
"""What the elbow dart takes in at the wrist (common practice, no source)."""
_GATHERED: Final = {"puff": (40.0, 30.0, 1.6), "puff cap": (40.0, 0.0, 1.6), "gathered cap": (20.0, 0.0, 1.3)}
"""How much higher the cap is and how much lower the hem, mm, and the cap as a ratio of its seam (chosen values)."""
_FULLER: Final = {"bell": inch(8), "flared": inch(3), "bishop": inch(6), "puff hem": inch(6)}
"""How much longer the hem is: a bishop's three spreads of 2 in (a teaching page), a bell's four of 2 in, within 3 to 6
cm (chosen values that worked); the others common practice, no source."""
_FREE: Final = inch(2.5)
"""A sleeve whose length was not told has this much underarm seam (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Says:
    """What the garment calls the options that a sleeve hangs on, for what is told when one has to change."""

    ease: str = "ease_biceps"
    cap: str = "cap_ease"
    depth: str = "armhole_depth"
    long: str = "sleeve_long"
    wrist: str = "ease_wrist"


@dataclass(frozen=True, slots=True)
class Armhole:
    """An armhole as it will be sewn: how long in front and back, how high the shoulder stands over the underarm."""

    front: Length
    back: Length
    high: Length
    front_path: Path
    back_path: Path
    notches: tuple[Length, Length]
    """How far from the underarm those of front and back lie: ease begins there."""
    seam: tuple[str, ...]
    """Its edges from the front underarm round to the back."""
    at_shoulder: str
    ends: tuple[str, str]
    """What the places of the two notches are called on their edges."""

    @classmethod
    def of(cls, front: Halves, back: Halves) -> Armhole:
        """Measured with all darts closed."""
        sides = [(half,) if isinstance(half, Piece) else tuple(half) for half in (front, back)]
        runs = [[closed_run([piece.edge("armhole")])[0][0] for piece in side] for side in sides]
        fore, aft = (found(sum(map(path_length, run)), f"{word} armhole as drafted").called(f"{word} armhole")
                     for word, run in zip(("front", "back"), runs, strict=True))  # fmt: skip
        high = sum(abs(path[-1].end.y - path[0].start.y) for run in runs for path in run) / 2
        refs = [[f"{piece.name}.armhole" for piece in side] for side in sides]
        return cls(
            fore,
            aft,
            found(high, "shoulder above the underarm").called("shoulder height"),
            runs[0][0],
            runs[1][0],
            (_notch(sides[0][0], fore), _notch(sides[1][0], aft)),
            (*refs[0], *reversed(refs[1])),
            f"{refs[0][-1]} shoulder",
            (_place(sides[0][0]), _place(sides[1][0])),
        )

    @property
    def long(self) -> Length:
        return self.front + self.back

    def deeper(self, by: float) -> float:
        """How long it would be with the underarm so much lower, mm."""
        return sum(_lowered(path, by) - path_length(path) for path in (self.front_path, self.back_path)) + self.long.mm


def _notch(piece: Piece, armhole: Length) -> Length:
    """How far from the underarm its notch lies: where it has one, else at a part of the armhole."""
    edge = piece.edge("armhole")
    own = [found(edge.sewn(n.at), f"armhole notch of the {piece.name}") for n in piece.notches if n.edge == "armhole"]
    return own[0] if own else armhole * NOTCH


def _place(piece: Piece) -> str:
    own = [notch.name for notch in piece.notches if notch.edge == "armhole"]
    return own[0] if own else f"{NOTCH * 100:.0f}/100"


def _lowered(path: Path, by: float) -> float:
    """How long a run is with its lower end, and the handle there, moved down, mm."""
    first = path[0].controls()
    moved = (*(Point(p.x, p.y - by) for p in first[:2]), *first[2:]) if len(first) > 2 else (
        Point(first[0].x, first[0].y - by), first[1])  # fmt: skip
    return path_length((path[0].with_controls(moved), *path[1:]))


def sleeve(
    on: Board, kind: str, front: Halves, back: Halves, *, reach: str = "long", long: Length | None = None,
    ease_arm: Length | None = None, ease_cap: Length | None = None, hem: Length | None = None,
    usual_ease: Length = BICEPS_EASE, fuller: Length | None = None,
    fullness: float = 0.0, says: Says | None = None,
    to: Sequence[str] = (), cuff: Length | None = None,
) -> Part:  # fmt: skip
    """A sleeve of that kind, one of `SLEEVES`, for the finished halves; with its seams, and claims that it fits.

    `reach`, one of `REACHES`, or `long`: from the shoulder tip to its lower end. `ease_arm`: wearing ease round the
    upper arm; unless told `usual_ease`, 1 1/2 in more or down to 1 in where the cap asks for it. `ease_cap`: sewing
    ease, 1 1/4 in unless told. `hem`: its width there. `to`: the edges that it is sewn to from the front underarm to
    the back, where front and back were cut after it was fitted (a yoke). `cuff`: how deep the cuff or band is that will
    be sewn on; the sleeve is so much shorter. `fuller`: by how much the hem of a bell,
    flared, bishop or puffed one is longer than the plain one's; `fullness`: a gathered cap, of the armhole. Raises
    DraftError where no cap fits.
    """
    if kind == "none":
        return Part()
    says = says or Says()
    hole = Armhole.of(front, back)
    drawn_in = kind in ("puff", "puff cap", "gathered cap")
    easing = mm(0) if drawn_in else on.usual(CAP_EASE) if ease_cap is None else ease_cap
    if kind == "elbow dart":
        hem = (hem or _wrist(on)) + ELBOW_INTAKE
    plain = _Plain(on, hole, says, reach, long, ease_arm, easing, hem, usual_ease, cuff)
    drafted, claim = plain.draft()
    (arm,) = on.fitted(drafted)
    if arm is not drafted:
        claim = replace(claim, cap_height=found(arm.points["cap_top"].y - arm.edge("cap").start.y, "cap, as fitted"))
    if not easing.mm:  # asked for: shirts and knits have none
        claim = replace(claim, cap_wants=(0.0, 10.0))
    more = fuller or on.usual(_FULLER.get(kind, mm(0)))
    fore, aft = hole.front.mm, hole.back.mm
    if kind in ("bell", "flared", "puff hem"):
        arm = flared(arm, more.mm, low=30.0 if kind == "puff hem" else 0.0)
    elif kind == "bishop":
        arm = flared(arm, more.mm, low=25.0, at=0.4)
    elif drawn_in:
        up, low, ratio = _GATHERED[kind]
        try:
            arm = puffed(arm, fullness or ratio, up, fore=fore, aft=aft, hinged=kind == "puff cap", low=low)
        except GeometryError as error:
            on.refuse(f"the cap cannot be spread so much ({error})", f"the fullness to less, or {says.long} to more")
        on.note(f"Gather the cap of the sleeve between its notches, from {on.say(arm.edge('cap').length())} to the "
                f"{on.say(hole.long)} of the armhole.")  # fmt: skip
        claim = replace(claim, cap_wants=None)
    elif kind == "elbow dart":
        arm = elbow_darted(arm, (on.body.arm_length / 2 + cm(2.5)).mm, ELBOW_INTAKE.mm)
    if arm.levels:
        line = arm.levels[0].points
        wide = sum(distance(p, q) for p, q in pairwise(line))
        claim = replace(claim, biceps_line=found(wide, "biceps line"))
    if kind == "cap":
        return _tip(on, arm, claim, hole, easing, tuple(to) or hole.seam)
    if reach == "long" and long is None:
        wrist = found(arm.edge("hem").sewn_length(), "hem of the sleeve")
        claim = replace(claim, wrist=on.body.wrist_girth, wrist_opening=wrist, fist=on.body.hand_girth)
    arm = ruled(arm, "cap", "underarm_front", "underarm_back")
    seam = tuple(to) or hole.seam
    at_side = ("sleeve.cap underarm_front", f"{seam[0]} side")
    meets: list[str | tuple[str, str]] = [at_side, "sleeve.cap front"]
    meets += ["sleeve.cap shoulder" if to else ("sleeve.cap shoulder", hole.at_shoulder), "sleeve.cap back"]
    return Part(
        (arm,),
        (
            sew("underarm seam", "sleeve.underarm_front", to="sleeve.underarm_back"),
            sew("armhole seam", "sleeve.cap", to=seam, ease=easing.mm, meets=meets),
        ),
        (claim,),
    )


def flat_cap(s: Sketch, width: Length, high: Length, at: tuple[float, float], out: Length) -> None:
    """On a sheet, a cap without ease, as shirts and knits have it, over a biceps line `width` wide; `high` is where its
    fitting starts.

    From the underarm to the top, at the two parts of the way that `at` tells, it is hollowed by 7 mm in front and 5 mm
    in back, and raised by `out` and 1.5 cm (worked rules 4, of a French school; the hollows chosen values).
    """
    s.at("cap_top", up=high)
    s.at("underarm_front", right=width / 2)
    s.at("underarm_back", left=width / 2)
    s.between("hollow_front", "underarm_front", "cap_top", at[0], left=mm(7))
    s.between("raised_front", "underarm_front", "cap_top", at[1], right=out)
    s.between("raised_back", "underarm_back", "cap_top", at[1], left=cm(1.5))
    s.between("hollow_back", "underarm_back", "cap_top", at[0], right=mm(5))
    soft = curve("smooth", "smooth")
    s.edge("cap", "underarm_front", curve("square", "smooth"), "hollow_front", soft, "raised_front",
           curve("smooth", "level"), "cap_top", curve("level", "smooth"), "raised_back", soft, "hollow_back",
           curve("smooth", "square"), "underarm_back")  # fmt: skip


def _tip(on: Board, arm: Piece, claim: SleeveFits, hole: Armhole, easing: Length, run: tuple[str, ...]) -> Part:
    """A cap sleeve, sewn to the armhole from notch to notch; below them it stays free."""
    if len(run) != 2:
        on.refuse("a cap sleeve ends on the armhole, and here that is parted by a seam",
                  "the sleeve, or the seam that goes into the armhole")  # fmt: skip
    free = sum(notch.mm for notch in hole.notches)
    on.note("The cap sleeve ends at the notches of the armhole. Bind the armhole below it, from one to the other, with "
            "a bias strip.")  # fmt: skip
    meets = (
        (f"{run[0]} {hole.ends[0]}", "sleeve.cap start"), "sleeve.cap front",
        ("sleeve.cap shoulder", f"{run[0]} shoulder"), "sleeve.cap back",
        (f"{run[1]} {hole.ends[1]}", "sleeve.cap end"),
    )  # fmt: skip
    seam = sew("armhole seam", "sleeve.cap", to=run, how="eased" if easing.mm else None, ease=easing.mm, free=free,
               meets=meets)  # fmt: skip
    return Part((ruled(tip_only(arm), "cap"),), (seam,), (claim,), widths={"sleeve.hem": inch(0.5)})


def _wrist(on: Board) -> Length:
    """A hem at the wrist that the hand passes."""
    return greatest(on.body.wrist_girth + on.usual(inch(2)), on.body.hand_girth + cm(1))


@dataclass(frozen=True, slots=True)
class _Plain:
    """What is asked of the plain sleeve that every style starts from."""

    on: Board
    armhole: Armhole
    says: Says
    reach: str
    asked: Length | None
    ease_arm: Length | None
    ease_cap: Length
    hem: Length | None
    usual_ease: Length
    cuff: Length | None

    @property
    def usual(self) -> Length:
        """The wearing ease that was told, or the usual one."""
        return self.ease_arm or self.on.usual(self.usual_ease)

    def draft(self) -> tuple[Piece, SleeveFits]:
        """The piece, front to the right, and the claim that it fits."""
        on, hole, arm = self.on, self.armhole, self.on.body.upper_arm_girth
        s = on.sketch("sleeve", Cut("pair", 2), worn="arm")
        order = self._order()
        sleeve = self._fitted(order)
        ease = found(sleeve.biceps_line - arm.mm, "wearing ease")
        usual = self.usual
        if abs(ease.mm - usual.mm) > 0.05:
            on.note(
                f"The sleeve was drafted with {on.say(ease)} of wearing ease round the upper arm: with "
                f"{on.say(usual)} its cap would be too {'high' if ease > usual else 'flat'} for the armhole."
            )
            line = found(sleeve.biceps_line, "upper arm girth + {}, so that the cap fits", ease)
        else:
            line = arm + usual
        line = line.called("biceps line")
        s.tell(line, about="biceps line")
        for length in (hole.front, hole.back):
            s.tell(length, about="cap")
        s.tell(hole.long + self.ease_cap, "cap length", about="cap")
        height = found(sleeve.cap_height, "so that the cap is as long as that")
        s.tell(height, "cap height", about="cap")
        s.tell(found(sleeve.top.x, "from the middle, towards the front (towards the back if negative)"),
               "shoulder notch")  # fmt: skip
        s.tell(found(sleeve.length, "from the top of the cap to the hem"), "sleeve length", about="hem")
        s.tell(found(sleeve.hem_width, "across"), "sleeve hem", about="hem")
        s.trace("underarm_front", "hem_front", sleeve.underarm_front, "underarm_front")
        s.trace("cap", "underarm_front", (*sleeve.cap_front, *sleeve.cap_back), "underarm_back")
        s.trace("underarm_back", "underarm_back", sleeve.underarm_back, "hem_back")
        s.hem("hem", "hem_back", "hem_front")
        s.put("cap_top", sleeve.top)
        front_cap = mm(path_length(sleeve.cap_front))
        s.notch("cap", "front", "underarm_front", at=hole.notches[0])
        s.notch("cap", "shoulder", "underarm_front", at=front_cap)
        s.notch("cap", "back", "underarm_back", at=hole.notches[1], count=2)
        s.level("biceps", mm(0))
        s.line("biceps line", "underarm_back", "underarm_front", kind=LineKind.BALANCE)
        claim = SleeveFits(
            "sleeve", self.says.ease, "biceps", arm, line, hole.long, self.ease_cap, height, hole.high,
            cap_by=self.says.cap, armhole_by=self.says.depth, wrist_by=self.says.wrist,
        )  # fmt: skip
        return s.piece(), claim

    def _order(self) -> SleeveOrder:
        on, ease = self.on, self.usual
        length = self.asked or on.body.arm_length * REACH[self.reach]
        if self.cuff:
            length = length - self.cuff
        line = on.body.upper_arm_girth + ease
        return SleeveOrder(
            biceps_line=line.mm,
            front_armhole=self.armhole.front.mm,
            back_armhole=self.armhole.back.mm,
            cap_ease=self.ease_cap.mm,
            length=length.mm,
            shoulder_height=self.armhole.high.mm,
            hem_most=(self.hem or self._tapered(line, length)).mm,
            biceps_ease=ease.mm,
            may_widen=0.0 if self.ease_arm else on.usual(WIDENED).mm,
            may_lengthen=self.asked is None,
            least_underarm=LEAST_UNDERARM if self.asked else on.usual(_FREE).mm,
            ease_by=self.says.ease,
            depth_by=self.says.depth,
            length_by=self.says.long,
        )

    def _tapered(self, line: Length, length: Length) -> Length:
        """The width of a hem on the straight way from the biceps line to a wrist that the hand passes."""
        body = self.on.body
        wrist = least(line, body.wrist_girth + self.on.usual(inch(3)))
        cap = self.armhole.long / 3
        below = max(0.0, (length - cap).over(body.arm_length - cap))
        return line - (line - wrist) * min(below, 1.0)

    def _fitted(self, order: SleeveOrder) -> Sleeve:
        """The sleeve; narrower, if it may be, where its cap were flatter than a sixth of the armhole."""

        def by(less: Length, widen: float = 0.0) -> Sleeve:
            narrower = replace(order, biceps_line=order.biceps_line - less.mm, biceps_ease=order.biceps_ease - less.mm,
                               may_widen=widen)  # fmt: skip
            return draft_sleeve(narrower, self.on.unit, self.armhole.deeper)

        flattest = (self.armhole.long * FLATTEST).mm

        def lack(less: Length) -> float:
            try:
                return flattest - by(less).cap_height
            except DraftError as error:
                return flattest if "too big for the armhole" in str(error) else -flattest

        most = mm(0) if self.ease_arm else greatest(mm(0), self.usual - self.on.usual(inch(1)))
        less = self.on.solve(
            mm(0), most, lack=lack, so_that="so that the cap is no flatter than a sixth of the armhole"
        )
        sleeve = by(less, 0.0 if less.mm else order.may_widen)
        if sleeve.cap_height < flattest - 0.1:
            self.on.refuse(f"the cap of the sleeve, {self.on.say(sleeve.cap_height)} high, is flatter than a sixth of "
                           f"the armhole, {self.on.say(self.armhole.long)}",
                           f"{self.says.ease} to less, or {self.says.depth} to more")  # fmt: skip
        return sleeve
