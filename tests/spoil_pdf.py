"""Damage to PDF: the roll and the tiled pages of a dress and of a nest; done with pikepdf, on unpacked content."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name

from spoil import Kind

Change = Callable[[bytes], bytes]
LAY = "lay-roll.pdf"
ROLL, TILES = "pattern-roll.pdf", "pattern-letter.pdf"
NUMBER = r"-?[\d.]+"


def document(change: Callable[[Any], None]) -> Change:
    """The document changed."""

    def spoil(data: bytes) -> bytes:
        out = io.BytesIO()
        with pikepdf.open(io.BytesIO(data)) as pdf:
            change(pdf)
            pdf.save(out, deterministic_id=True)
        return out.getvalue()

    return spoil


def content(change: Callable[[str], str], page: int | None = None) -> Change:
    """The content of all pages, or of one, changed as text."""

    def spoil(pdf: Any) -> None:
        changed = False
        for number, leaf in enumerate(pdf.pages):
            if page in (None, number):
                before = leaf.Contents.read_bytes().decode("latin-1")
                after = change(before)
                changed = changed or after != before
                leaf.Contents = pdf.make_stream(after.encode("latin-1"))
        assert changed

    return document(spoil)


def regex(pattern: str, new: str, page: int | None = None, count: int = 0) -> Change:
    return content(lambda text: re.sub(pattern, new, text, count=count, flags=re.DOTALL), page)


def without(layer: str) -> Change:
    """Without what lies in a layer."""
    return regex(rf"/OC /{layer} BDC\nq\n.*?Q\nEMC\n", "")


def moved(layer: str, dx: float, dy: float, piece: str = "", part: int | None = None) -> Change:
    """The lines of a layer (of one piece, or one of its lines) moved, mm."""
    x, y = dx * 72 / 25.4, dy * 72 / 25.4

    def shift(text: str) -> str:
        lines = re.split(r"(?=^-?[\d.]+ -?[\d.]+ m$)", text, flags=re.MULTILINE)
        return "".join(
            re.sub(
                rf"^({NUMBER}) ({NUMBER}) ([ml])$",
                lambda m: f"{float(m[1]) + x:.3f} {float(m[2]) + y:.3f} {m[3]}", line, flags=re.MULTILINE,
            ) if part is None or i == part + 1 else line
            for i, line in enumerate(lines)
        )  # fmt: skip

    def change(text: str) -> str:
        def of_layer(found: re.Match[str]) -> str:
            if not piece:
                return shift(found[0])
            return re.sub(
                rf"/Piece <</Name \({piece}\).*?EMC\n", lambda own: shift(own[0]), found[0], count=1, flags=re.DOTALL
            )

        return re.sub(rf"/OC /{layer} BDC\nq\n.*?Q\nEMC\n", of_layer, text, flags=re.DOTALL)

    return content(change)


def turned(layer: str, piece: str, degrees: float) -> Change:
    """The first line of a piece in a layer turned about its first point."""
    from math import cos, radians, sin

    c, s = cos(radians(degrees)), sin(radians(degrees))

    def change(text: str) -> str:
        line = rf"({NUMBER}) ({NUMBER}) m\n({NUMBER}) ({NUMBER}) l"
        form = rf"(/OC /{layer} BDC\nq\n.*?/Piece <</Name \({piece}\).*?\n){line}"

        def turn(m: re.Match[str]) -> str:
            ax, ay, bx, by = (float(m[i]) for i in (2, 3, 4, 5))
            x, y = ax + c * (bx - ax) - s * (by - ay), ay + s * (bx - ax) + c * (by - ay)
            return f"{m[1]}{ax:.3f} {ay:.3f} m\n{x:.3f} {y:.3f} l"

        return re.sub(form, turn, text, count=1, flags=re.DOTALL)

    return content(change)


def piece_moved(piece: str, dx: float, dy: float) -> Change:
    """All that is drawn of a piece moved on the sheet, mm."""
    by = f"q 1 0 0 1 {dx * 72 / 25.4:.4f} {dy * 72 / 25.4:.4f} cm\n"
    return content(
        lambda text: re.sub(
            rf"(/Piece <</Name \({piece}\).*?BDC\n)(.*?)(S\nEMC\n)", rf"\1{by}\2S\nQ\nEMC\n", text, flags=re.DOTALL
        )
    )


def white(text: str) -> str:
    return re.sub(rf"({NUMBER}) ({NUMBER}) ({NUMBER}) RG", "1 1 1 RG", text)


def boxes(change: Callable[[list[float]], list[float]], *names: str, page: int | None = None) -> Change:
    def spoil(pdf: Any) -> None:
        for number, leaf in enumerate(pdf.pages):
            for name in names if page in (None, number) else ():
                leaf[name] = Array([round(v, 4) for v in change([float(v) for v in leaf[name]])])

    return document(spoil)


def half(box: list[float]) -> list[float]:
    return [box[0], box[1], box[2], box[3] / 2]


def wider(box: list[float]) -> list[float]:
    return [box[0], box[1], box[2] + 20, box[3]]


def swapped(a: int, b: int) -> Change:
    def spoil(pdf: Any) -> None:
        pages = list(pdf.pages)
        pages[a], pages[b] = pages[b], pages[a]
        kids = [page.obj for page in pages]
        pdf.Root.Pages.Kids = Array(kids)

    return document(spoil)


def groups(name: str) -> Callable[[Any], Any]:
    return lambda pdf: [g for g in pdf.Root.OCProperties.OCGs if name in ("", str(g.Name))]


def switched_off(name: str) -> Change:
    def spoil(pdf: Any) -> None:
        pdf.Root.OCProperties.D.OFF = Array(groups(name)(pdf))

    return document(spoil)


def printed_never(pdf: Any) -> None:
    group = groups("notches")(pdf)[0]
    group.Usage = Dictionary(Print=Dictionary(PrintState=Name.OFF))
    pdf.Root.OCProperties.D.AS = Array(
        [Dictionary(Event=Name.Print, Category=Array([Name.Print]), OCGs=Array([group]))]
    )


def annotated(pdf: Any) -> None:
    page = pdf.pages[0]
    page.Annots = Array([Dictionary(Type=Name.Annot, Subtype=Name.Square, Rect=page.MediaBox, IC=Array([1, 1, 1]))])


def set_root(key: str, value: Any) -> Change:
    def spoil(pdf: Any) -> None:
        pdf.Root[key] = value

    return document(spoil)


def each_page(key: str, value: Any, page: int | None = None) -> Change:
    def spoil(pdf: Any) -> None:
        for number, leaf in enumerate(pdf.pages):
            if page in (None, number):
                leaf[key] = value

    return document(spoil)


def dropped(page: int) -> Change:
    def spoil(pdf: Any) -> None:
        del pdf.pages[page]

    return document(spoil)


def faint(pdf: Any) -> None:
    for leaf in pdf.pages:
        leaf.Resources.ExtGState = Dictionary(F=Dictionary(Type=Name.ExtGState, CA=0.02))
        leaf.Contents = pdf.make_stream(b"/F gs\n" + leaf.Contents.read_bytes())


def renamed(old: str, new: str) -> Change:
    return content(lambda text: text.replace(f"/Name ({old})", f"/Name ({new})"))


def label_exchanged(text: str) -> str:
    """The lettering of two pieces, each under the other's name."""

    def swap(found: re.Match[str]) -> str:
        return found[0].replace("(front)", "(?)").replace("(back)", "(front)").replace("(?)", "(back)")

    return re.sub(r"/OC /lettering BDC\nq\n.*?Q\nEMC\n", swap, text, flags=re.DOTALL)


