"""Damage to pattern data (DXF of one size, base with its grade rule table, graded nest) and to general CAD drawings."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from spoil import Kind

Change = Callable[[bytes], bytes]
DXF, NEST, RUL, CAD = "pattern.dxf", "pattern-nest.dxf", "pattern.rul", "pattern-cad.dxf"
ENTITY = re.compile(
    rb"  0\r\n(?:POINT|LINE|TEXT|POLYLINE(?:(?!SEQEND).)*?  0\r\nSEQEND)\r\n(?:(?!  0\r\n)[^\n]*\n)*?(?=  0\r\n)", re.S
)
"""One entity of pattern data, a polyline with its vertices."""


def swap(old: str, new: str, count: int = 1) -> Change:
    return lambda data: data.replace(old.encode(), new.encode(), count)


def regex(pattern: str, new: str, count: int = 1) -> Change:
    return lambda data: re.sub(pattern.encode(), new.encode(), data, count=count, flags=re.DOTALL)


def entities(kind: str, layer: int, change: Callable[[bytes], bytes], count: int = 1, after: str = "") -> Change:
    """So many entities of a layer, changed (0: all); `after` a word, where it comes first."""

    def spoil(data: bytes) -> bytes:
        start = data.index(after.encode()) if after else 0
        done = 0

        def one(match: re.Match[bytes]) -> bytes:
            nonlocal done
            head = match[0].split(b"\r\n", 4)
            if head[1] != kind.encode() or head[3].strip() != str(layer).encode() or (count and done >= count):
                return match[0]
            done += 1
            return change(match[0])

        return data[:start] + ENTITY.sub(one, data[start:])

    return spoil


def gone(_: bytes) -> bytes:
    return b""


def group(code: str, change: Callable[[float], float]) -> Callable[[bytes], bytes]:
    """The first number of a group code in an entity, changed."""

    def spoil(entity: bytes) -> bytes:
        pattern = rb"((?:^|\n) %s\r\n)(-?[\d.]+)" % code.encode()
        return re.sub(pattern, lambda m: m[1] + b"%.4f" % change(float(m[2])), entity, count=1)

    return spoil


def moved(code: str, by: float) -> Callable[[bytes], bytes]:
    return group(code, lambda value: value + by)


def to_layer(layer: int) -> Callable[[bytes], bytes]:
    return lambda entity: re.sub(rb"  8\r\n\d+", b"  8\r\n%d" % layer, entity)


def twice(entity: bytes) -> bytes:
    return entity * 2


def exchanged(a: str, b: str) -> Change:
    """Every one of two texts in place of the other."""
    return lambda data: b"\0".join(part.replace(b.encode(), a.encode()) for part in data.split(a.encode())).replace(
        b"\0", b.encode()
    )


def layers_exchanged(data: bytes) -> bytes:
    for old, new in ((3, 99), (2, 3), (99, 2)):
        data = entities("POINT", old, to_layer(new), 0)(data)
    return data


TAG = rb"  0\r\nTEXT\r\n  8\r\n14\r\n 10\r\n(\d+\.\d+)\r\n(?:(?!  0\r\n)[^\n]*\n)*?  1\r\n# \d+\r\n"
"""A rule tag of the stitch line."""


def tag_gone(data: bytes) -> bytes:
    return re.sub(TAG, b"", data, count=1)


def tag_moved(data: bytes) -> bytes:
    return re.sub(TAG, lambda m: m[0].replace(m[1], b"%.4f" % (float(m[1]) + 1.0)), data, count=1)


def corner_tag_gone(data: bytes) -> bytes:
    return re.sub(TAG.replace(b"14", b"1"), b"", data, count=1)


def in_base(change: Change) -> Callable[[Path], None]:
    """The base file changed, and told of at the table that goes with it."""

    def spoil(folder: Path) -> None:
        data = (folder / DXF).read_bytes()
        assert change(data) != data
        (folder / DXF).write_bytes(change(data))

    return spoil


LWPOLYLINE = re.compile(r"  0\nLWPOLYLINE\n(?:(?!  0\n)[^\n]*\n)*")


def drawn(layer: str, change: Callable[[str], str], count: int = 1) -> Change:
    """So many lines of a layer of a CAD drawing, changed (0: all)."""

    def spoil(data: bytes) -> bytes:
        done = 0

        def one(match: re.Match[str]) -> str:
            nonlocal done
            if f"  8\n{layer}\n" not in match[0] or (count and done >= count):
                return match[0]
            done += 1
            return change(match[0])

        return LWPOLYLINE.sub(one, data.decode()).encode()

    return spoil


def by(dx: float, dy: float) -> Callable[[str], str]:
    """All points of a CAD line moved."""

    def spoil(entity: str) -> str:
        pattern = r"( 10\n)(-?[\d.]+)(\n 20\n)(-?[\d.]+)"
        return re.sub(pattern, lambda m: f"{m[1]}{float(m[2]) + dx}{m[3]}{float(m[4]) + dy}", entity)

    return spoil


def corner_off(entity: str) -> str:
    """The first point of a CAD line 1 mm off, both ways: it may lie within a straight run."""
    pattern = r"( 10\n)(-?[\d.]+)(\n 20\n)(-?[\d.]+)"
    return re.sub(pattern, lambda m: f"{m[1]}{float(m[2]) + 1}{m[3]}{float(m[4]) + 1}", entity, count=1)


def layer_row(name: str, code: str, value: str) -> Change:
    """A value of a layer in the table of layers, changed."""
    return regex(rf"(AcDbLayerTableRecord\n  2\n{name}\n(?:[^\n]*\n)*? *{code}\n)[^\n]*", rf"\g<1>{value}")


KINDS = (
    Kind("quantity of a pair told as two alike", DXF, swap("Quantity: 1,1", "Quantity: 2,0")),
    Kind("quantity gone", DXF, regex(r"Quantity: 1,1", "Quantity:")),
    Kind("another material", DXF, swap("Material: SHELL", "Material: LINING")),
    Kind("material gone", DXF, swap("Material: SHELL", "Material:")),
    Kind("another size in a piece", DXF, swap("Size: measured", "Size: 14")),
    Kind("another sample size", DXF, regex(r"Sample Size: [^\r]*", "Sample Size: 99")),
    Kind("units told to be inches", DXF, swap("Units: METRIC", "Units: ENGLISH")),
    Kind("units gone", DXF, swap("Units: METRIC", "Units:")),
    Kind("units misspelt", DXF, swap("Units: METRIC", "Units: METRES")),
    Kind("the style of another job", DXF, regex(r"Style Name: [^\r]*", "Style Name: GRAND OPERA")),
    Kind("a grade rule table that is not there", DXF, swap("Grade Rule Table:", "Grade Rule Table: OTHER")),
    Kind("a piece of another name", DXF, swap("Piece Name: SLEEVE", "Piece Name: COLLAR")),
    Kind("two pieces of one name", DXF, swap("Piece Name: SLEEVE", "Piece Name: FRONT")),
    Kind("the version of the standard gone", DXF, regex(r"Version: [^\r]*", "Version:")),
    Kind("all turn points gone (layer 2)", DXF, entities("POINT", 2, gone, 0)),
    Kind("all curve points gone (layer 3)", DXF, entities("POINT", 3, gone, 0)),
    Kind("turn points told to be curve points", DXF, entities("POINT", 2, to_layer(3), 0)),
    Kind("one turn point told to be a curve point", DXF, entities("POINT", 2, to_layer(3))),
    Kind("curve points told to be turn points", DXF, entities("POINT", 3, to_layer(2), 0)),
    Kind("one curve point 1 mm off", DXF, entities("POINT", 3, moved("10", 1.0))),
    Kind("a notch gone", DXF, entities("POINT", 4, gone)),
    Kind("a notch 5 mm along the edge", DXF, entities("POINT", 4, moved("20", 5.0))),
    Kind("a notch turned by 30 degrees", DXF, entities("POINT", 4, moved("50", 30.0))),
    Kind("a notch cut outwards", DXF, entities("POINT", 4, moved("50", 180.0))),
    Kind("a notch 2 mm too deep", DXF, entities("POINT", 4, moved("30", 2.0))),
    Kind("a slit told to be a V", DXF, entities("POINT", 4, moved("39", 3.0))),
    Kind("a notch told to be a T notch", DXF, entities("POINT", 4, to_layer(80))),
    Kind("a drill hole gone", DXF, entities("POINT", 13, gone)),
    Kind("a drill hole 2 mm off", DXF, entities("POINT", 13, moved("10", 2.0))),
    Kind("a drill hole more", DXF, entities("POINT", 13, lambda e: e + moved("10", 20.0)(e))),
    Kind("a grain line gone", DXF, entities("LINE", 7, gone)),
    Kind("a grain line turned", DXF, entities("LINE", 7, moved("11", 100.0))),
    Kind("the fold told to be an inner line", DXF, entities("LINE", 6, to_layer(8))),
    Kind("the fold gone", DXF, entities("LINE", 6, gone)),
    Kind("a grade reference line gone", DXF, entities("LINE", 5, gone)),
    Kind("a dart gone", DXF, entities("POLYLINE", 8, gone)),
    Kind("an inner line told to be a cutout", DXF, entities("LINE", 8, to_layer(11))),
    Kind("an inner line gone", DXF, entities("LINE", 8, gone)),
    Kind("the stitch line gone", DXF, entities("POLYLINE", 14, gone)),
    Kind("stitch line and cut line exchanged", DXF, entities("POLYLINE", 14, to_layer(1))),
    Kind("a label's line gone", DXF, entities("TEXT", 15, gone)),
    Kind("a label of other words", DXF, regex(r"1 OF 5: FRONT\r", "1 OF 5: BACK\r", 0)),
    Kind("layers 2 and 3 exchanged", DXF, layers_exchanged),
    Kind("the scale piece told to be cut", DXF, swap("Quantity: 0,0", "Quantity: 1,0")),
    Kind("the end cut off", DXF, lambda data: data[: len(data) // 2]),
    Kind("a time of writing", DXF, swap("Creation Time:", "Creation Time: 12:00"), harmless="it moves no line"),
    Kind("another author", DXF, regex(r"Author: [^\r]*", "Author: by hand"), harmless="who wrote it moves no line"),
    Kind("a rule tag of the cut line gone", DXF, corner_tag_gone, made="nest"),
    Kind("a rule tag gone from the stitch line", DXF, tag_gone, made="nest"),
    Kind("a rule tag of another rule in the base", RUL, folder=in_base(regex(r"# 3\r", "# 2\r")), made="nest"),
    Kind("a rule tag moved 1 mm", DXF, tag_moved, made="nest"),
    Kind("another table's name", DXF, swap("Grade Rule Table: PATTERN", "Grade Rule Table: OTHER"), made="nest"),
    Kind("another curve tolerance", DXF, swap("Curve Tolerance: .152", "Curve Tolerance: 1.52"), made="nest"),
    Kind("a validation curve moved", DXF, entities("POLYLINE", 84, moved("10", 1.0)), made="nest"),
    Kind("all validation curves of the cut line gone", DXF, entities("POLYLINE", 84, gone, 0), made="nest"),
    Kind("another name of the table", RUL, swap("GRADE RULE TABLE: PATTERN", "GRADE RULE TABLE: OTHER"), made="nest"),
    Kind("units of the table told to be inches", RUL, swap("UNITS: METRIC", "UNITS: ENGLISH"), made="nest"),
    Kind("another sample size in the table", RUL, swap("SAMPLE SIZE: 12", "SAMPLE SIZE: 10"), made="nest"),
    Kind("two sizes of the table exchanged", RUL, swap("SIZE LIST: 10 12 14", "SIZE LIST: 14 12 10"), made="nest"),
    Kind("a size of the table of another name", RUL, swap("SIZE LIST: 10 12 14", "SIZE LIST: 10 12 16"), made="nest"),
    Kind("one rule gone", RUL, regex(r"RULE: DELTA 3\r\n[^R]*", ""), made="nest"),
    Kind("the end of the table gone", RUL, regex(r"END\r\n", ""), made="nest"),
    Kind("a rule's step of another sign", RUL, regex(r"(RULE: DELTA 3\r\n +)-", r"\1 "), made="nest"),
    Kind("two rules' numbers exchanged", RUL, exchanged("DELTA 2\r", "DELTA 3\r"), made="nest"),
    Kind("a size of a nest gone", NEST, regex(r"Size: 14\r", "Size: 10\r"), made="nest"),
    Kind("two sizes of a nest exchanged", NEST, exchanged("Size: 10\r", "Size: 14\r"), made="nest"),
    Kind("turn points of a nest gone", NEST, entities("POINT", 2, gone, 0), made="nest"),
    Kind("a drill hole of one size of a nest off", NEST, entities("POINT", 13, moved("10", 1.0)), made="nest"),
    Kind("units of a nest gone", NEST, swap("Units: METRIC", "Units:"), made="nest"),
    Kind("an inner line of one size of a nest off", NEST, entities("LINE", 8, moved("10", 1.0)), made="nest"),
    *(
        Kind(f"all {words} gone", CAD, drawn(layer, lambda _: "", 0), made="knife")
        for layer, words in (
            ("NOTCH", "notches"), ("DRILL_HOLE", "drill holes"), ("GRAIN", "grain lines"), ("TEXT", "lettering"),
            ("DART", "darts"), ("INTERNAL", "inner lines"), ("FOLD", "folds"), ("STITCH", "stitch lines"),
        )
    ),
    Kind("a notch 5 mm off", CAD, drawn("NOTCH", by(5.0, 0.0)), made="knife"),
    Kind("a drill hole's circle 2 mm off", CAD, drawn("DRILL_HOLE", by(2.0, 0.0)), made="knife"),
    Kind("a grain line 10 mm off", CAD, drawn("GRAIN", by(10.0, 10.0)), made="knife"),
    Kind("a dart told to be cut", CAD, drawn("DART", lambda e: e.replace("  8\nDART\n", "  8\nCUT\n")), made="knife"),
    Kind("a stitch line as a notch", CAD, drawn("STITCH", lambda e: e.replace("STITCH", "NOTCH")), made="knife"),
    Kind("an unknown layer", CAD, drawn("GRAIN", lambda e: e.replace("GRAIN", "SECRET")), made="knife"),
    Kind("the notches' layer off", CAD, layer_row("NOTCH", "62", "-6"), made="knife"),
    Kind("the cut lines' layer frozen", CAD, layer_row("CUT", "70", "1"), made="knife"),
    Kind("units of inches", CAD, regex(r"(INSUNITS\n *70\n) *\d+", r"\g<1>1"), made="knife"),
    Kind("a cut line gone", CAD, drawn("CUT", lambda _: ""), made="knife"),
    Kind("a cut line's corner off", CAD, drawn("CUT", corner_off), made="knife"),
)  # fmt: skip
