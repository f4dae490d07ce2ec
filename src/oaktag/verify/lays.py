"""The files of a lay, read back: every cut line where lay.json says that it lies, lay.json against pattern.json, and
whether the lay can be cut, by the judge that `oaktag lay --judge` asks too.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from math import cos, hypot, inf, radians, sin
from pathlib import Path
from typing import Any, Final

from ..errors import InputError
from ..formats import FORMATS, Format, Reader, function
from ..geometry.point import XY
from ..geometry.polygon import Box, area, distance_to_line
from ..lay.file import digest_holds, read_alone
from ..lay.judge import judged
from ..lay.pieces import LayPiece, Pieces, own_mirror_image, variants_of
from ..lay.placed import Lay, stretch_of
from ..values import dataclass
from .compare import Lines, fits_of
from .drawing import Drawing, Run, UnreadableError, mean_side
from .expected import Expected
from .lay_marks import lay_mark_facts
from .rows import Row

LAY: Final = "lay.json"
_ORDERS: Final = "orders.html"
_NEAR: Final = 0.02
"""lay.json has outlines to 0.001 mm and matrices to six digits."""
SQUARE_NAMES: Final = {100.0: "100 mm square", 101.6: "4 in square"}
_AGAIN: Final = "Lay it again with oaktag lay"
_JUDGE: Final = "judge"
_OWN: Final = "own reader"


def lay_files(folder: Path) -> tuple[Path, ...]:
    """Every lay.json of a folder: one, or those of an order that was split over several."""
    found = [path for path in folder.glob("lay*.json") if re.fullmatch(r"lay(-.+-?\d+|-\d+)?", path.stem)]
    return tuple(sorted(found, key=lambda path: (path.stem.rstrip("0123456789"), len(path.stem), path.stem)))


def lay_rows(folder: Path, pattern: Path | None, only: str = "", meant: Sequence[Expected] = ()) -> Iterator[Row]:
    """A row for the outlines of each kind of cloth, three for what is judged of it, and for each file of a lay.

    `pattern`: the pattern.json that it must be of; None where there is none, as in a folder that oaktag lay wrote.
    `only` names one file. Files for a device that were corrected or made for a knife are passed over: `plain` is false
    then. A lay.json that cannot be read is a failed row.
    """
    known = _Known.of(pattern)
    paths = lay_files(folder)
    orders = folder / _ORDERS
    if orders.is_file() and only in ("", _ORDERS):
        yield _orders_row(orders, paths)
    for path in paths:
        try:
            data, laid = read_alone(path)
            rows = [
                row for lay, (own, pieces) in zip(data["lays"], laid, strict=True)
                for row in _judged_rows(path.name, lay, own, pieces, known)
            ]  # fmt: skip
            outlines = [list(_outlines(lay)) for lay in data["lays"]]
            plain = bool(data["plain"])
        except InputError as error:
            yield _told(path.name, "the file", f"{path.name} cannot be read: {error.found}")
            continue
        except (ValueError, KeyError, TypeError, IndexError) as error:
            yield _told(path.name, "the file", f"{path.name} cannot be read: {error!r}"[:200])
            continue
        if only in ("", path.name):
            yield from rows
        for own_lay, rings in zip(data["lays"], outlines, strict=True):
            base = f"{path.stem}-{own_lay['material']}" if len(outlines) > 1 else path.stem
            for form in FORMATS:  # a correction of the device, or a knife's way, is drawn into what is for a device
                file, how = folder / f"{base}{form.lay}", form.lay_reader
                if how and file.is_file() and only in ("", file.name) and (plain or not form.device):
                    yield from _file_rows(file, form, how, rings, own_lay, meant)


def _told(file: str, what: str, wrong: str, reader: str = _OWN, right: str = "") -> Row:
    """A row of what is not measured; 0 where nothing is wrong."""
    return Row(file, reader, what, None if wrong else 0.0, _NEAR, not wrong, f"{wrong}. {_AGAIN}." if wrong else right)


@dataclass(frozen=True, slots=True)
class _Known:
    """What pattern.json says of each piece, by name and size; nothing where there is none."""

    pieces: Mapping[tuple[str, str], Any]
    sizes: tuple[str, ...] = ()

    @classmethod
    def of(cls, pattern: Path | None) -> _Known:
        if pattern is None:
            return cls({})
        told = json.loads(pattern.read_bytes())["pieces"]
        sizes = tuple(dict.fromkeys(str(piece["size"]) for piece in told))
        several = len(sizes) > 1
        return cls({(str(p["name"]), str(p["size"]) if several else ""): p for p in told}, sizes)


def _judged_rows(file: str, row: Any, lay: Lay, pieces: Pieces, known: _Known) -> Iterator[Row]:
    """What of one kind of cloth is held to pattern.json, and what is judged."""
    placed = [(p, own) for stretch, part in zip(lay.stretches, row["stretches"], strict=True)
              for p, own in zip(stretch.placements, part["placements"], strict=True)]  # fmt: skip
    off = max((_off_lines(p.outline(), [(float(x), float(y)) for x, y in own["outline"]]) for p, own in placed),
              default=None)  # fmt: skip
    if off is not None and known.pieces:
        off = max(off, *_as_placed(row, known))
    yield _row(file, _OWN, f"{lay.material}: {len(placed)} outlines", off, _NEAR)
    where = [(p.whole_move(), own["matrix"]) for p, own in placed]
    moved = [
        abs(a - float(b)) for m, own in where for a, b in zip((m.xx, m.xy, m.yx, m.yy, m.dx, m.dy), own, strict=True)
    ]
    yield _row(file, _OWN, f"{lay.material}: matrices", max(moved, default=None), _NEAR)
    verdict = judged(lay, pieces)
    more = f", and {len(verdict.problems) - 3} more" if len(verdict.problems) > 3 else ""
    yield _told(file, f"{lay.material}: it can be cut", "; ".join(verdict.problems[:3]) + more, _JUDGE,
                f"{len(placed)} pieces apart from each other, on the cloth, along the grain, each once")  # fmt: skip
    wrong = next(_wrong_pieces(row, lay, pieces, known), "")
    yield _told(file, f"{lay.material}: its cut list", wrong, _OWN, "every piece as often as it is cut")
    yield _told(file, f"{lay.material}: cloth and length", next(_wrong_cloth(row, lay), ""), _OWN, "as they add up")


def _wrong_cloth(row: Any, lay: Lay) -> Iterator[str]:
    """What of lengths and spreads does not add up."""
    for number, (stretch, part) in enumerate(zip(lay.stretches, row["stretches"], strict=True)):
        spread = row["cloth"]["spread"] if number == 0 else "open"
        if part["spread"] != spread:
            yield f"a stretch is told to be spread {part['spread']!r}, {spread!r} is meant"
        wanted = stretch_of(stretch.cloth, stretch.placements).length
        if abs(wanted - stretch.length) > _NEAR:
            yield f"a stretch is told to be {stretch.length:.2f} mm long, its pieces need {wanted:.2f} mm"
    for key, wanted, limit in (
        ("length", lay.length, _NEAR),
        ("to_buy", lay.to_buy, _NEAR),
        ("use_percent", lay.use, 0.01),
    ):
        if abs(float(row[key]) - wanted) > limit:
            yield f"{key} is told to be {float(row[key]):.3f}, {wanted:.3f} is what its stretches give"


def _wrong_pieces(row: Any, lay: Lay, pieces: Pieces, known: _Known) -> Iterator[str]:
    """What of the cut list is not as the pattern, or the cloth, has it."""
    if not digest_holds(row, pieces):
        yield "the outlines of its cut list are not those that it was laid with"
    one = {(p.name, p.size, p.copy): p for p in pieces.spread}
    groups: dict[tuple[str, str], list[LayPiece]] = {}
    for piece in one.values():
        groups.setdefault((piece.name, piece.size), []).append(piece)
    for (name, size), own in groups.items():
        label = f"{name}, size {size}" if size else name
        yield from _wrong_copies(label, own, lay)
        if not known.pieces:
            continue
        told = known.pieces.get((name, size))
        if told is None:
            yield f"pattern.json has no {label}"
            continue
        first = own[0]
        for words, here, there in (
            ("quantity", first.quantity, told["quantity"]), ("pair", first.pair, told["mirrored_pair"]),
            ("on the fold", first.on_fold or first.unfolded, told["on_fold"]),
            ("cloth", lay.material, told["material"]),
        ):  # fmt: skip
            if here != there:
                yield f"{label}: {words} is {here}, pattern.json has {there}"
        for piece in own:
            yield from _wrong_home(label, piece, told)
    sizes = {size for _, size in groups}
    for (name, size), told in known.pieces.items():
        if told["material"] == lay.material and size in sizes and (name, size) not in groups:
            yield f"{name}{f', size {size}' if size else ''} of pattern.json is not in it"


def _wrong_copies(label: str, own: Sequence[LayPiece], lay: Lay) -> Iterator[str]:
    """Whether a piece lies as often as its way of spreading asks for, and in the ways that the cloth allows.

    On open cloth each is cut by itself, every second of a pair mirrored, halves whole; in two layers a pair, or two
    that are their own mirror image, at one go, halves on the fold, and what is left over from opened cloth.
    """
    cloth, first = lay.cloth, own[0]
    half = first.on_fold or first.unfolded
    two = cloth.layers == 2
    if half:
        wanted, opened = first.quantity, 0
        if first.on_fold != two:
            yield f"{label} is laid {'on a fold' if first.on_fold else 'whole'} on cloth that lies {cloth.words()}"
    elif not two:
        wanted, opened = first.quantity, 0
        flipped = sum(_mirrors(piece) for piece in own)
        if flipped != (wanted // 2 if first.pair else 0):
            yield f"{label}: {flipped} of {len(own)} are mirrored"
    else:
        paired = first.pair or own_mirror_image(first.outline)
        opened = first.quantity % 2 if paired else first.quantity
        wanted = opened + (first.quantity // 2 if paired else 0)
    if len(own) != wanted:
        yield f"{label} is in it {len(own)} times, {wanted} are meant"
    flat = 0
    for piece in own:
        opened_out = two and piece.variants == variants_of(cloth, piece.one_way, on_fold=False, layers=1)
        flat += opened_out
        if not opened_out and piece.variants != variants_of(
            cloth, piece.one_way, on_fold=piece.on_fold, layers=cloth.layers
        ):
            yield f"{label} is let lie in ways that its cloth ({cloth.words()}) does not allow"
        where = {
            number > 0 for number, stretch in enumerate(lay.stretches) for placed in stretch.placements
            if (placed.piece.name, placed.piece.size, placed.piece.copy) == (piece.name, piece.size, piece.copy)
        }  # fmt: skip
        if where - {opened_out}:
            yield f"{label} lies on the stretch where {'two layers are' if opened_out else 'one layer is'} cut"
    if two and flat != opened:
        yield f"{label}: {flat} are cut from opened cloth, {opened} are meant"


def _mirrors(piece: LayPiece) -> bool:
    return piece.home.xx * piece.home.yy - piece.home.xy * piece.home.yx < 0


def _wrong_home(label: str, piece: LayPiece, told: Any) -> Iterator[str]:
    """Whether the piece, brought home, has its grain upright, its fold on x = 0, and its matched points at notches."""
    grain = [piece.home.point((float(x), float(y))) for x, y in told["grain_line"]]
    if grain:
        (ax, ay), (bx, by) = grain
        if abs(ax - bx) > 0.002 * hypot(bx - ax, by - ay) + _NEAR:
            yield f"{label} is not laid along its grain line"
    notches = [piece.home.point((float(x), float(y))) for x, y in (notch["point"] for notch in told["notches"])]
    for match in piece.matches:
        x = abs(match.at[0]) if piece.unfolded else match.at[0]
        if all(hypot(x - (abs(p[0]) if piece.unfolded else p[0]), match.at[1] - p[1]) > _NEAR for p in notches):
            yield f"{label} is matched at a point of {match.seam} that is no notch"


def _orders_row(orders: Path, paths: Sequence[Path]) -> Row:
    """Whether the sheet of orders names the lays beside it, and what each of them makes."""
    text = orders.read_text(encoding="utf-8", errors="replace")
    rows = dict(re.findall(r'<tr><th scope="row"><a href="([^"]+)\.html">[^<]*</a></th>(.*?)</tr>', text, re.S))
    here = {path.stem for path in paths}
    wrong = ""
    if lacking := sorted(set(rows) - here):
        wrong = f"it names {lacking[0]}, and there is no {lacking[0]}.json"
    elif more := sorted(here - set(rows)):
        wrong = f"it does not name {more[0]}.json"
    elif not rows:
        wrong = "it names no lay"
    for path in paths if not wrong else ():
        cells = [re.sub(r"<[^>]*>", "", cell) for cell in re.findall(r"<td[^>]*>(.*?)</td>", rows[path.stem], re.S)]
        try:
            data = json.loads(path.read_bytes())
            counts = [str(count) for count in data["quantities"].values() if count]
            plies = str(data.get("plies", 1))
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            continue  # that is told of the lay
        asked = [cell for cell in cells[:-3] if cell != "\N{EN DASH}"]
        if Counter(asked) != Counter(counts) or cells[-3:-2] != [plies]:
            said = ", ".join(cells[:-2])
            wrong = f"of {path.stem} it says {said}, and {path.name} has {', '.join(counts)} in {plies} plies"
    return _told(_ORDERS, "the lays that it names", wrong, _OWN, "all beside it")


def _row(file: str, reader: str, what: str, worst: float | None, limit: float) -> Row:
    held = worst is not None and worst <= limit
    said = "was not found" if worst is None else f"is {worst:.3f} mm off; at most {limit:g} mm is allowed"
    return Row(file, reader, what, worst, limit, held, "" if held else f"{what} {said}. {_AGAIN}.")


def _outlines(lay: Any) -> Iterator[tuple[XY, ...]]:
    bottom = 0.0
    for stretch in lay["stretches"]:
        for placed in stretch["placements"]:
            yield tuple((float(x), float(y) + bottom) for x, y in placed["outline"])
        bottom += float(stretch["length"])


def _as_placed(lay: Any, known: _Known) -> Iterator[float]:
    """How far each cut line of the pattern is off the outline of the lay once its matrix has moved it, mm."""
    for stretch in lay["stretches"]:
        for placed in stretch["placements"]:
            xx, xy, yx, yy, dx, dy = (float(v) for v in placed["matrix"])
            outline = [(float(x), float(y)) for x, y in placed["outline"]]
            closed = [*outline, outline[0]]
            told = known.pieces.get((str(placed["piece"]), str(placed["size"])))
            if told is None:
                yield inf
                continue
            ring = [(float(x), float(y)) for x, y in told["cut_line"]]
            moved = [(xx * x + xy * y + dx, yx * x + yy * y + dy) for x, y in ring]
            inner = [p for p in moved if not placed["unfolded"] or not _on_axis(p, placed)]
            yield max(distance_to_line(p, closed) for p in inner)


def _on_axis(p: XY, placed: Any) -> bool:
    """Whether a point of a half lies on the line about which it was unfolded: x = 0 before it was put down."""
    turn = radians(float(placed["turn"]))
    return abs(cos(turn) * (p[0] - float(placed["x"])) + sin(turn) * (p[1] - float(placed["y"]))) < _NEAR


def unread(file: Path, how: Reader, error: Exception) -> Row:
    """Of a file that its reader cannot read, and why: in its own words, else in the first line of its library's."""
    said = str(error)
    if not isinstance(error, UnreadableError):
        said = (said.splitlines() or [type(error).__name__])[0].replace(str(file), file.name)[:200]
    return Row(file.name, how.name, "file", None, how.limit, False, f"cannot be read: {said}. {_AGAIN}.")


