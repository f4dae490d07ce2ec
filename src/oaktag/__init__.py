"""Oaktag: measurements in, checked full-scale sewing patterns out.

Order in which to read the source: errors, units, geometry, model, body, draft, garments, finish, checks, sheet,
export, verify, job, pipeline, cli. Each imports only from what stands before it.

The names below are for garments of one's own and for notebooks; each is imported when it is first asked for.
"""

TYPE_CHECKING = False
if TYPE_CHECKING:
    from .body.measurements import Measurements
    from .claims.girth import EaseInRange, Girth, LengthTo, RunAsLong
    from .claims.openings import BodyPasses, OpensTo, Passes
    from .draft.board import Board
    from .draft.cuts import cut, cut_through
    from .draft.facings import facing
    from .draft.garment import Garment, Names, Style
    from .draft.lined import lining, pleated
    from .draft.moves import copy, join, mirror, unfold
    from .draft.options import ChoiceOption, LengthOption
    from .draft.pivots import flare, lap, pivot, spread, widen
    from .draft.rulers import FRENCH_CURVE, HIP_CURVE, STRAIGHT, compass, curve
    from .draft.signature import choice, count, flag, garment, length, share
    from .draft.sketch import Sketch
    from .draft.strips import band, casing
    from .draft.worksheet import Worksheet
    from .errors import DraftError, InputError
    from .geometry.point import Point
    from .model.claim import Claim
    from .model.cord import Cord
    from .model.draft import Draft, Notion
    from .model.length import Length, cm, greatest, inch, least, mm, total
    from .model.piece import Cut, Edge, EdgeKind, InternalLine, LineKind, NotchPlace, Piece, Seam, sew
    from .model.ref import Ref, refs
    from .notebook import make, pattern, try_on
    from .units import Unit

__all__ = [
    "FRENCH_CURVE",
    "HIP_CURVE",
    "STRAIGHT",
    "Board",
    "BodyPasses",
    "ChoiceOption",
    "Claim",
    "Cord",
    "Cut",
    "Draft",
    "DraftError",
    "EaseInRange",
    "Edge",
    "EdgeKind",
    "Garment",
    "Girth",
    "InputError",
    "InternalLine",
    "Length",
    "LengthOption",
    "LengthTo",
    "LineKind",
    "Measurements",
    "Names",
    "NotchPlace",
    "Notion",
    "OpensTo",
    "Passes",
    "Piece",
    "Point",
    "Ref",
    "RunAsLong",
    "Seam",
    "Sketch",
    "Style",
    "Unit",
    "Worksheet",
    "band",
    "casing",
    "choice",
    "cm",
    "compass",
    "copy",
    "count",
    "curve",
    "cut",
    "cut_through",
    "facing",
    "flag",
    "flare",
    "garment",
    "greatest",
    "inch",
    "join",
    "lap",
    "least",
    "length",
    "lining",
    "make",
    "mirror",
    "mm",
    "pattern",
    "pivot",
    "pleated",
    "refs",
    "sew",
    "share",
    "spread",
    "total",
    "try_on",
    "unfold",
    "widen",
]

_HOMES = {
    "body.measurements": "Measurements",
    "claims.girth": "EaseInRange Girth LengthTo RunAsLong",
    "claims.openings": "BodyPasses OpensTo Passes",
    "draft.board": "Board",
    "draft.cuts": "cut cut_through",
    "draft.facings": "facing",
    "draft.garment": "Garment Names Style",
    "draft.lined": "lining pleated",
    "draft.moves": "copy join mirror unfold",
    "draft.options": "ChoiceOption LengthOption",
    "draft.pivots": "flare lap pivot spread widen",
    "draft.rulers": "FRENCH_CURVE HIP_CURVE STRAIGHT compass curve",
    "draft.signature": "choice count flag garment length share",
    "draft.sketch": "Sketch",
    "draft.strips": "band casing",
    "draft.worksheet": "Worksheet",
    "errors": "DraftError InputError",
    "geometry.point": "Point",
    "model.claim": "Claim",
    "model.cord": "Cord",
    "model.draft": "Draft Notion",
    "model.length": "Length cm greatest inch least mm total",
    "model.piece": "Cut Edge EdgeKind InternalLine LineKind NotchPlace Piece Seam sew",
    "model.ref": "Ref refs",
    "notebook": "make pattern try_on",
    "units": "Unit",
}


def __getattr__(name: str) -> object:
    """A public name, from the module where it is at home; it is at hand from then on."""
    for home, names in _HOMES.items():
        if name in names.split():
            from importlib import import_module

            globals()[name] = found = getattr(import_module(f"oaktag.{home}"), name)
            return found
    raise AttributeError(f"oaktag has no {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
