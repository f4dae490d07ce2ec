"""General code knows no garment: none of its words is the name of a garment's edge, piece, level, notch, point, option.

Every registered garment is drafted in each of its choices; the names that it gives are looked for in the string
constants of the general packages: as the whole of one, and, where a name has an underscore and so is no word of the
language, anywhere in it. Docstrings are for people and do not count.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from oaktag.body.charts import shipped
from oaktag.body.measurements import KINDS, Measurements
from oaktag.body.whom import CHILDREN
from oaktag.draft.garment import GARMENT_NAMES, Garment, find_garment
from oaktag.draft.options import ChoiceOption, defaults
from oaktag.errors import DraftError
from oaktag.model.draft import Draft
from wardrobe import ALTO, IN, ROOT

SOURCE = ROOT / "src" / "oaktag"
GENERAL = (
    "model",
    "finish",
    "checks",
    "claims",
    "grade",
    "sheet",
    "export",
    "lay",
    "verify",
    "intake",
    "draft",
    "job",
    "compare",
    "rolls",
    "cli",
    "orders",
)
BODY = Measurements(
    {
        **ALTO, "front_waist_length": 17.5 * IN, "bust_height": 10.5 * IN, "top_hip_girth": 38 * IN,
        "neck_base_girth": 14.5 * IN, "shoulder_length": 5.25 * IN,
        "scye_depth": 8 * IN, "across_back_width": 13.5 * IN,
    }
)  # fmt: skip
CHILD = Measurements(shipped("children").body("122"), wearer="child")

ALLOWED = (
    ("model/piece.py", "gathers tuck", "kinds of takes"),
    ("model/piece.py", "hem opening slit zip pleat", "kinds of edges, notches, lines and takes"),
    ("model/piece.py", "top dart", "last words of notches that tell of one place alone"),
    ("model/piece.py", "balance", "a kind of lines"),
    ("model/cord.py", "neck shoulder sleeve cuff waist back hem leg", "places of the body where a cord may catch"),
    ("model/cord.py", "tie", "a kind of cords"),
    ("claims/safety.py", "shoulder sleeve cuff waist back hem leg", "places of the body where a cord may catch"),
    ("model/sewing.py", "balance", "notches that follow from a seam, and so are nobody's"),
    ("finish/notches.py", "balance", "notches of long seams, which it makes"),
    ("checks/marks.py", "balance", "notches of long seams"),
    ("draft/facings.py", "free_edge", "the edge of a facing that it makes"),
    ("draft/strips.py", "free_edge", "the edge of a strip that it makes"),
    ("job/keys.py", "stretch stretch_along recovery", "keys of [cloth]"),
    ("job/cloth.py", "stretch stretch_along recovery", "keys of [cloth]"),
    ("job/keys.py", "fitting", "a table of the job, and what is told of it"),
    ("job/read.py", "fitting", "a table of the job, and what is told of it"),
    ("export/pattern_json.py", "fitting side", "a table of the job, and what is told of it"),
    ("export/report.py", "fitting", "a table of the job, and what is told of it"),
    ("cli/__init__.py", "fitting", "a verb"),
    ("cli/fitting.py", "fitting seen side", "a verb, and what is asked"),
    ("cli/book.py", "side", "the wearer's, of what was pinned"),
    ("export/body_figure.py", "neck neck_centre shoulder armhole underarm chest bust front", "places of a body"),
    ("export/body_figure.py", "above_waist waist waist_centre below_waist blade_centre", "places of a body"),
    ("export/body_figure.py", "hip seat crotch thigh leg hem hem_centre", "places of a body"),
    ("export/stretch_card.py", "stretch_along", "a key of [cloth], as the card tells it"),
    ("model/sewing.py", "middle quarter", "notches that follow from a seam, and so are nobody's"),
    ("draft/sketch.py", "bottom_left bottom_right top_left top_right", "corners of any box"),
    ("finish/cut_list.py", "lining interfacing", "cloths, in the order in which they are listed"),
    ("checks/finished.py", "top", "plain English, of a centre line that no edge meets"),
    ("checks/seams.py", "bust dart", "notches of dart legs, until they are derived"),
    ("claims/sleeve.py", "armhole", "the end of a finding's id, which stays"),
    ("export/chalk_card.py", "dart", "what a step tells of"),
    ("export/pattern_json.py", "length", "a key of pattern.json"),
    ("export/pdf.py", "top", "a side of a page"),
    ("export/report.py", "dart", "a word of the key to the pictures"),
    ("export/report_set.py", "dart zip sleeve", "families of findings' ids, which stay"),
    ("lay/file.py", "length", "a key of lay.json"),
    ("verify/expected.py", "slit", "a kind of notch"),
    ("verify/lay_marks.py", "length", "a key of lay.json"),
    ("verify/lays.py", "length", "a key of lay.json"),
    ("verify/marks.py", "slit", "a kind of notch"),
    ("intake/darts.py", "dart", "what a line of a drawing means"),
    ("intake/drawn.py", "dart hem", "what a line of a drawing means; the kind of an edge that a plan names so"),
    ("intake/drawn.py", "shoulder neckline waist hip front armhole", "names that people write in drawings"),
    ("intake/plan.py", "dart pleat tuck", "what a line of a drawing means"),
    (
        "intake/propose.py",
        "lining interfacing side hem",
        "cloths that files name; an example of a plan",
    ),
    ("draft/moves.py", "back", "a half that is named so lies to the right"),
    ("draft/sketch.py", "dart pleat", "kinds of takes"),
    ("draft/darts.py", "dart", "a kind of take"),
    ("draft/cuts.py", "dart", "a kind of take"),
    ("draft/cuts.py", "princess", "what a cut through darts is called, unless told"),
    ("draft/pivots.py", "dart flare", "kinds of takes and openings"),
    ("draft/lined.py", "pleat lining slit", "a kind of take; a cloth; the edge that it makes"),
    ("draft/sectors.py", "dart flare gathers pleat tuck", "kinds of takes and openings"),
    ("draft/chalk/marks.py", "dart", "a kind of step"),
    ("draft/chalk/order.py", "dart", "what tells of a dart"),
    ("cli/lay.py", "length", "a key of --json"),
    ("compare/side.py", "length", "a key of pattern.json"),
    ("verify/rolls.py", "length long", "keys of roll.json"),
    ("rolls/file.py", "length", "a key of roll.json"),
)
"""File, words, and why they are no garment's there."""


