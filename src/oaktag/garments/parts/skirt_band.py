"""A straight waistband with a zip, or a casing for elastic, sewn to the upper edge of a skirt as it is, or gathered.

Band: as long as the line it is sewn to and its lap (1 in, garments handbook, waistbands); elastic 1 in shorter than the
waist (common practice, no source).
"""

from __future__ import annotations

from ...claims.girth import Girth
from ...claims.openings import Passes
from ...draft.board import Board
from ...model.draft import Notion
from ...model.length import Length, greatest, inch, mm
from ...model.piece import LineKind, sew
from ...model.ref import refs
from .part import Part


def skirt_band(
    on: Board, panels: Part, line: Length, *, wide: Length, lap: Length, ease: Length, gathers: Length | None = None,
    zip_end: Length | None = None, at: str = "back",
) -> Part:  # fmt: skip
    """The band for a skirt whose upper edge, gathered by `gathers`, is `line` all round; without a zip a casing."""
    body, fastened = on.body, zip_end is not None
    band = on.sketch("waistband")
    band.box(line + lap if fastened else line, wide * 2, ("under_end", "waist", "lap_end", "inside_edge"))
    band.between("fold_start", "bottom_left", "top_left")
    band.between("fold_end", "bottom_right", "top_right")
    band.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    if fastened and lap.mm:
        band.notch("waist", "band end", "bottom_right", at=lap)
    stretch = f"waistband.waist from start to {'band end' if fastened and lap.mm else 'end'}"
    if gathers is not None and gathers.mm > 0.5:
        seam = sew("waist seam", *panels.top, to=stretch, how="gathered", ease=gathers.mm)
    else:
        seam = sew("waist seam", stretch, to=panels.top)
    if zip_end is not None:
        if at == "side":
            on.note("The zip is in the left side seam.")
        claim = Girth("girth.waist", "Change ease_waist.", "waist", body.waist_girth, ease, refs(stretch))
        return Part((band.piece(),), (seam,), (claim,), (Notion("zip", zip_end.mm, "zip_long", "", "zip end"),))
    on.note(f"Cut the elastic {on.say(body.waist_girth - on.usual(inch(1)))} long: {on.say(on.usual(inch(1)))} less "
            "than the waist (common practice, no source).")  # fmt: skip
    passes = [Passes("entry.hip", "choose a zip.", "casing", refs(stretch), "hip", hip, "as measured", mm(0).mm)
              for hip in (body.get("hip_girth"),) if hip is not None]  # fmt: skip
    join = sew("casing join", "waistband.under_end", to="waistband.lap_end")
    return Part((band.piece(),), (join, seam), tuple(passes))


def zip_down(on: Board, asked: Length | None, waist: Length, long: Length, *, slope: float = 0.0) -> Length:
    """How long a zip opens a skirt so that the hip passes: 7 in at least, half of what the hip has over the waist and
    2 in more [chosen, worked rules proved on a survey], and to where a flaring skirt is as wide as the hip: it widens
    by `slope` of its depth. Raises DraftError where it is too long for the skirt."""
    hip, zip_end = on.body.get("hip_girth"), asked or on.usual(inch(7))
    if asked is None and hip is not None:
        reach = (hip - on.body.waist_girth + inch(2)) / 2
        zip_end = greatest(zip_end, greatest(reach, (hip - waist) / slope) if slope else reach)
    zip_end = zip_end.called("zip")
    on.work("zip_long", zip_end)
    if zip_end > long - inch(1):
        on.refuse(f"a zip of {on.say(zip_end)} is too long for a skirt of {on.say(long)}", "long to more, or zip_long")
    return zip_end
