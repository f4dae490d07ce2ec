"""Draws the pieces of every garment of docs/wardrobe.md, and puts the picture below its heading there.

usage: python docs/pictures/pieces.py          (writes docs/pictures/pieces-NAME.svg and docs/wardrobe.md)

Each is made in its usual style for size 14 of the chart `women`, not to scale; tests/test_gallery.py sees that the
pictures are those of the code.
"""

from __future__ import annotations

import re
from pathlib import Path

HERE = Path(__file__).parent
PAGE = HERE.parent / "wardrobe.md"
SIZE = "14"


def told() -> list[str]:
    """The garments that the page has a section for, in its order."""
    return re.findall(r'`garment = "([a-z-]+)"`', PAGE.read_text(encoding="utf-8"))


def picture(name: str) -> tuple[str, str]:
    """The picture of a garment, and what is to be seen in it, in words."""
    from oaktag.body.charts import shipped
    from oaktag.body.measurements import Measurements
    from oaktag.draft.garment import find_garment
    from oaktag.draft.options import defaults
    from oaktag.export.small_svg import render
    from oaktag.finish.allowances import allow
    from oaktag.finish.marks import mark
    from oaktag.model.piece import title_of
    from oaktag.sheet.drawing import label_box

    garment = find_garment(name)
    body = Measurements(shipped("women").body(SIZE))
    draft = garment.drafted(body, defaults(garment.options, "in"), "in")
    pattern = mark(allow(draft, {}), title=name, size=SIZE, size_words=f"size {SIZE}", unit="in", label_box=label_box)
    return render(pattern), ", ".join(title_of(piece) for piece in draft.pieces)


def shown(page: str, name: str, words: str) -> str:
    """The page with the picture of a garment below the heading of its section, and nowhere else."""
    page = re.sub(rf'<img src="pictures/pieces-{name}\.svg"[^>]*>\n\n', "", page)
    heading = page.rindex("\n## ", 0, page.index(f'`garment = "{name}"`')) + 4
    end = page.index("\n\n", heading)
    image = f'<img src="pictures/pieces-{name}.svg" width="640" alt="{page[heading:end]}: {words}">'
    return f"{page[:end]}\n\n{image}{page[end:]}"


def main() -> None:
    page = PAGE.read_text(encoding="utf-8")
    for name in told():
        svg, words = picture(name)
        (HERE / f"pieces-{name}.svg").write_text(svg, encoding="utf-8", newline="\n")
        page = shown(page, name, words)
    PAGE.write_text(page, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
