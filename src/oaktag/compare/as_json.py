"""compare.json: all that was compared, in mm, rounded to 1e-4; y up, the new pieces as they lie on the old ones."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from ..geometry.point import XY
from .fits import EdgeFit, PieceFit
from .laid import Laid
from .table import Comparison, Row

FORMAT = 1


def render(compared: Comparison) -> bytes:
    """As UTF-8."""
    return (json.dumps(as_values(compared), ensure_ascii=False, indent=1) + "\n").encode("utf-8", "replace")


def as_values(compared: Comparison) -> dict[str, Any]:
    """The comparison as plain values."""
    old, new = compared.titled
    return {
        "oaktag_compare": FORMAT,
        "unit": "mm",
        "old": {"title": old, "garment": compared.old.garment, "size": compared.old.size},
        "new": {"title": new, "garment": compared.new.garment, "size": compared.new.size},
        "keep": _number(compared.keep),
        "fits": compared.held,
        "statement": compared.statement(),
        "only_old": list(compared.only_old),
        "only_new": list(compared.only_new),
        "pieces": [_piece(laid, fit) for laid, fit in zip(compared.laid, compared.fits, strict=True)],
        "edges": [
            {**_row(row, "piece"), "drawn_before": _number(row.drawn_before), "drawn_after": _number(row.drawn_after)}
            for row in compared.edges
        ],
        "levels": [_row(row, "worn") for row in compared.levels],
        "seams": [_row(row, "") for row in compared.seams],
    }


def _piece(laid: Laid, fit: PieceFit) -> dict[str, Any]:
    return {
        "name": laid.old.name,
        "title": laid.new.title,
        "at": laid.at,
        "turned_deg": _number(laid.turned),
        "shift": _point(laid.shift),
        "fits": fit.held,
        **({"hindered": fit.hindered} if fit.hindered else {}),
        "old_cut_line": _points(laid.old.cut_line),
        "old_stitch_line": _points(laid.old.stitch_line),
        "new_cut_line": _points(laid.new.cut_line),
        "new_stitch_line": _points(laid.new.stitch_line),
        "points": [
            {"name": m.name, "old": _point(m.old), "new": _point(m.new), "dx": _number(m.dx), "dy": _number(m.dy)}
            for m in laid.moves
        ],
        "cloth": [_fit(edge) for edge in fit.edges],
        "moves": [
            {"edge": edge.name, "at": name, "out": _number(out), "dx": _number(m.dx), "dy": _number(m.dy)}
            for edge in laid.old.edges
            for name, out, m in laid.seam_moves(edge.name)
        ],
    }


def _fit(edge: EdgeFit) -> dict[str, Any]:
    return {
        "edge": edge.edge,
        "allowance": _number(edge.of),
        "left": _number(edge.left),
        "most": _number(edge.most),
        "needed": _number(edge.needed),
        "fits": edge.held,
        "at": _point(edge.at),
        "near": edge.place[0],
        "snips": _points(edge.snips),
    }


def _row(row: Row, of: str) -> dict[str, Any]:
    return {
        **({of: row.of} if of else {}),
        "name": row.name,
        "before": _number(row.before),
        "after": _number(row.after),
        "change": _number(row.change),
    }


def _points(line: Sequence[XY] | Iterable[XY]) -> list[list[float | None]]:
    return [_point(p) for p in line]


def _point(p: XY) -> list[float | None]:
    return [_number(p[0]), _number(p[1])]


def _number(value: float | None) -> float | None:
    return None if value is None else round(value, 4) + 0.0
