"""Children's clothes: cords, small parts, and whether the head passes. It reminds, and does not certify.

Read were, of EN 14682 (cords), a public authority's page and a summary of the 2007 edition, of later ones their scope
alone; of the US 16 CFR 1120 (76 FR 42502, 2011) with ASTM F1816-97, as the authority tells them. What was read is an
error where it is not kept, what is from memory a warning. Ages go by stature, as sizes do.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterator, Mapping
from typing import Final

from ..model.claim import Claim, told
from ..model.cord import Cord, Place
from ..model.finding import Finding, Severity
from ..model.length import Length
from ..model.pattern import Pattern
from ..units import INCH, Unit, show, show_at_most
from ..values import dataclass
from .measure import round_length
from .openings import Passes

YOUNG: Final = 1340.0
"""Up to this stature, mm, a child is "young": up to 7 years (EN 14682)."""
SMALL: Final = 980.0
"""This stature, mm, stands for 3 years (a public list of sizes); below that age small parts are swallowed."""
END_OUT: Final = 140.0
END_DRAWN: Final = 280.0
"""Each end at waist or lower edge, out of its channel at full width, and drawn in, mm (EN 14682)."""
US_END: Final = 3 * INCH
"""The same of outerwear in the US, at full width, mm: 3 in (16 CFR 1120, ASTM F1816-97; sizes 2T to 16)."""
LOOP: Final = 150.0
"""Round a loop at hood or neck of older children, as worn, mm (EN 14682)."""
SASH: Final = 360.0
"""From where a sash is tied, mm (EN 14682, from memory: in front or at the side, young children)."""
HEAD_MORE: Final = 20.0
"""A neck of woven cloth that is pulled on is wider than the head by this, mm (derived; a child's head is ± 20 mm)."""
SAME: Final = 0.05
"""Two lengths this near are one, mm: 3 in are 76.2 mm."""
PULL: Final = "70 to 90 N (7 to 9 kg) for 10 seconds"
"""What a button is pulled with (practice of the trade, no law's number)."""
_READ, _MEMORY = "EN 14682, by a summary of 2007", "EN 14682, from memory"


@dataclass(frozen=True, slots=True)
class _Most:
    """How far an end may hang out there, mm, on young and on older children."""

    young: float
    older: float
    severity: Severity
    source: str
    words: str


_PLACES: Final[Mapping[Place, _Most]] = {
    "waist": _Most(END_OUT, END_OUT, Severity.ERROR, _READ, "at the waist"),
    "hem": _Most(END_OUT, END_OUT, Severity.ERROR, _READ, "at the lower edge"),
    "leg": _Most(0.0, 0.0, Severity.ERROR, _READ, "at a lower edge below the crotch, from which none may hang"),
    "ankle": _Most(0.0, 0.0, Severity.ERROR, _READ, "at the ankle, where cords lie inside"),
    "back": _Most(0.0, 0.0, Severity.ERROR, _READ, "behind, where none may come out"),
    "sleeve": _Most(75.0, END_OUT, Severity.WARNING, _MEMORY, "above the elbow"),
    "cuff": _Most(0.0, 0.0, Severity.WARNING, _MEMORY, "at the end of a long sleeve, where cords lie inside"),
    "shoulder": _Most(END_OUT, END_OUT, Severity.WARNING, _MEMORY, "on the shoulder"),
}
_TAB: Final = _Most(100.0, 100.0, Severity.WARNING, _MEMORY, "buttoned over")


@dataclass(frozen=True, slots=True)
class ByStature(Claim):
    """Judged by the child's stature, which stands for the age."""

    stature: Length

    @property
    def young(self) -> bool:
        return self.stature.mm <= YOUNG + SAME

    def named(self, cord: Cord, held: bool, measured: float, limit: float, say: str, do: str, severity: Severity,
              part: str = "") -> Finding:  # fmt: skip
        """A finding about one cord."""
        name = cord.name.replace(" ", "-")
        return self.finding(held, round(measured, 1), limit, say, do, severity, f"{part}.{name}" if part else name)


@dataclass(frozen=True, slots=True)
class OfCords(ByStature):
    """About the cords that the draft declares; in a set of sizes that crosses 7 years, by the rule of the youngest."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        for cord in pattern.draft.cords:
            yield from self.of(cord, pattern.unit)

    @abstractmethod
    def of(self, cord: Cord, unit: Unit) -> Iterator[Finding]:
        """The findings of one cord."""


@dataclass(frozen=True, slots=True)
class NoCordAtNeck(OfCords):
    """Nothing is tied or drawn at hood or neck, in front or behind, up to 7 years: an error. Above, no free ends and no
    loop of more than 150 mm round: a warning."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        cords = [cord for cord in pattern.draft.cords if cord.at_head]
        if not cords:
            yield self.finding(True, 0, 0, "no cord or tie is declared at hood or neck.", "")
        for cord in cords:
            yield from self.of(cord, pattern.unit)

    def of(self, cord: Cord, unit: Unit) -> Iterator[Finding]:
        if not cord.at_head:
            return
        end, loop = cord.end.mm, 0.0 if cord.loop is None else cord.loop.mm
        to = show(YOUNG, unit)
        if self.young:
            say = f"{cord.name}: to {to} of stature, 7 years, nothing is tied or drawn at hood or neck ({_READ})."
            do = _do(cord, "leave it off, and close the neck with buttons or a zip.", unit, 0.0)
            yield self.named(cord, False, end, 0.0, say, do, Severity.ERROR)
            return
        say = f"{cord.name}: its ends hang {show(end, unit)}; above {to} of stature what is tied or drawn at hood or "
        say += f"neck has no free ends ({_READ})"
        if cord.runs:
            say += "; on outerwear in the US there is no drawstring, to size 12 (16 CFR 1120, ASTM F1816-97)"
        do = _do(cord, "sew them down.", unit, 0.0)
        yield self.named(cord, end <= SAME, end, 0.0, f"{say}.", do, Severity.WARNING)
        say = f"{cord.name}: a loop of {show(loop, unit)} round; {show_at_most(LOOP, unit)} at most as worn ({_READ})."
        do = "Shorten it, and let none stand out when the garment lies open."
        if loop:
            yield self.named(cord, loop <= LOOP + SAME, loop, LOOP, say, do, Severity.WARNING, "loop")


@dataclass(frozen=True, slots=True)
class CordEnds(OfCords):
    """How far free ends hang out, at full width and drawn in; without knots, and a drawstring sewn fast in its run."""

    def of(self, cord: Cord, unit: Unit) -> Iterator[Finding]:
        if cord.at_head or cord.kind == "sash":
            return
        at = _TAB if cord.kind == "tab" else _PLACES[cord.where]
        most, end = at.young if self.young else at.older, cord.end.mm
        limit = f"{show_at_most(most, unit)} at most" if most else "none may hang out"
        say = f"{cord.name}: each end hangs out {show(end, unit)} {at.words}; {limit} ({at.source})."
        do = _do(cord, "shorten it." if most else "let it end inside.", unit, most)
        yield self.named(cord, end <= most + SAME, end, most, say, do, at.severity)
        if cord.drawn is not None and cord.goes_round:
            drawn = cord.drawn.mm
            say = f"{cord.name}: drawn in, each end hangs out {show(drawn, unit)}; "
            say += f"{show_at_most(END_DRAWN, unit)} at most ({_READ})."
            do = _do(cord, "shorten it.", unit, max(0.0, end + END_DRAWN - drawn))
            yield self.named(cord, drawn <= END_DRAWN + SAME, drawn, END_DRAWN, say, do, Severity.ERROR, "drawn")
        if cord.runs and cord.goes_round and end <= most + SAME:
            say = f"{cord.name}: of outerwear in the US each end hangs out {show_at_most(US_END, unit)} at most "
            say += "(16 CFR 1120, ASTM F1816-97)."
            do = f"These hang out {show(end, unit)}."
            yield self.named(cord, end <= US_END + SAME, end, US_END, say, do, Severity.INFO, "us")
        if end and cord.kind != "tab":
            say = f"{cord.name}: its free ends have no knots, toggles or beads ({_READ})."
            do = "These have: take them off, and stitch or fuse the ends."
            yield self.named(cord, not cord.knotted, float(cord.knotted), 0.0, say, do, Severity.ERROR, "knots")
        if cord.runs:
            say = f"{cord.name}: sewn fast in the middle of its run ({_READ}; ASTM F1816-97)."
            do = "This is not: bar-tack it there, so that neither end can be pulled longer."
            yield self.named(cord, cord.tacked, float(cord.tacked), 1.0, say, do, Severity.WARNING, "tack")


@dataclass(frozen=True, slots=True)
class SashLength(OfCords):
    """From where it is tied, a sash hangs 360 mm at most on young children: a warning, from memory."""

    def of(self, cord: Cord, unit: Unit) -> Iterator[Finding]:
        if cord.at_head or cord.kind != "sash":
            return
        end = cord.end.mm
        say = f"{cord.name}: its ends hang {show(end, unit)} from where it is tied; to {show(YOUNG, unit)} of stature "
        say += f"{show_at_most(SASH, unit)} at most, and none below the hem ({_MEMORY})."
        do = _do(cord, "shorten it, or tie a bow that is sewn down.", unit, SASH)
        yield self.named(cord, end <= SASH + SAME or not self.young, end, SASH, say, do, Severity.WARNING)


@dataclass(frozen=True, slots=True)
class SmallParts(ByStature):
    """What is sewn on by the piece and can be swallowed under 3 years: a warning to sew it on firmly."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        parts = [notion for notion in pattern.draft.notions if notion.count]
        count = sum(notion.count for notion in parts)
        named = ", ".join(f"{n.count} {n.name}{'s' if n.count > 1 else ''}" for n in parts)
        at = show(SMALL, pattern.unit)
        say = f"small parts: {named or 'none is declared'}."
        do = f"To {at} of stature, 3 years, what comes off is swallowed: sew each so that it stands a pull of {PULL} "
        do += "(practice of the trade); none of wood, shell, glass or leather, no toggles; covered ones are stitched "
        do += "through. Where you can, do without."
        held = not count or self.stature.mm > SMALL + SAME
        yield Finding(self.id, Severity.WARNING, held, count, 0, "pieces", say if held else f"{say} {do}")


@dataclass(frozen=True, slots=True)
class HeadPasses(Claim):
    """A neck that is pulled on is 20 mm wider than the head in woven cloth, and as wide when stretched in knit; told is
    also where a garment is cut to the neck, has nothing that opens, and claims nothing of the head."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        draft, unit = pattern.draft, pattern.unit
        of_head = [claim for claim in draft.claims if _is_of_head(claim)]
        for claim in of_head:
            if isinstance(claim, Passes):
                more = 0.0 if claim.stretch else HEAD_MORE
                wide, least = round_length(pattern, claim.edges) * (1 + claim.stretch), claim.body.mm + more
                say = f"the {claim.opening} is {show(wide, unit)} round, and is pulled over a head of "
                say += f"{show(claim.body.mm, unit)}."
                do = f"{show(least, unit)} is wanted: {told(claim.change, unit, more=least - wide)}"
                yield self.finding(wide >= least - SAME, round(wide, 1), round(least, 1), say, do, Severity.WARNING)
        if not of_head and not draft.notions and {"neck_base_girth", "neck_girth"} & set(draft.uses):
            say = "it is cut to the neck, and nothing that opens is declared."
            do = f"Measure the neckline before you cut: pulled on, it is {show(HEAD_MORE, unit)} wider than the head."
            yield self.finding(False, 0, 0, say, do, Severity.INFO)


@dataclass(frozen=True, slots=True)
class Reminds(Claim):
    """Says once, beside whatever of these is not kept, that the law counts and not this: a note."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        safe = (ByStature, HeadPasses)
        count = sum(not f.passed for c in pattern.draft.claims if isinstance(c, safe) for f in c.check(pattern))
        say = (
            "what is told of children's safety is a reminder: the law where it is worn or sold counts, and the edition "
        )
        say += "of a standard that is in force."
        yield Finding(self.id, Severity.INFO, not count, count, 0, "told", say if not count else f"{say} Look them up.")


def _is_of_head(claim: Claim) -> bool:
    """Whether one of its lengths hangs on the girth of the head."""
    return any(leaf.name == "head_girth" for length in claim.lengths().values() for leaf in length.leaves())


def _do(cord: Cord, usual: str, unit: Unit, most: float) -> str:
    """What to change: as the garment says, or else this."""
    words = cord.change.format(most=show_at_most(most, unit)) or usual
    return words[:1].upper() + words[1:]


def safety(stature: Length) -> tuple[Claim, ...]:
    """What is claimed of every garment for a child of that stature."""
    return (
        Reminds("safety.reminds", ""),
        NoCordAtNeck("safety.neck-cords", "", stature),
        CordEnds("safety.cord-ends", "", stature),
        SashLength("safety.sash", "", stature),
        SmallParts("safety.small-parts", "", stature),
        HeadPasses("safety.head", ""),
    )


def reminders(unit: Unit) -> tuple[str, ...]:
    """What is told once, before all findings."""
    ages = f"to {show(YOUNG, unit)} stands for up to 7 years, to {show(SMALL, unit)} for up to 3"
    first = (
        f"Safety of children's clothes: this reminds, it does not certify. It goes by stature: {ages}. Read were a "
        "public page on EN 14682 and a summary of its edition of 2007 (there are later ones), and what the authority "
        "tells of 16 CFR 1120 and ASTM F1816-97; what is from memory says so. The law and the edition in force where "
        "it is worn or sold count, not this: look them up. A cord or bow that you add yourself is not known here."
    )
    asleep = (
        "If a child sleeps in it, rules on burning count besides: 16 CFR 1615 and 1616 in the US, EN 14878 in Europe "
        "(from memory). Loose cloth catches fire: keep it from flames and heaters."
    )
    return first, asleep
