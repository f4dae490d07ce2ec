"""Pieces of a pattern-data file (ASTM D6673, and its forerunner AAMA-292), in mm, and what was odd about them.

Facts of the standard: D6673-10 as its abstract and public notes quote it, and 37 exchange files that were counted.
Those files differ in much that a reader must not care about: how a boundary closes, which way round it runs, how texts
are spelt, where a block is put. What does not matter is taken silently, what may matter is taken and told in `notes`,
and what leaves open what is to be cut is an InputError.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final, Literal, TypeAlias, get_args

from ..errors import InputError, Where
from ..geometry.polygon import Box
from ..units import INCH
from .model import (
    BOUNDARY,
    SCALE_PIECES,
    DeclaredUnits,
    DrillHole,
    LineData,
    NotchData,
    PatternData,
    PieceData,
    RuleTag,
    StyleData,
    TextData,
)  # fmt: skip
from .notes import Context, Notes, Steps, Texts
from .pieces import piece_of, times
from .records import RawBlock, RawInsert, Records, records_of
from .tokens import MOST_BYTES, Tokens, read_bytes, tokens_of
from .words import encoding_of, fact_of

__all__ = [
    "DrillHole", "LineData", "NotchData", "PatternData", "PieceData", "RuleTag", "StyleData", "TextData",
    "parse_pattern_data", "read_pattern_data",
]  # fmt: skip

FileUnit: TypeAlias = Literal["mm", "cm", "in"]

SMALLEST, LARGEST, WIDEST = 100.0, 3_000.0, 1_700.0
"""The largest piece of a garment is longer than the first, mm; at most as long as the second, and as wide as the third,
which is more than cloth is (common practice, no source)."""
SMALLEST_UNTOLD: Final = 200.0
"""The same where nothing but the size of the piece speaks for mm."""
_SPELT: Final[Mapping[FileUnit, str]] = {"mm": "mm", "cm": "cm", "in": "inches"}
_MM: Final[Mapping[FileUnit, float]] = {"mm": 1.0, "cm": 10.0, "in": INCH}
_DECLARED: Final[Mapping[str, DeclaredUnits]] = {
    "metric": "metric", "mm": "metric", "millimeters": "metric", "millimetres": "metric",
    "english": "english", "imperial": "english", "inch": "english", "inches": "english", "in": "english",
}  # fmt: skip
_INSUNITS: Final[Mapping[str, FileUnit]] = {"1": "in", "4": "mm", "5": "cm"}
"""The header's $INSUNITS (from memory)."""
_STEPS: Final = 2_000_000
"""Steps of looking for crossings and for the places of notches, in all: about a second. What is left is told."""
_STYLE_FACTS: Final = {
    "style name": "name", "creation date": "date", "creation time": "time", "author": "author",
    "sample size": "sample_size", "grade rule table": "rule_table", "units": "units",
    "curve tolerance": "curve_tolerance", "tolerance": "curve_tolerance",
}  # fmt: skip


def read_pattern_data(path: Path | str, *, unit: FileUnit | None = None) -> PatternData:
    """The pieces of a .dxf file; see parse_pattern_data. DeviceError if the file cannot be read."""
    path = Path(path)
    data = read_bytes(path, MOST_BYTES, "a pattern-data file (DXF)")
    return parse_pattern_data(data, str(path), unit=unit)


def parse_pattern_data(
    data: bytes, name: str = "pattern data", *, unit: FileUnit | None = None, scale: float = 1.0
) -> PatternData:
    """The pieces of a .dxf file, mm, y up, each where its INSERT puts it.

    `name` stands in messages. `unit` overrides what the file says of its units: without it METRIC means mm, ENGLISH
    inches, and a file that says nothing is in mm if its largest piece then has the size of a garment's piece. Where
    the file says one unit and the largest piece says another, the file is believed and the note says what would fit.
    Every length is then taken times `scale`.
    Raises InputError or InputErrors, with lines: not a DXF, damaged, cut short, no piece in it, units unknown.
    """
    if unit is not None and unit not in get_args(FileUnit):
        raise InputError(f"{unit!r} is not a unit of a pattern-data file", expected="mm, cm or in")
    tokens = tokens_of(data, name)
    records = records_of(tokens)
    notes = Notes(list(tokens.notes))
    reader = Texts(encoding_of(data, records.header.get("$DWGCODEPAGE", "")))
    if reader.encoding.name:
        notes.add(f"Texts are not plain ASCII, as the standard asks; read as {reader.encoding.name}.")
    style = _style(records, reader, notes)
    drawn = [block for block in records.blocks if any(line.layer == BOUNDARY for line in block.lines)]
    if not drawn:
        raise _no_piece(tokens, records)
    inserts = _inserts(records, reader, notes)
    used, style = _unit_of(tokens, records, style, drawn, unit, notes)
    context = Context(_MM[used] * scale, reader, notes, Steps(_STEPS))
    pieces = tuple(
        piece for block in drawn if (piece := piece_of(block, inserts.get(block.name.upper()), context)) is not None
    )
    if not pieces:
        raise _no_piece(tokens, records)
    _note_others(records, reader, notes)
    _note_set(style, pieces, used, notes)
    for oddity, count in records.oddities.items():
        notes.add(f"{oddity}{f' ({count} times)' if count > 1 else ''}.")
    return PatternData(style, pieces, notes.told(), used)


