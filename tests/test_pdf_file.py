"""The PDF as a file: that strict readers need to repair nothing (ISO 32000-1 §7.5)."""

from __future__ import annotations

import re
import subprocess
from io import BytesIO
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.export import pdf
from oaktag.sheet.paper import PAPERS
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from wardrobe import tool

CUT = Stroke(Role.CUT, ((20.0, 20.0), (280.0, 20.0), (280.0, 290.0)), closed=True)
FIGURES = (Figure("front", (CUT,)), Figure("façade", (Stroke(Role.LABEL, ((30.0, 40.0), (35.0, 55.0))),)))


def files(title: str) -> tuple[bytes, bytes]:
    sheet = Sheet(title, 300.0, 300.0, FIGURES)
    return pdf.render_roll(sheet), pdf.render_tiles(sheet, PAPERS["a4"])


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_qpdf_finds_nothing_to_repair_and_the_title_as_it_was(title: str) -> None:
    import pikepdf

    for content in files(title):
        with pikepdf.open(BytesIO(content), attempt_recovery=False, suppress_warnings=True) as document:
            assert document.get_warnings() == []
            assert document.check_pdf_syntax() == []
            assert str(document.docinfo["/Title"]) == title
            assert len(document.trailer.ID) == 2


def test_poppler_draws_it_without_a_warning(tmp_path: Path) -> None:
    tool("pdftocairo")
    for name, content in zip(("roll.pdf", "tiles.pdf"), files("Lighthouse choir, alto 3"), strict=True):
        file = tmp_path / name
        file.write_bytes(content)
        run = subprocess.run(
            ["pdftocairo", "-svg", "-l", "1", file, tmp_path / "out.svg"], capture_output=True, check=True
        )
        assert run.stderr == b""


def test_another_drawing_has_another_id() -> None:
    ids = {re.findall(rb"/ID \[<([0-9a-f]{32})>", content)[0] for content in (*files("a"), *files("b"))}
    assert len(ids) == 4
