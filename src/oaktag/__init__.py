"""Oaktag: measurements in, checked full-scale sewing patterns out.

Order in which to read the source: errors, units, geometry, model, body, draft, garments, finish, checks, sheet,
export, verify, job, pipeline, cli. Each imports only from what stands before it.

The names below are for garments of one's own and for notebooks; each is imported when it is first asked for.
"""

TYPE_CHECKING = False
if TYPE_CHECKING:
    from .body.measurements import Measurements
    from .draft.board import Board
    from .draft.construct import flared_hem, level_curve, side_curve
    from .draft.darts import dart_cap, trued_beside_dart
    from .draft.garment import Garment, Names, Style
    from .draft.options import ChoiceOption, LengthOption
    from .draft.rulers import FRENCH_CURVE, HIP_CURVE, STRAIGHT, compass, curve
    from .draft.signature import choice, count, flag, garment, length, share
    from .draft.worksheet import Worksheet
    from .errors import DraftError, InputError
    from .geometry.curve import Cubic, Line
    from .geometry.path import parallel, part, path_length, place_at
    from .geometry.point import Point, along, between, direction, distance, left_of
    from .model.draft import Draft
    from .model.length import Length, cm, greatest, inch, least, mm, total
    from .model.piece import (
        Corner,
        Cut,
        Dart,
        Edge,
        EdgeKind,
        InternalLine,
        Join,
        LevelLine,
        LineKind,
        NotchPlace,
        Piece,
        Seam,
        sew,
    )
    from .model.ref import Ref
    from .notebook import make, pattern, try_on
    from .units import INCH, Unit, rounded, show

__all__ = [
    "FRENCH_CURVE",
    "HIP_CURVE",
    "INCH",
    "STRAIGHT",
    "Board",
    "ChoiceOption",
    "Corner",
    "Cubic",
    "Cut",
    "Dart",
    "Draft",
    "DraftError",
    "Edge",
    "EdgeKind",
    "Garment",
    "InputError",
    "InternalLine",
    "Join",
    "Length",
    "LengthOption",
    "LevelLine",
    "Line",
    "LineKind",
    "Measurements",
    "Names",
    "NotchPlace",
    "Piece",
    "Point",
    "Ref",
    "Seam",
    "Style",
    "Unit",
    "Worksheet",
    "along",
    "between",
    "choice",
    "cm",
    "compass",
    "count",
    "curve",
    "dart_cap",
    "direction",
    "distance",
    "flag",
    "flared_hem",
    "garment",
    "greatest",
    "inch",
    "least",
    "left_of",
    "length",
    "level_curve",
    "make",
    "mm",
    "parallel",
    "part",
    "path_length",
    "pattern",
    "place_at",
    "rounded",
    "sew",
    "share",
    "show",
    "side_curve",
    "total",
    "trued_beside_dart",
    "try_on",
]

_HOMES = {
    "body.measurements": "Measurements",
    "draft.construct": "flared_hem level_curve side_curve",
    "draft.darts": "dart_cap trued_beside_dart",
    "draft.board": "Board",
    "draft.garment": "Garment Names Style",
    "draft.options": "ChoiceOption LengthOption",
    "draft.rulers": "FRENCH_CURVE HIP_CURVE STRAIGHT compass curve",
    "draft.signature": "choice count flag garment length share",
    "draft.worksheet": "Worksheet",
    "errors": "DraftError InputError",
    "geometry.curve": "Cubic Line",
    "geometry.path": "parallel part path_length place_at",
    "geometry.point": "Point along between direction distance left_of",
    "model.draft": "Draft",
    "model.length": "Length cm greatest inch least mm total",
    "model.piece": "Corner Cut Dart Edge EdgeKind InternalLine Join LevelLine LineKind NotchPlace Piece Seam sew",
    "model.ref": "Ref",
    "notebook": "make pattern try_on",
    "units": "INCH Unit rounded show",
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