def _file_rows(
    file: Path, form: Format, how: Reader, outlines: Sequence[Sequence[XY]], lay: Any, meant: Sequence[Expected]
) -> Iterator[Row]:
    try:
        drawing: Drawing = function(how.read)(file)
    except Exception as error:  # a library may raise anything on a damaged file
        yield unread(file, how, error)
        return
    runs = [run for group in (*drawing.cut.values(), (drawing.loose,)) for run in flat_runs(group) if run.closed]
    laid = laid_over_pages(drawing, outlines) if drawing.in_tiles else laid_in(runs, outlines)
    worst_line = laid.worst if laid is not None else None
    yield _row(file.name, how.name, f"{len(outlines)} cut lines", worst_line, how.limit)
    for fact in drawing.proved:
        yield _told(file.name, fact.what, fact.wrong, how.name, fact.right)
    if laid is not None and meant and drawing.marks and not form.device:
        several = len({piece.size for piece in meant}) > 1
        pieces = {(piece.name, piece.size if several else ""): piece for piece in meant}
        for what, found in lay_mark_facts(lay, drawing, pieces, outlines, laid.to_lay, how.limit):
            said = f"{found.wrong}. {_AGAIN}." if found.wrong else ""
            yield Row(file.name, how.name, what, found.worst, how.limit, not found.wrong, said)
    for side in SQUARE_NAMES:
        worst = max((abs(mean_side(square) - side) for square in drawing.squares.get(side, ())), default=None)
        yield _row(file.name, how.name, SQUARE_NAMES[side], worst, how.limit)