def _no_piece(tokens: Tokens, records: Records) -> InputError:
    loose = len(records.entities.lines)
    if records.blocks:
        found = f"no block has a boundary on layer 1 ({times(len(records.blocks), 'block')})"
    elif loose:
        found = f"it has no blocks, but {times(loose, 'line')} in ENTITIES"
    else:
        found = "it holds no pieces"
    return InputError(
        found, where=Where(tokens.name), expected="a block for each piece, its boundary on layer 1 (ASTM D6673)",
        instead="Export the pattern as sewn-product pattern data, not as a drawing",
    )  # fmt: skip


# --------------------------------------------------------------------------------------------------------------- style


def _style(records: Records, texts: Texts, notes: Notes) -> StyleData:
    known: dict[str, str] = {}
    others: dict[str, str] = {}
    loose: list[str] = []
    units: DeclaredUnits = ""
    for text in records.entities.texts:
        if text.words is None:
            notes.add("A text of the style has no words (no group 1).")
            continue
        words = texts.plain(text.words)
        fact = fact_of(words)
        if fact is None:
            if words:
                loose.append(words)
            continue
        key, value = fact
        if key.startswith(("astm/d13", "ansi/aama", "aama")):
            known.setdefault("version", value)
        elif key in _STYLE_FACTS:
            if known.setdefault(_STYLE_FACTS[key], value) != value:
                notes.add(f"The style says two things under {key!r}; the first is kept.")
        elif others.setdefault(key, value) != value:
            others[key] = f"{others[key]}; {value}"[:2_000]
    for block in records.blocks:
        if "units" in known:
            break
        for text in block.texts:
            fact = fact_of(texts.plain(text.words)) if text.words else None
            if fact and fact[0] == "units":
                known.setdefault("units", fact[1])
                notes.add(f"The units stand in block {texts.plain(block.name)}, not among the texts of the style.")
    declared = known.pop("units", "")
    if declared:
        units = _DECLARED.get(declared.lower().rstrip("."), "")
        if not units:
            others["units"] = declared
            notes.add(f"Units are {declared!r}, which is neither METRIC nor ENGLISH.")
    return StyleData(**known, units=units, others=others, texts=tuple(loose))


def _inserts(records: Records, texts: Texts, notes: Notes) -> dict[str, RawInsert]:
    """Where each block is put, by its name in capitals."""
    names = {block.name.upper() for block in records.blocks}
    found: dict[str, RawInsert] = {}
    for insert in records.entities.inserts:
        key = insert.name.upper()
        shown = texts.plain(insert.name)
        if key not in names:
            notes.add(f"INSERT of block {shown!r}, which is not there; left out.")
        elif key in found:
            notes.add(f"{shown}: inserted more than once; the first place is kept.")
        else:
            found[key] = insert
    for block in records.blocks:
        if block.inserts:
            notes.add(f"{texts.plain(block.name)}: blocks inserted in it are left out.")
    return found


def _note_others(records: Records, texts: Texts, notes: Notes) -> None:
    for block in records.blocks:
        holds = block.lines or block.points or block.texts
        if holds and not any(line.layer == BOUNDARY for line in block.lines):
            words = "; ".join(filter(None, (texts.plain(text.words) for text in block.texts if text.words)))
            says = f" It says: {words[:300]}." if words else ""
            notes.add(f"{texts.plain(block.name)}: no boundary on layer 1, so it is no piece; left out.{says}")
    loose = records.entities
    for what, count in (("line", len(loose.lines)), ("point", len(loose.points))):
        if count:
            notes.add(f"{times(count, what)} outside blocks; left out.")
    for what, count in loose.others.items():
        notes.add(f"{count} × {what} outside blocks; left out.")


# --------------------------------------------------------------------------------------------------------------- units