def styles(garment: Garment) -> Iterator[Draft]:
    """The usual style, and each choice of each option: by itself, or else with the first other choice that lets it."""
    usual, body = defaults(garment.options), CHILD if garment.for_whom == CHILDREN else BODY
    each = [(o.name, choice) for o in garment.options if isinstance(o, ChoiceOption) for choice in o.choices]
    yield garment.drafted(body, usual, "in")
    for name, choice in each:
        for beside in ({}, *({other: own} for other, own in each if other != name)):
            try:
                yield garment.drafted(body, {**usual, **beside, name: choice}, "in")
                break
            except DraftError:
                continue
        else:
            raise AssertionError(f"{garment.name}: {name} = {choice} cannot be drafted")


@cache
def names() -> frozenset[str]:
    """All names that garments give, but for those of measurements."""
    found: set[str] = set()
    for garment in map(find_garment, GARMENT_NAMES):
        found |= {option.name for option in garment.options} | {*garment.edges, *garment.pieces}
        for draft in styles(garment):
            for piece in draft.pieces:
                found |= {piece.name, *piece.points, *(edge.name for edge in piece.edges)}
                found |= {*(level.name for level in piece.levels), *(notch.name for notch in piece.notches)}
    return frozenset(found - {""} - KINDS.keys())


def constants(path: Path) -> Iterator[str]:
    """Every string constant of a module that is no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


def known_in(path: Path) -> set[str]:
    """The garments' names that a module has among its constants."""
    no_words = "|".join(re.escape(name) for name in sorted(names(), key=len, reverse=True) if "_" in name)
    inside = re.compile(rf"(?<!\w)(?:{no_words})(?!\w)")
    return {name for text in constants(path) for name in ({text} & names() | {*inside.findall(text)})}


def modules() -> list[Path]:
    found = [path for package in GENERAL for path in sorted((SOURCE / package).rglob("*.py"))]
    return [*found, *(SOURCE / f"{name}.py" for name in ("pipeline", "writing", "laying", "comparing", "formats"))]


def test_the_names_of_a_garment_are_found() -> None:
    assert names() >= {
        "vent_edge", "facing_back", "bodice_front", "armhole_interfacing_front", "lining_sleeve", "bust dart", "nape",
        "zip_length", "hip", "front armhole", "cap_hem", "facing_side",
    }  # fmt: skip


@pytest.mark.parametrize("path", modules(), ids=lambda path: path.relative_to(SOURCE).as_posix())
def test_no_general_module_knows_a_garment_by_name(path: Path) -> None:
    here = path.relative_to(SOURCE).as_posix()
    allowed = {word for file, words, _ in ALLOWED if file == here for word in words.split()}
    found = {name for name in known_in(path) if name not in allowed and not set(name.split()) <= allowed}
    assert not found, f"{here} knows {', '.join(sorted(found))}: take it from the draft"


def test_no_word_is_allowed_in_vain() -> None:
    idle = [
        (file, word)
        for file, words, _ in ALLOWED
        for word in words.split()
        if not any(word in name.split() for name in known_in(SOURCE / file))
    ]
    assert idle == []


def test_no_export_looks_a_garment_up() -> None:
    """What reports tell of a garment travels in the draft: reading a finished one never runs its code."""
    for path in sorted((SOURCE / "export").rglob("*.py")):
        assert "draft.garment" not in re.findall(r"^ *from \.\.(\S+) import", path.read_text(encoding="utf-8"), re.M)
