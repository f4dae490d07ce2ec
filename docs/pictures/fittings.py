"""Draws the faults of docs/fitting.md: the sign on a figure, and what mending it does to the pieces.

usage: python docs/pictures/fittings.py       (writes fitting-NAME.svg here, for every fault whose picture the page shows)

Each is on the plainest garment that has the fault, for a standard figure, not to scale; tests/test_fitting_story.py sees
that the pictures are those of the code.
"""

from __future__ import annotations

import re
from pathlib import Path

HERE = Path(__file__).parent
PAGE = HERE.parent / "fitting.md"
GAP = 24


def told() -> list[str]:
    """The faults whose pictures the page shows."""
    return re.findall(r'src="pictures/fitting-(\w+)\.svg"', PAGE.read_text(encoding="utf-8"))


def render(name: str) -> str:
    """The figure, and beside it the pieces before and after."""
    from oaktag.export.body_figure import drawn
    from oaktag.export.fault_picture import picture
    from oaktag.fitting.ask import signs_of
    from oaktag.fitting.table import fault_of
    from oaktag.fitting.tried import shown, tried

    fault = fault_of(name)
    best = shown(tried((fault,), "cm")[name], fault)
    assert best is not None
    both = [drawn(signs_of(fault)[0]), picture(best, "cm")]
    sizes = [tuple(map(int, re.findall(r' (?:width|height)="(\d+)"', svg)[:2])) for svg in both]
    wide, high = sum(w for w, _ in sizes) + GAP, max(h for _, h in sizes)
    second = both[1].replace("<svg ", f'<svg x="{sizes[0][0] + GAP}" ', 1)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" viewBox="0 0 {wide} {high}">\n'
        f"<title>{fault.words}: the sign, and the pieces before, thin, and after, bold</title>\n"
        f'<rect width="{wide}" height="{high}" fill="#fff"/>\n{both[0]}\n{second}\n</svg>\n'
    )


def main() -> None:
    for name in told():
        (HERE / f"fitting-{name}.svg").write_text(render(name), encoding="utf-8", newline="\n")
        print(name, flush=True)


if __name__ == "__main__":
    main()