def _unit_of(
    tokens: Tokens,
    records: Records,
    style: StyleData,
    drawn: Sequence[RawBlock],
    asked: FileUnit | None,
    notes: Notes,
) -> tuple[FileUnit, StyleData]:
    """What the numbers are taken as. The largest piece is only heard where the file is silent, but always told."""
    long, short = _largest(drawn)
    fitting = [u for u, mm in _MM.items() if SMALLEST <= long * mm <= LARGEST and short * mm <= WIDEST]
    header = _INSUNITS.get(records.header.get("$INSUNITS", ""))
    said = style.others.get("units", "").lower()
    declared: FileUnit | None = {"metric": "mm", "english": "in"}.get(style.units)  # type: ignore[assignment]
    if asked:
        used = asked
        if declared and declared != asked:
            notes.add(f"The file says {style.units.upper()}; it is read in {asked}, as asked.")
    elif declared:
        used = declared
    elif said in ("cm", "centimeters", "centimetres"):
        used = "cm"
    elif header:
        used = header
        notes.add(f"No units are told in words; {header} is taken from the header's $INSUNITS.")
    elif "mm" in fitting and long >= SMALLEST_UNTOLD:
        used = "mm"
        notes.add(
            f"No units are told; mm are taken, in which the largest piece is {_shown(long)} × {_shown(short)} mm."
        )
    else:
        would = " or ".join(_SPELT[u] for u in fitting)
        raise InputError(
            f"it does not say its units, and its largest piece is {long:g} × {short:g} of them",
            where=Where(tokens.name),
            expected="a text Units: METRIC or Units: ENGLISH",
            instead="Say the unit"
            + (f"; it has the size of a garment's piece in {would}" if would else ": mm, cm or in"),
        )
    if used not in fitting:
        why = "as asked" if asked else f"as the file says {style.units.upper()}" if declared else "as the header says"
        would = " or ".join(_SPELT[u] for u in fitting if u != used)
        size = f"{_shown(long * _MM[used])} × {_shown(short * _MM[used])}"
        notes.add(
            f"Read in {_SPELT[used]}, {why}, the largest piece is {size} mm, "
            "which no piece of a garment is" + (f"; in {would} it would be one." if would else ".")
        )
    return used, style


def _shown(mm: float) -> str:
    return f"{mm:.0f}" if mm >= 10 else f"{mm:.3g}"


def _largest(drawn: Sequence[RawBlock]) -> tuple[float, float]:
    """Longer and shorter side of the box round the largest boundary, in units of the file."""
    best = (0.0, 0.0)
    for block in drawn:
        if block.name.upper() in SCALE_PIECES and len(drawn) > len(SCALE_PIECES):
            continue
        boxes = [Box.round(line.points) for line in block.lines if line.layer == BOUNDARY]
        box = Box.round(p for box in boxes for p in ((box.left, box.bottom), (box.right, box.top)))
        sides = max(box.width, box.height), min(box.width, box.height)
        if sides[0] * (sides[1] or 1e-9) >= best[0] * (best[1] or 1e-9):
            best = sides
    return best


# -------------------------------------------------------------------------------------------------------- the whole set


def _note_set(style: StyleData, pieces: tuple[PieceData, ...], unit: FileUnit, notes: Notes) -> None:
    """What is odd about the pieces together."""
    cut = [piece for piece in pieces if not piece.proves_scale]
    for piece in pieces:
        if piece.proves_scale:
            side = SCALE_PIECES[piece.block.upper()]
            box = Box.round(piece.boundary)
            if max(abs(box.width - side), abs(box.height - side)) > 0.01 * side:
                notes.add(
                    f"{piece.block}: its square is {box.width:.2f} × {box.height:.2f} mm read in {unit}, "
                    f"{side:g} mm is meant: units or scale are wrong."
                )
    if cut and not any(piece.stitch_lines for piece in cut):
        notes.add("No piece has a stitch line (layer 14): whether layer 1 has allowances is not told.")
    if any(piece.right is not None and piece.left is None for piece in cut):
        notes.add("Quantity is one number: how many are cut mirrored is not told.")
    sizes = dict.fromkeys(piece.size for piece in cut)
    if style.sample_size and len(sizes) > 1 and style.sample_size not in sizes:
        notes.add(f"The sample size {style.sample_size!r} is none of the sizes {', '.join(sizes)}.")
    by_name: dict[str, list[PieceData]] = {}
    for piece in cut:
        by_name.setdefault(piece.name, []).append(piece)
    for name, same in by_name.items():
        counts = Counter(piece.size for piece in same)
        for size, count in counts.items():
            if count > 1:
                notes.add(f"{count} blocks are piece {name!r}{f' in size {size}' if size else ''}.")
        vertices = sorted({len(piece.boundary_raw) for piece in same})
        if len(counts) > 1 and len(vertices) > 1:
            notes.add(
                f"{name}: its sizes have from {vertices[0]} to {vertices[-1]} vertices; a graded nest has the same "
                "number in all."
            )
    _note_untagged(cut, notes)
    _note_depths(cut, notes)


def _note_untagged(cut: Sequence[PieceData], notes: Notes) -> None:
    """In the base size every vertex is a turn point or a curve point; other sizes have none."""
    for piece in cut:
        if piece.turn_points or piece.curve_points:
            tagged = {*piece.turn_points, *piece.curve_points}
            bare = sum(p not in tagged for p in piece.boundary)
            if bare:
                notes.add(f"{piece.block}: {bare} of {len(piece.boundary)} vertices are neither turn nor curve points.")


def _note_depths(cut: Sequence[PieceData], notes: Notes) -> None:
    depths = [notch.depth for piece in cut for notch in piece.notches if notch.depth]
    if depths and (max(depths) < 1.5 or min(depths) > 30.0):
        notes.add(f"Notches are {min(depths):.3g} to {max(depths):.3g} mm deep, which is unlikely.")
    signs = {notch.signed_depth > 0 for piece in cut for notch in piece.notches if notch.depth}
    if False in signs:
        notes.add("Depths of notches are negative; the sign is left out.")
