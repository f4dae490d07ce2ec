"""Structure that hangs on a number is settled on the base size, for all sizes."""

from __future__ import annotations

from pathlib import Path

from oaktag.job import load_job
from oaktag.pipeline import nest_of

JOB = """
garment = "step.py"
units = "cm"
[sizes]
chart = "women"
make = ["8", "14", "20"]
base = "14"
"""

STEP = """
from oaktag import Board, Cut, Draft, Length, choice, cm, garment, length, mm

@garment("a cloth that has a corner cut off where it is wide")
def step(on: Board, *, corner: str = choice("corner", "auto", "cut", "whole")) -> Draft:
    wide = on.body.hip_girth / 4
    s = on.sketch("cloth", Cut("fold"))
    s.at("a")
    s.at("b", down=cm(30))
    s.at("c", right=wide, down=cm(30))
    s.at("d", right=wide)
    s.fold("fold", "a", "b")
    s.edge("low", "b", "c")
    if on.settle("corner", "cut" if wide > cm(LIMIT) else "whole") == "cut":
        s.at("e", right=wide, down=cm(5))
        s.at("f", right=wide - cm(5))
        s.edge("side", "c", "e")
        s.edge("corner", "e", "f")
        s.edge("top", "f", "a")
    else:
        s.edge("side", "c", "d")
        s.edge("top", "d", "a")
    return on.draft([s.piece()])
"""


def corners(tmp_path: Path, limit: float, style: str = "") -> list[bool]:
    """Of every size, whether its corner is cut off."""
    from oaktag.outside.trust import trust

    (tmp_path / "step.py").write_text(STEP.replace("LIMIT", str(limit)), encoding="utf-8")
    (tmp_path / "step.toml").write_text(JOB + style, encoding="utf-8")
    trust(tmp_path)
    nest = nest_of(load_job(tmp_path / "step.toml"))
    return [any(edge.name == "corner" for edge in p.pieces[0].cut.piece.edges) for p in nest.patterns]


def test_all_sizes_are_built_as_the_base_is(tmp_path: Path, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    """Hips of the chart in cm: 8 89, 14 97, 20 104; a quarter of the base's is 24."""
    monkeypatch.setenv("OAKTAG_DEVICES", str(tmp_path / "kept"))
    assert corners(tmp_path, 23.5) == [True] * 3
    assert corners(tmp_path, 25.0) == [False] * 3
    assert corners(tmp_path, 25.0, '[style]\ncorner = "cut"\n') == [True] * 3
