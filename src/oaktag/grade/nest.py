"""From the drafts of several sizes to a nest: finished alike, so that they can be compared point by point."""

from __future__ import annotations

from collections.abc import Mapping

from ..finish.allowances import allow, chords_of
from ..finish.labels import LabelBox
from ..finish.marks import mark_sizes
from ..model.draft import Draft
from ..model.nest import Nest
from ..model.widths import Allowance
from ..units import Unit
from .alike import alike, most_chords, refuse_unlike


def graded(
    drafts: Mapping[str, Draft],
    base: str,
    allowances: Mapping[str, Allowance],
    corners: Mapping[str, str],
    *,
    title: str,
    unit: Unit,
    label_box: LabelBox,
    stack: str = "",
    date: str = "",
) -> Nest:
    """Every size with its allowances and marks, all lines with as many points in each; sizes in the order given.

    The grade of a point is the difference of its places in two sizes: nothing is graded that was not drafted.
    Raises DraftError where the sizes are not built alike, and what `allow` raises.
    """
    refuse_unlike(drafts, base)
    chords = most_chords([chords_of(draft, allowances) for draft in drafts.values()])
    cuts = {
        size: (allow(draft, allowances, corners, chords=own), size)
        for (size, draft), own in zip(drafts.items(), chords, strict=True)
    }
    patterns = mark_sizes(cuts, title=title, unit=unit, label_box=label_box, date=date)
    bodies = {size: draft.body for size, draft in drafts.items()}
    return Nest(alike(patterns), base, stack, bodies)
