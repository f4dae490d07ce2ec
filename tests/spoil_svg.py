"""Damage to SVG: pattern.svg of a dress and of a nest, and lay.svg."""

from __future__ import annotations

import re
from collections.abc import Callable

from spoil import Kind

Change = Callable[[bytes], bytes]


def swap(old: str, new: str, *, every: bool = False) -> Change:
    """Text for text, at the first place or at all."""
    return lambda data: data.replace(old.encode(), new.encode(), -1 if every else 1)


def regex(pattern: str, new: str, count: int = 1) -> Change:
    return lambda data: re.sub(pattern, new, data.decode(), count=count, flags=re.DOTALL).encode()


def without(role: str) -> Change:
    """Without the group of a role."""
    return regex(rf'<g id="{role}".*?</g>\n', "")


def drawn(id_: str, change: Callable[[str], str]) -> Change:
    """The path data of one path, changed."""

    def spoil(data: bytes) -> bytes:
        return re.sub(
            rf'(<path id="{re.escape(id_)}"[^>]* d=")([^"]*)', lambda m: m[1] + change(m[2]), data.decode(), count=1
        ).encode()

    return spoil


def moved(d: str, dx: float, dy: float, part: int | None = None) -> str:
    """Path data moved, all of it or one of its lines."""

    def by(match: re.Match[str]) -> str:
        return f"{match[1]}{float(match[2]) + dx:.4f} {float(match[3]) + dy:.4f}"

    lines = ["M" + line for line in d.split("M")[1:]]
    return "".join(
        re.sub(r"([ML])(-?[\d.]+) (-?[\d.]+)", by, line) if part in (None, i) else line for i, line in enumerate(lines)
    )


def without_line(d: str, part: int) -> str:
    lines = d.split("M")[1:]
    return "".join("M" + line for i, line in enumerate(lines) if i != part % len(lines))


def turned(d: str, part: int, degrees: float) -> str:
    """One line of path data turned about its first point."""
    from math import cos, radians, sin

    lines = d.split("M")[1:]
    points = re.findall(r"(-?[\d.]+) (-?[\d.]+)", lines[part])
    ax, ay = map(float, points[0])
    c, s = cos(radians(degrees)), sin(radians(degrees))
    new = [
        f"{ax + c * (float(x) - ax) - s * (float(y) - ay):.4f} {ay + s * (float(x) - ax) + c * (float(y) - ay):.4f}"
        for x, y in points
    ]
    lines[part] = " L".join(new) + " "
    return "".join("M" + line for line in lines)


def exchanged(a: str, b: str) -> Change:
    """The names of two paths exchanged."""

    def spoil(data: bytes) -> bytes:
        text = data.decode()
        return (
            text.replace(f'id="{a}"', 'id="?"')
            .replace(f'id="{b}"', f'id="{a}"')
            .replace('id="?"', f'id="{b}"')
            .encode()
        )

    return spoil


def piece_moved(name: str, dx: float, dy: float) -> Change:
    """All paths of a piece moved on the sheet."""
    return lambda data: re.sub(
        rf'(<path id="{name}\.[^"]*"[^>]* d=")([^"]*)', lambda m: m[1] + moved(m[2], dx, dy), data.decode()
    ).encode()


def reordered(data: bytes) -> bytes:
    groups = re.findall(rb"<g id=.*?</g>\n", data, re.DOTALL)
    head, tail = data.split(groups[0])[0], data.split(groups[-1])[1]
    return head + b"".join(reversed(groups)) + tail


def veed(d: str, part: int) -> str:
    """A slit made a V."""
    lines = d.split("M")[1:]
    (ax, ay), (bx, by) = (tuple(map(float, p)) for p in re.findall(r"(-?[\d.]+) (-?[\d.]+)", lines[part]))
    lines[part] = f"{ax} {ay - 2} L{bx} {by} L{ax} {ay + 2} "
    return "".join("M" + line for line in lines)


