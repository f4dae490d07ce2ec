"""What a fitting did to a draft, as rows for the screen, the report and pattern.json."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.draft import Draft
from ..model.fitted import SeamFitted
from ..model.piece import piece_words
from ..units import Unit, show


def fault_rows(draft: Draft, unit: Unit) -> Iterator[tuple[str, str, str, str, str]]:
    """Fault, amount, edge, before, after: of every fault the edges whose length it changed; of one that changed none,
    its pieces."""
    for one in draft.altered:
        words, amount = one.ask.words, show(one.ask.amount, unit)
        if not one.edges:
            yield words, amount, ", ".join(map(piece_words, one.pieces)), "", "lengths as they were"
        for edge in one.edges:
            yield words, amount, _edge_words(edge.name), show(edge.before, unit), show(edge.after, unit)
            words = amount = ""


def seam_rows(draft: Draft, unit: Unit) -> Iterator[tuple[str, str, str, str]]:
    """Seam, before, after, ease after: of the seams that all faults together changed; the longer side."""
    for seam in draft.fitted:
        before, after = max(seam.a[0], seam.b[0]), max(seam.a[1], seam.b[1])
        eases = [show(abs(_ease(seam, k)), unit) for k in (0, 1)]
        ease = eases[1] if eases[0] == eases[1] else f"{eases[0]} before, {eases[1]} after"
        yield seam.name, show(before, unit) if before else "none", show(after, unit), ease


def _ease(seam: SeamFitted, when: int) -> float:
    return seam.a[when] - seam.b[when]


def _edge_words(name: str) -> str:
    piece, _, edge = name.partition(".")
    return f"{piece_words(piece)}, {piece_words(edge)}"


def lines(draft: Draft, unit: Unit) -> list[str]:
    """As text: `sway back 1 cm: back, centre back 41.9 cm -> 40.9 cm`; then the seams."""
    found: list[str] = []
    for words, amount, edge, before, after in fault_rows(draft, unit):
        said = f"{edge} {before} -> {after}" if before else f"{edge}: {after}"
        found.append(f"- {words} {amount}: {said}" if words else f"  {said}")
    found += [
        f"- seam: {name} {before} -> {after}; ease {ease}" for name, before, after, ease in seam_rows(draft, unit)
    ]
    return found