def flat_runs(group: Any) -> Iterator[Run]:
    for item in group:
        if isinstance(item, Run):
            yield item
        else:
            yield from flat_runs(item)


@dataclass(frozen=True, slots=True)
class Placed:
    """How the lay lies in a file: quarter turns, then a shift, from the file to the lay; and the worst distance, mm."""

    worst: float
    turns: int
    shift: XY

    def to_lay(self, p: XY) -> XY:
        x, y = _quarter(p, self.turns)
        return x + self.shift[0], y + self.shift[1]


def laid_over_pages(drawing: Drawing, outlines: Sequence[Sequence[XY]]) -> Placed | None:
    """All cut lines together, where pages cut through them."""
    drawn = Lines(run for runs in drawing.cut.values() for run in runs)
    fits = fits_of(drawn, Lines(Run(tuple(ring), closed=True) for ring in outlines))
    if not fits:
        return None
    place = fits[0].placement
    back = -place.turns % 4
    dx, dy = _quarter((place.dx, place.dy), back)
    return Placed(fits[0].worst, back, (-dx, -dy))


def laid_in(runs: Sequence[Run], outlines: Sequence[Sequence[XY]]) -> Placed | None:
    """All outlines found among the runs, at one turn and shift for the whole drawing; None if they are not."""
    if not runs or not outlines:
        return None
    largest = max(outlines, key=lambda ring: abs(area(ring)))
    best: Placed | None = None
    for turn in range(4):
        turned = [Run(tuple(_quarter(p, turn) for p in run.points), True) for run in runs]
        for run in turned:
            if abs(abs(area(run.points)) - abs(area(largest))) < 0.002 * abs(area(largest)):
                a, b = Box.round(run.points), Box.round(largest)
                shift = (b.left - a.left, b.bottom - a.bottom)
                if abs(a.width - b.width) < 1.0 and abs(a.height - b.height) < 1.0:
                    found = _off(turned, outlines, shift)
                    if found is not None and (best is None or found < best.worst):
                        best = Placed(found, turn, shift)
    return best


