"""What a device gets wrong, measured on its printed scale block, and the map that puts it right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isclose, sqrt
from typing import Final, TypeAlias

from ..errors import InputError
from ..values import dataclass, replace

XY: TypeAlias = tuple[float, float]

SQUARE: Final = 100.0
"""Side of the printed square, mm; what is measured is told for it unless a longer length is named."""
WARN: Final = 0.005
"""More than this, as a part, is worth a second look (common practice, no source: ±0.5 mm on 100 mm)."""
REFUSE: Final = 0.03
"""More than this is no fault of a machine: something scales the page (common practice, no source)."""
MISFIT: Final = 0.003
"""The lengths of one skewed square agree this well, as a part; else one of them was read wrongly (derived: 0.3 mm)."""

_KNOWN: Final = (
    (0.9407, "an A4 page fitted on Letter (279.4 ÷ 297)"),
    (0.9727, "a Letter page fitted on A4 (210 ÷ 215.9)"),
    (0.960, "an A4 page shrunk into margins of 4.2 mm (201.6 ÷ 210)"),
    (0.75, "72 dots an inch read as 96"),
    (4 / 3, "96 dots an inch read as 72"),
    (0.9375, "90 dots an inch read as 96"),
    (1.0667, "96 dots an inch read as 90"),
    (0.5, "two pages printed on one sheet"),
    (0.7071, "A3 printed on A4, or two A4 pages on one sheet"),
    (1.4142, "A4 enlarged to A3"),
    (1.016, "1016 plotter units an inch taken for 1000"),
    (1000 / 1016, "1000 plotter units an inch taken for 1016"),
    (25.4 / 10, "centimetres taken for inches"),
    (10 / 25.4, "inches taken for centimetres"),
)
"""Factors that a setting leaves on a print, and which (derived from the sizes of paper and units)."""
_NEAR: Final = 0.0035


@dataclass(frozen=True, slots=True)
class Correction:
    """A point (x, y) of the sheet, mm, x across and y along, is sent as (xx x + xy y, yx x + yy y)."""

    xx: float = 1.0
    xy: float = 0.0
    yx: float = 0.0
    yy: float = 1.0

    @property
    def identity(self) -> bool:
        """Whether nothing is changed."""
        return (self.xx, self.xy, self.yx, self.yy) == (1.0, 0.0, 0.0, 1.0)

    @property
    def matrix(self) -> tuple[float, float, float, float]:
        return self.xx, self.xy, self.yx, self.yy

    def point(self, p: XY) -> XY:
        """A point of the sheet as it is sent."""
        return self.xx * p[0] + self.xy * p[1], self.yx * p[0] + self.yy * p[1]

    def points(self, line: Iterable[XY]) -> tuple[XY, ...]:
        """All points of a line as they are sent."""
        xx, xy, yx, yy = self.matrix
        return tuple([(xx * x + xy * y, yx * x + yy * y) for x, y in line])

    def bounds(self, width: float, height: float) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of a sheet of that size as it is sent, mm."""
        xs, ys = zip(*self.points(((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))), strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def undone(self) -> Correction:
        """The map back."""
        det = self.xx * self.yy - self.xy * self.yx
        return Correction(self.yy / det, -self.xy / det, -self.yx / det, self.xx / det)

    def after(self, first: Correction) -> Correction:
        """This one after another: what a device that has a correction already, and is measured again, gets."""
        a, b = self, first
        return Correction(
            a.xx * b.xx + a.xy * b.yx, a.xx * b.xy + a.xy * b.yy, a.yx * b.xx + a.yy * b.yx, a.yx * b.xy + a.yy * b.yy
        )

    def words(self) -> str:
        """What is printed on a sheet.

        >>> Correction(1.004, 0.0, 0.0, 0.998).words()
        'across +0.40 %, along -0.20 %'
        """
        said = f"across {self.xx - 1:+.2%}, along {self.yy - 1:+.2%}".replace("%", " %")
        skew = self.xy + self.yx
        return said + (f", skew {skew * 100:+.2f} mm on 100 mm" if abs(skew) >= 5e-5 else "")


@dataclass(frozen=True, slots=True)
class Calibration:
    """The correction that measured lengths ask for, and what there is to say of them."""

    correction: Correction
    misfit: float
    """How far the lengths are from those of one skewed square, at most, mm on 100 mm."""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """What was measured on one printed square of 100 mm, mm; of the diagonals the first rises to the right."""

    across: float
    along: float
    diagonals: tuple[float, float] | None = None

    @property
    def lengths(self) -> tuple[float, ...]:
        return self.across, self.along, *(self.diagonals or ())

    @property
    def exchanged(self) -> Reading:
        """The same with its diagonals read as each other."""
        return replace(self, diagonals=self.diagonals[::-1] if self.diagonals else None)

    @property
    def unlike(self) -> float:
        """How much longer the first diagonal is than the second, mm; 0 if they were not measured."""
        return self.diagonals[0] - self.diagonals[1] if self.diagonals else 0.0

    @property
    def off(self) -> float:
        """How far the length that is most off is from that of a true square, mm."""
        true = (SQUARE, SQUARE, SQUARE * sqrt(2), SQUARE * sqrt(2))
        return max(abs(length - meant) for length, meant in zip(self.lengths, true, strict=False))

    def words(self) -> str:
        """`99.6 across, 100.2 along, 141.1 and 141.5 diagonals`."""
        both = f", {self.diagonals[0]:g} and {self.diagonals[1]:g} diagonals" if self.diagonals else ""
        return f"{self.across:g} across, {self.along:g} along{both}"

    def options(self) -> str:
        """As it is typed."""
        both = f" --diagonals {self.diagonals[0]:g} {self.diagonals[1]:g}" if self.diagonals else ""
        return f"--across {self.across:g} --along {self.along:g}{both}"

    def near(self, other: Reading) -> bool:
        """Whether both may be of one and the same print: as near as a steel rule is read twice."""
        return all(abs(a - b) <= _READ for a, b in zip(self.lengths, other.lengths, strict=False))


_READ: Final = 0.15
"""Two readings of one length lie within this, mm (derived: read to 0.1 mm, at both ends)."""
_SEEN: Final = 0.35
"""What is off by less cannot be told from the error of reading, mm on 100 mm (derived: more than twice the above)."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a reading had better not be taken on top of a correction, and what to do instead."""

    found: str
    expected: str
    instead: str


def doubt(reading: Reading, before: Sequence[Reading], device: str) -> Doubt | None:
    """What speaks against taking a reading on top of the correction that was made from those before; None: nothing.

    A reading on top is meant to be of a print that was made with the correction, so its sides are near 100 mm and its
    diagonals alike. It is not if it is the reading that made the correction (typed again, or of a print without it);
    and where the first reading had its diagonals exchanged, or across taken for along, the corrected print is off by
    twice as much. From one reading alone neither can be seen: a square that leans to the left has the very lengths of
    one that leans to the right, exchanged. What lies within the error of reading is not doubted.
    """
    if not before:
        return None
    printed = "a print that was made with the correction: its sheet says “corrected for”"
    again = f"Print again and measure that; or write oaktag calibrate {device} --forget, to begin anew"
    for old in before:
        same = len(old.lengths) == len(reading.lengths) and all(map(isclose, old.lengths, reading.lengths))
        if old.off > _READ / 2 and same:
            found = f"this very reading ({old.words()}) made the correction of {device}: on top of it, it counts twice"
            return Doubt(found, printed, again)
        if old.off >= _SEEN and reading.near(old):
            return Doubt(
                f"this is within {_READ:g} mm of a reading that made the correction of {device} ({old.words()}): "
                "perhaps of a print that was made without it",
                printed, again,
            )  # fmt: skip
        if abs(old.unlike) >= _SEEN and reading.diagonals is not None and reading.near(old.exchanged):
            return Doubt(
                f"this is a reading that made the correction of {device} ({old.words()}), with the diagonals exchanged",
                "the diagonal that rises to the right first, and " + printed, again,
            )  # fmt: skip
    last = before[-1]
    if abs(last.unlike) >= _SEEN and abs(abs(reading.unlike) - 2 * abs(last.unlike)) <= 2 * _READ:
        return Doubt(
            f"the diagonals differ by {abs(reading.unlike):.1f} mm, twice as much as in the reading before "
            f"({last.words()}): so a correction makes the skew if its diagonals were exchanged when they were read",
            "diagonals that are alike once they are corrected", _begin_anew(last.exchanged, before, device),
        )  # fmt: skip
    turned = Reading(SQUARE * last.along / last.across, SQUARE * last.across / last.along)
    if abs(last.across - last.along) >= _SEEN and reading.near(turned):
        meant = replace(last, across=last.along, along=last.across)
        return Doubt(
            f"the sides are twice as far apart as in the reading before ({last.words()}): so a correction makes them "
            "if across was taken for along",
            "100 mm each way once they are corrected", _begin_anew(meant, before, device),
        )  # fmt: skip
    return None


def _begin_anew(meant: Reading, before: Sequence[Reading], device: str) -> str:
    if len(before) > 1:
        return f"Write oaktag calibrate {device} --forget, print, and measure anew"
    return f"Write oaktag calibrate {device} --forget, then oaktag calibrate {device} {meant.options()}"


def calibrated(across: float, along: float, diagonals: tuple[float, float] | None = None) -> Calibration:
    """The correction by which a square of 100 mm comes out square and 100 mm, from its lengths as printed, mm.

    `across` and `along` are its sides across and along the way of the paper; of the diagonals the first rises from
    lower left to upper right. Scale in both directions and skew are fitted by least squares: three numbers to four
    lengths (one Gauss-Newton step after another). Without diagonals the skew is taken to be none.
    Raises InputError for lengths that only a print setting can have made, with its name, and for such as do not
    belong to one square.
    """
    lengths = {"--across": across, "--along": along}
    if diagonals is not None:
        lengths |= {
            "the first of --diagonals": diagonals[0] / sqrt(2),
            "the second of --diagonals": diagonals[1] / sqrt(2),
        }
    for name, length in lengths.items():
        if not 0 < length < 10 * SQUARE:
            raise InputError(f"{name} is {length:g} mm", expected="a length measured on the 100 mm square")
    _refuse_setting(across, along, diagonals)
    a, c, s = across / SQUARE, along / SQUARE, 0.0
    misfit = 0.0
    warnings: list[str] = []
    if diagonals is not None:
        a, c, s = _fitted(across / SQUARE, along / SQUARE, diagonals[0] / SQUARE, diagonals[1] / SQUARE)
        misfit = SQUARE * max(map(abs, _residuals(a, c, s, across, along, *diagonals)))
        if misfit > MISFIT * SQUARE:
            raise InputError(
                f"no square has sides of {across:g} and {along:g} mm and diagonals of {diagonals[0]:g} and "
                f"{diagonals[1]:g} mm: they are {misfit:.1f} mm from any",
                expected="four lengths of the same printed square",
                instead="Measure again; the diagonals of a true square are 141.4 mm",
            )
    else:
        warnings.append("Without --diagonals skew is not seen; measure both to be sure.")
    for name, off in (("across", a - 1), ("along", c - 1)):
        if abs(off) > WARN:
            warnings.append(
                f"{abs(off):.1%} {'too long' if off > 0 else 'too short'} {name} is much for a machine. Look for a "
                "setting that scales, and measure again, before you rely on a correction."
            )
    # The printed square: (a, 0) and (s, c) for its two sides. Its inverse is what puts it right.
    return Calibration(Correction(1 / a, -s / (a * c), 0.0, 1 / c), misfit, tuple(warnings))


def _refuse_setting(across: float, along: float, diagonals: tuple[float, float] | None) -> None:
    for name, length in (("--across", across), ("--along", along)):
        part = length / SQUARE
        if abs(part - 1) <= REFUSE and not _setting_of(across, along):
            continue
        factor, words = min(_KNOWN, key=lambda known: abs(part - known[0]))
        known = words if abs(part - factor) <= _NEAR else ""
        said = f"{length:g} mm is {known}" if known else f"{length:g} mm is {abs(part - 1):.1%} off"
        raise InputError(
            f"{name}: {said}. That is a print setting, not a fault of the machine",
            expected=f"{SQUARE * (1 - REFUSE):g} to {SQUARE * (1 + REFUSE):g} mm",
            instead="Print again at 100 % (“actual size”), with nothing fitted or scaled, and measure again",
        )
    if diagonals is not None:
        for length in diagonals:
            if abs(length / (SQUARE * sqrt(2)) - 1) > REFUSE:
                raise InputError(
                    f"--diagonals: {length:g} mm is {abs(length / (SQUARE * sqrt(2)) - 1):.1%} off",
                    expected="about 141.4 mm, from corner to corner of the 100 mm square",
                    instead="Measure both diagonals of the same square",
                )


def _setting_of(across: float, along: float) -> bool:
    """Whether both directions show one and the same factor of a setting that lies within what a machine may err."""
    parts = across / SQUARE, along / SQUARE
    return any(
        all(abs(part - factor) <= _NEAR / 2 for part in parts) for factor, _ in _KNOWN if abs(factor - 1) <= REFUSE
    )


def _residuals(
    a: float, c: float, s: float, across: float, along: float, first: float, second: float
) -> tuple[float, float, float, float]:
    """Measured less modelled, as parts of 100 mm."""
    return (
        across / SQUARE - a,
        along / SQUARE - sqrt(s * s + c * c),
        first / SQUARE - sqrt((a + s) ** 2 + c * c),
        second / SQUARE - sqrt((a - s) ** 2 + c * c),
    )


def _fitted(across: float, along: float, first: float, second: float) -> tuple[float, float, float]:
    """a, c, s of the square with sides (a, 0) and (s, c), in least squares (Gauss-Newton on the normal equations)."""
    a, c, s = across, along, (first * first - second * second) / (4 * across)
    for _ in range(20):
        l1, l2, l3 = sqrt(s * s + c * c), sqrt((a + s) ** 2 + c * c), sqrt((a - s) ** 2 + c * c)
        rows = (
            (1.0, 0.0, 0.0, across - a),
            (0.0, c / l1, s / l1, along - l1),
            ((a + s) / l2, c / l2, (a + s) / l2, first - l2),
            ((a - s) / l3, c / l3, -(a - s) / l3, second - l3),
        )
        normal = [
            [sum(r[i] * r[j] for r in rows) for j in range(3)] + [sum(r[i] * r[3] for r in rows)] for i in range(3)
        ]
        da, dc, ds = _solved(normal)
        a, c, s = a + da, c + dc, s + ds
        if max(abs(da), abs(dc), abs(ds)) < 1e-12:
            break
    return a, c, s


def _solved(rows: list[list[float]]) -> tuple[float, float, float]:
    """Three equations by elimination; well conditioned here, as the four lengths of a square always are."""
    for i in range(3):
        pivot = rows[i][i]
        rows[i] = [value / pivot for value in rows[i]]
        for j in range(3):
            if j != i:
                rows[j] = [value - rows[j][i] * by for value, by in zip(rows[j], rows[i], strict=True)]
    return rows[0][3], rows[1][3], rows[2][3]
