"""The projection page: one HTML file that throws a sheet on the cutting table, true to size.

The page is put together from `projection_page/`: its parts are written into one file, with the figures as JSON. It
fetches nothing; its content security policy names the one script and the one style by their hashes.
"""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256
from html import escape
from importlib.resources import files
from typing import Final, Literal

from ..errors import GeometryError
from ..geometry.point import XY
from ..model.piece import piece_words
from ..sheet.strokes import Figure, Role, Sheet
from ..units import Unit
from .report_page import NOT_SHOWN
from .svg import refuse_outside

SCRIPTS: Final = ("fit", "lengths", "keep", "pieces", "draw", "state", "over", "verbs", "main")
"""The parts of the script, in the order in which they build on each other."""
WORDS: Final = {role: role.name.lower() for role in Role}
"""What the page calls a role."""
_GAP: Final = re.compile(r"\{\{(\w+)\}\}")


def render(sheet: Sheet, unit: Unit, *, start: Literal["pieces", "lay"] = "pieces") -> bytes:
    """The page, UTF-8. Coordinates are kept to 0.01 mm; `unit` is what lengths are shown and typed in.

    `start` is how it opens: "pieces" with one figure alone in the middle of the mat, moved by itself; "lay" with all of
    them as the sheet places them, moved together. Figures whose sizes are stacked keep the line pattern of each size. A
    figure with a stroke of two points of role FOLD can be unfolded about it, each size about its own where it has one.
    Raises GeometryError for a sheet without figures, and for a stroke that leaves the sheet or is no number.
    """
    if not sheet.figures:
        raise GeometryError("there is nothing to throw on the table: the sheet has no figures")
    refuse_outside(sheet)
    sizes = dict.fromkeys(size for figure in sheet.figures for size in (figure.size, *figure.sizes()) if size)
    data = {
        "unit": unit,
        "start": start,
        "sizes": list(sizes),
        "figures": [_figure(figure) for figure in sheet.figures],
    }
    script = '"use strict";\n(() => {\n' + "\n".join(_part(f"{name}.js") for name in SCRIPTS) + "})();\n"
    style = "\n" + _part("page.css")
    parts = {
        "title": escape(NOT_SHOWN.sub("\ufffd", sheet.title)),
        "policy": (
            f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; img-src data:; "
            "base-uri 'none'; form-action 'none'"
        ),
        "style": style,
        "script": script,
        "figures": _json(data),
    }
    return _GAP.sub(lambda gap: parts[gap[1]], _part("page.html")).encode("utf-8")


def _part(name: str) -> str:
    return (files(__package__) / "projection_page" / name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    """As a content security policy names it (CSP level 2, 4.2.5)."""
    return f"sha256-{b64encode(sha256(text.encode('utf-8')).digest()).decode('ascii')}"


def _json(data: object) -> str:
    """JSON that cannot end the script element that it stands in, nor open a comment there."""
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _figure(figure: Figure) -> dict[str, object]:
    """Its strokes by role, size and pattern, as `Figure.alike` groups them."""
    folds = {s.size: s.points for s in figure.strokes if s.role is Role.FOLD and len(s.points) == 2}
    groups = [
        {
            "role": WORDS[role],
            "size": own.strokes[0].size,
            "dashes": None if own.dashes is None else [round(part, 2) for part in own.dashes],
            "phase": round(own.phase, 2),
            "lines": [[int(stroke.closed), _steps(stroke.points)] for stroke in own.strokes],
            "corners": [_steps(points) for points in own.corners],
        }
        for role, alike in figure.alike().items()
        for own in alike
    ]
    words = piece_words(figure.name)
    return {
        "name": figure.name,
        "size": figure.size,
        "label": f"{words}, size {figure.size}" if figure.size else words,
        "folds": [[size, _steps(points)] for size, points in folds.items()],
        "groups": groups,
    }


def _steps(points: Sequence[XY]) -> list[int]:
    """x, y, x, y, … in hundredths of a mm, each as its step from the one before; places are rounded, not steps.

    >>> _steps([(10.0, 0.0), (10.004, 5.0), (10.008, 5.0)])
    [1000, 0, 0, 500, 1, 0]
    """
    steps: list[int] = []
    x = y = 0
    for point in points:
        across, up = round(point[0] * 100), round(point[1] * 100)
        steps += (across - x, up - y)
        x, y = across, up
    return steps