ROLES = ("stitch-line", "fold-line", "notches", "drill-holes", "darts", "internal-lines", "grain-line", "lettering")
LAID = ("notches", "drill-holes", "darts", "internal-lines", "grain-line", "lettering", "cut-line")
SVG, LAY = "pattern.svg", "lay.svg"
SIZE = r'width="([\d.]+)mm" height="([\d.]+)mm"'
CUT, NOTCH = 'stroke="#16181d" stroke-width="0.5"', 'stroke="#16181d" stroke-width="0.4"'
DASHED = r'(data-size="\d+") stroke-dasharray="[^"]*"'
CLIP = '<clipPath id="c"><path d="M0 0H9V9Z"/></clipPath><g clip-path="url(#c)" id="cut-line"'
KINDS: tuple[Kind, ...] = (
    *(Kind(f"without its {role}", SVG, without(role)) for role in (*ROLES, "cut-line", "scale-block")),
    Kind("width and height without mm", SVG, regex(SIZE, r'width="\1" height="\2"')),
    Kind("width and height in px", SVG, regex(SIZE, r'width="\1px" height="\2px"')),
    Kind("width and height in %", SVG, regex(r'width="[\d.]+mm" height="[\d.]+mm"', 'width="100%" height="100%"')),
    Kind("the height half", SVG, regex(r'height="[\d.]+mm"', 'height="500mm"')),
    Kind("without a viewBox", SVG, regex(r' viewBox="[^"]*"', "")),
    Kind("the viewBox twice as wide", SVG, regex(r'viewBox="0 0 [\d.]+', 'viewBox="0 0 1808')),
    Kind("the viewBox moved", SVG, swap('viewBox="0 0', 'viewBox="300 0')),
    Kind("a slicing viewBox", SVG, swap(" viewBox=", ' preserveAspectRatio="xMidYMid slice" viewBox=')),
    Kind("a notch 5 mm off along the edge", SVG, drawn("front.notches", lambda d: moved(d, 0, 5, 1))),
    Kind("a notch missing", SVG, drawn("back.notches", lambda d: without_line(d, 2))),
    Kind("one of a double notch missing", SVG, drawn("back.notches", lambda d: without_line(d, 6))),
    Kind("a notch too many", SVG, drawn("front.notches", lambda d: d + " " + moved("M" + d.split("M")[2], 0, 20))),
    Kind("a notch turned 30°", SVG, drawn("front.notches", lambda d: turned(d, 1, 30))),
    Kind("a notch outwards", SVG, drawn("front.notches", lambda d: turned(d, 1, 180))),
    Kind("a slit that is a V", SVG, drawn("front.notches", lambda d: veed(d, 1))),
    Kind("a drill hole 2 mm off", SVG, drawn("front.drill-holes", lambda d: moved(d, 2, 0, 0))),
    Kind("all drill holes 0.5 mm off", SVG, drawn("back.drill-holes", lambda d: moved(d, 0.5, 0))),
    Kind("a dart 1 mm off", SVG, drawn("front.darts", lambda d: moved(d, 1, 0))),
    Kind("the grain line turned 30°", SVG, drawn("front.grain-line", lambda d: turned(d, 0, 30))),
    Kind("the grain line turned 1°", SVG, drawn("sleeve.grain-line", lambda d: turned(d, 0, 1))),
    Kind("an arrow head missing", SVG, drawn("sleeve.grain-line", lambda d: without_line(d, 2))),
    Kind("the fold line 3 mm inside", SVG, drawn("front.fold-line", lambda d: moved(d, 3, 0, 0))),
    Kind("a waist line 1 cm lower", SVG, drawn("front.internal-lines", lambda d: moved(d, 0, 10, 0))),
    Kind("lettering on its neighbour", SVG, drawn("back.lettering", lambda d: moved(d, 371, 0))),
    Kind("lettering of two pieces exchanged", SVG, exchanged("front.lettering", "back.lettering")),
    Kind("half of the lettering missing", SVG, drawn("front.lettering", lambda d: "M" + "M".join(d.split("M")[1::2]))),
    Kind("grain lines of two pieces exchanged", SVG, exchanged("front.grain-line", "back.grain-line")),
    Kind("a piece on its neighbour", SVG, piece_moved("front", -200, 0)),
    Kind("a piece off the sheet", SVG, piece_moved("back", -60, 0)),
    Kind("white cut lines", SVG, swap(CUT, 'stroke="#ffffff" stroke-width="0.5"')),
    Kind("nearly white notches", SVG, swap(NOTCH, 'stroke="#fafafa" stroke-width="0.4"')),
    Kind("no stroke", SVG, swap(CUT, 'stroke="none" stroke-width="0.5"')),
    Kind("transparent lettering", SVG, swap('stroke="#3a3f4a"', 'stroke="#3a3f4a" stroke-opacity="0"')),
    Kind("notches not displayed", SVG, swap('<g id="notches"', '<g id="notches" display="none"')),
    Kind("notches hidden", SVG, swap('<g id="notches"', '<g id="notches" visibility="hidden"')),
    Kind("grain hidden by a style", SVG, swap('<g id="grain-line"', '<g id="grain-line" style="display:none"')),
    Kind("darts of no opacity", SVG, swap('<g id="darts"', '<g id="darts" opacity="0"')),
    Kind("pens of no width", SVG, regex(r'stroke-width="[\d.]+"', 'stroke-width="0"', 0)),
    Kind("dashes that leave nothing", SVG, swap('stroke-dasharray="3 1.5"', 'stroke-dasharray="0 4.5"')),
    Kind("a clip over all", SVG, swap('<g id="cut-line"', CLIP)),
    Kind("a mask over the notches", SVG, swap('<g id="notches"', '<g id="notches" mask="url(#m)"')),
    Kind("a white sheet over all", SVG, swap("</svg>", '<rect width="904" height="1390" fill="#fff"/></svg>')),
    Kind("filled pieces", SVG, swap('<g id="lettering" fill="none"', '<g id="lettering" fill="#fff"')),
    Kind("a style sheet that hides", SVG, swap("<g ", "<style>path{display:none}</style><g ")),
    Kind("a group moved", SVG, swap('<g id="notches"', '<g id="notches" transform="translate(5 0)"')),
    Kind("a group mirrored", SVG, swap('<g id="darts"', '<g id="darts" transform="matrix(-1 0 0 1 904 0)"')),
    Kind("the whole sheet scaled", SVG, swap("<svg ", '<svg transform="scale(.5)" ')),
    Kind("cut short", SVG, lambda data: data[: len(data) // 2]),
    Kind("the last group cut off", SVG, regex(r'<g id="scale-block".*', "</svg>\n")),
    Kind("a piece of another name", SVG, swap('id="sleeve.', 'id="cuff.', every=True)),
    Kind("marks of a piece that is not there", SVG, swap('id="sleeve.notches"', 'id="cuff.notches"')),
    Kind("sizes without their names", SVG, regex(r' data-size="[^"]*"', "", 0), made="nest"),
    Kind("names of two sizes exchanged", SVG, exchanged("front.cut-line.10", "front.cut-line.14"), made="nest"),
    Kind("notches of one size missing", SVG, regex(r'<path id="front\.notches\.14".*?/>\n', ""), made="nest"),
    Kind("a dart of one size 1 mm off", SVG, drawn("front.darts.14", lambda d: moved(d, 1, 0)), made="nest"),
    Kind("the size names gone", SVG, regex(r'<path id="[^"]*\.lettering\.\d+".*?/>\n', "", 0), made="nest"),
    Kind("the key gone", SVG, regex(r'<path id="key\..*?/>\n', "", 0), made="nest"),
    Kind("all sizes alike in their dashes", SVG, regex(DASHED, r"\1", 0), made="nest"),
    Kind("another title", SVG, regex(r"<title>.*?</title>", "<title>x</title>"), harmless="nobody cuts by it"),
    Kind("a longer desc", SVG, swap("Print or cut", "Print"), harmless="words of the file, not of the sheet"),
    Kind("roles in another order", SVG, reordered, harmless="all is drawn, and nothing covers"),
    Kind("all lines half as wide", SVG, regex(r'stroke-width="0\.5"', 'stroke-width="0.25"', 0), harmless="all show"),
    *(Kind(f"without its {role}", LAY, without(role), made="lay") for role in (*LAID, "scale-block")),
    Kind("width and height without mm", LAY, regex(SIZE, r'width="\1" height="\2"'), made="lay"),
    Kind("cut short", LAY, lambda data: data[: len(data) // 2], made="lay"),
    Kind("a piece on its neighbour", LAY, piece_moved("front", -200, 0), made="lay"),
    Kind("notches of a piece 5 mm off", LAY, drawn("back.notches", lambda d: moved(d, 0, 5)), made="lay"),
    Kind("the grain line turned 30°", LAY, drawn("sleeve.grain-line", lambda d: turned(d, 0, 30)), made="lay"),
    Kind("a name on another piece", LAY, drawn("sleeve.lettering", lambda d: moved(d, 0, -3000)), made="lay"),
    Kind("white cut lines", LAY, swap(CUT, 'stroke="#ffffff" stroke-width="0.5"'), made="lay"),
)  # fmt: skip