def replaced(old: str, new: str, page: int | None = None) -> Change:
    return content(lambda text: text.replace(old, new), page)


LAYERS = ("stitch-line", "fold-line", "notches", "drill-holes", "darts", "internal-lines", "grain-line", "lettering")
NAMES = r"/OC /size-\w+ BDC\n/OC /lettering BDC\nq\n.*?Q\nEMC\nEMC\n"
FILLED = "1 g 0 0 5000 5000 re f\n"
KINDS: tuple[Kind, ...] = (
    *(Kind(f"without its {layer}", ROLL, without(layer)) for layer in (*LAYERS, "cut-line", "scale-block")),
    *(Kind(f"without its {layer}", TILES, without(layer)) for layer in (*LAYERS, "cut-line", "register-marks")),
    *(
        kind
        for file in (ROLL, TILES)
        for kind in (
            Kind("the MediaBox half", file, boxes(half, "/MediaBox")),
            Kind("the CropBox half", file, boxes(half, "/CropBox")),
            Kind("all boxes half", file, boxes(half, "/MediaBox", "/CropBox", "/TrimBox")),
            Kind("all boxes larger by a fifth", file, boxes(lambda b: [1.2 * v for v in b], "/MediaBox", "/CropBox"),
                 harmless="the page prints whole and at full size" if file == ROLL else ""),
            Kind("all strokes white", file, content(white)),
            Kind("all strokes faint", file, document(faint)),
            Kind("pens of no width", file, regex(rf"{NUMBER} w\b", "0 w")),
            Kind("PrintScaling left to the program", file, set_root("/ViewerPreferences", Dictionary())),
            Kind("pages turned", file, each_page("/Rotate", 90)),
            Kind("a UserUnit of 2", file, each_page("/UserUnit", 2)),
            Kind("notches switched off", file, switched_off("notches")),
            Kind("all layers switched off", file, switched_off("")),
            Kind("notches never printed", file, document(printed_never)),
            Kind("an annotation over all", file, document(annotated)),
            Kind("a white sheet over all", file, content(lambda text: text + FILLED)),
            Kind("another producer", file, document(lambda pdf: pdf.docinfo.__setitem__("/Producer", "x")),
                 harmless="nobody cuts by it"),
            Kind("cut short", file, lambda data: data[: len(data) // 2]),
            Kind("a clip round all", file, content(lambda text: "0 0 300 300 re W n\n" + text)),
            Kind("all at 99 %", file, content(lambda text: f".99 0 0 .99 0 0 cm\n{text}")),
        )
    ),
    Kind("a notch 5 mm off", ROLL, moved("notches", 0, 5, "front", 1)),
    Kind("drill holes 2 mm off", ROLL, moved("drill-holes", 2, 0, "front")),
    Kind("a dart 1 mm off", ROLL, moved("darts", 1, 0, "back")),
    Kind("the grain line turned 30°", ROLL, turned("grain-line", "front", 30)),
    Kind("the grain line turned 1°", ROLL, turned("grain-line", "sleeve", 1)),
    Kind("the fold line 3 mm off", ROLL, moved("fold-line", 3, 0, "front", 0)),
    Kind("the lettering 300 mm off", ROLL, moved("lettering", 300, 0, "back")),
    Kind("a piece on its neighbour", ROLL, piece_moved("front", -200, 0)),
    Kind("a piece off the page", ROLL, piece_moved("back", -80, 0)),
    Kind("lettering of two pieces exchanged", ROLL, content(label_exchanged)),
    Kind("a piece of another name", ROLL, renamed("sleeve", "cuff")),
    Kind("cut lines white", ROLL, regex(r"(/OC /cut-line BDC\nq\n)\S+ \S+ \S+ RG", r"\1 1 1 1 RG")),
    Kind("dashes that leave nothing", ROLL, regex(r"(/OC /stitch-line BDC\nq\n[^\[]*)\[[^\]]*\]", r"\1[0 20]")),
    Kind("two pages swapped", TILES, swapped(3, 4)),
    Kind("the first page last", TILES, swapped(0, 5)),
    Kind("a page missing", TILES, dropped(6)),
    Kind("a page of another size", TILES, boxes(wider, "/MediaBox", "/CropBox", page=4)),
    Kind("a page that calls itself 9Z", TILES, replaced("(2A)", "(9Z)")),
    Kind("a page with another's number", TILES, replaced("page 4 of", "page 5 of", 3)),
    Kind("a page whose edge names another tile", TILES, replaced("(2A lies on this strip)", "(3C lies on this strip)")),
    Kind("a page that names a wrong next page", TILES, regex(r"next: \w+,", "next: 9Q,", 2)),
    Kind("a page whose title names another tile", TILES, replaced("\xb7 1A \xb7", "\xb7 2B \xb7", 1)),
    Kind("one page at 99 %", TILES, content(lambda text: f".99 0 0 .99 0 0 cm\n{text}", 4)),
    Kind("notches 5 mm off on all pages", TILES, moved("notches", 0, 5)),
    Kind("the size of one cut line exchanged", ROLL, replaced("/Name (front) /Size (10)", "/Name (front) /Size (14)"),
         made="nest"),
    Kind("sizes without their names", ROLL, regex(r" /Size \([^)]*\)", ""), made="nest"),
    Kind("one size switched off", ROLL, switched_off("size 10"), made="nest"),
    Kind("the size names gone", ROLL, regex(NAMES, ""), made="nest"),
    Kind("the key gone", ROLL, regex(r"/Piece <</Name \(key\).*?EMC\n", ""), made="nest"),
    *(Kind(f"without its {layer}", LAY, without(layer), made="lay") for layer in ("notches", "lettering")),
    Kind("cut short", LAY, lambda data: data[: len(data) // 2], made="lay"),
    Kind("all strokes white", LAY, content(white), made="lay"),
    Kind("the MediaBox half", LAY, boxes(half, "/MediaBox"), made="lay"),
)  # fmt: skip
