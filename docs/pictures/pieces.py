"""Draws every garment of docs/wardrobe.md: as worn, its pieces, and its options; and puts the pictures in their places.

usage: python docs/pictures/pieces.py [NAME…]   (writes flat-, pieces- and styles-NAME.svg here, and docs/wardrobe.md;
                                                  all garments, or those that are named)

Each is made in its usual style for size 14 of the chart `women`, or 110 of `children`, not to scale; tests/test_gallery.py sees that the
pictures are those of the code.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

HERE = Path(__file__).parent
PAGE = HERE.parent / "wardrobe.md"
SIZES = {"women": "14", "children": "110"}
sys.path.insert(0, str(HERE))

if TYPE_CHECKING:
    from oaktag.model.draft import Draft


def told() -> list[str]:
    """The garments that the page has a section for, in its order."""
    return re.findall(r'`garment = "([a-z-]+)"`', PAGE.read_text(encoding="utf-8"))


def chart_of(name: str) -> str:
    """The chart whose middle size shows a garment."""
    from oaktag.draft.garment import find_garment

    return "children" if find_garment(name).for_whom == "children" else "women"


def drafted(name: str, **style: object) -> Draft:
    """A garment in a style, the rest as usual. Raises OaktagError where it cannot be drafted so."""
    from oaktag.body.charts import shipped
    from oaktag.body.measurements import Measurements
    from oaktag.draft.garment import find_garment
    from oaktag.draft.options import validated
    from oaktag.errors import Where

    garment = find_garment(name)
    read, errors = validated(garment.options, style, "in", lambda key: Where("pictures", 0, key))
    if errors:
        raise errors[0]
    chart = chart_of(name)
    taken = Measurements(shipped(chart).body(SIZES[chart]), wearer="child" if chart == "children" else "")
    return garment.drafted(taken, read, "in")


def picture(name: str) -> tuple[str, str]:
    """The picture of a garment's pieces, and what is to be seen in it, in words."""
    from oaktag.export.small_svg import render
    from oaktag.finish.allowances import allow
    from oaktag.finish.marks import mark
    from oaktag.model.piece import title_of
    from oaktag.sheet.drawing import label_box

    draft, size = drafted(name), SIZES[chart_of(name)]
    pattern = mark(allow(draft, {}), title=name, size=size, size_words=f"size {size}", unit="in", label_box=label_box)
    return render(pattern), ", ".join(title_of(piece) for piece in draft.pieces)


def worn(name: str) -> str:
    """The picture of a garment as worn, front and back."""
    import flats

    return flats.render(drafted(name), f"{name}, front and back")


def shown(page: str, name: str, words: str) -> str:
    """The page with the pictures of a garment below the heading of its section, its options below their table."""
    page = re.sub(rf'<img src="pictures/(?:flat|pieces|styles)-{name}\.svg"[^>]*>\n\n', "", page)
    heading = page.rindex("\n## ", 0, page.index(f'`garment = "{name}"`')) + 4
    end = page.index("\n\n", heading)
    title = page[heading:end]
    images = (
        f'<img src="pictures/flat-{name}.svg" alt="{title} as worn, front and back">\n\n'
        f'<img src="pictures/pieces-{name}.svg" width="640" alt="{title}: {words}">'
    )
    page = f"{page[:end]}\n\n{images}{page[end:]}"
    options = f'<img src="pictures/styles-{name}.svg" width="800" alt="{title}: what its options change">\n\n'
    following = page.find("\n## ", end)
    table = re.compile(r"(?:^\|.*\n)+\n", re.MULTILINE).search(page, end)
    if table is None or 0 <= following < table.start():  # its options are told elsewhere
        below = page.index("\n\n", page.index("pictures/pieces-", end)) + 2
    else:
        below = table.end()
    return f"{page[:below]}{options}{page[below:]}"


def main(names: list[str]) -> None:
    import styles

    page = PAGE.read_text(encoding="utf-8")
    for name in names or told():
        svg, words = picture(name)
        for kind, text in (("flat", worn(name)), ("pieces", svg), ("styles", styles.sheet(name, drafted))):
            (HERE / f"{kind}-{name}.svg").write_text(text, encoding="utf-8", newline="\n")
        page = shown(page, name, words)
        print(name, flush=True)
    PAGE.write_text(page, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