def _quarter(p: XY, turn: int) -> XY:
    for _ in range(turn):
        p = (-p[1], p[0])
    return p


def _off(runs: Sequence[Run], outlines: Sequence[Sequence[XY]], shift: XY) -> float | None:
    boxes = [(Box.round(run.points), run) for run in runs]
    worst = 0.0
    taken: set[int] = set()
    for outline in outlines:
        box = Box.round(outline)
        best: tuple[float, int] | None = None
        for i, (own, run) in enumerate(boxes):
            near = max(
                abs(own.left + shift[0] - box.left), abs(own.right + shift[0] - box.right),
                abs(own.bottom + shift[1] - box.bottom), abs(own.top + shift[1] - box.top),
            )  # fmt: skip
            if near < 1.0 and i not in taken:
                moved = [(x + shift[0], y + shift[1]) for x, y in run.points]
                off = max(_one_way(moved, outline), _one_way(outline, moved))
                if best is None or off < best[0]:
                    best = off, i
        if best is None:
            return None
        taken.add(best[1])
        worst = max(worst, best[0])
    return worst


def _off_lines(ring: Sequence[XY], other: Sequence[XY]) -> float:
    """The worst distance of two rings, either way, mm."""
    if len(other) < 3:
        return inf
    if len(ring) == len(other):  # point for point, as lay.json is written
        apart = max(hypot(ax - bx, ay - by) for (ax, ay), (bx, by) in zip(ring, other, strict=True))
        if apart <= _NEAR:
            return apart
    return max(_one_way(ring, other), _one_way(other, ring))


def _one_way(points: Sequence[XY], ring: Sequence[XY]) -> float:
    import shapely

    closed = shapely.LineString([*ring, ring[0]])
    return float(shapely.distance(shapely.points(points), closed).max())
