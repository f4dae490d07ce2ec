"""What `import oaktag` offers for a garment of one's own and a notebook, and what `prove_garment` finds."""

from __future__ import annotations

import importlib.util
import json
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

import oaktag
from oaktag.draft.garment import Garment, find_garment
from oaktag.errors import DraftError, InputErrors
from oaktag.model.finding import CheckFailed
from oaktag.model.pattern import Pattern
from oaktag.testing import Proved, prove_garment
from oaktag.values import replace
from wardrobe import FIXTURES

ALTO = FIXTURES / "choir" / "alto-3.toml"
BODIES = {"small": {"waist_girth": 650.0, "hip_girth": 900.0}, "large": {"waist_girth": 1000.0, "hip_girth": 1200.0}}
ONE = {"small": BODIES["small"]}


def apron() -> Garment:
    """The wrap apron, imported as a file in a folder of its own."""
    spec = importlib.util.spec_from_file_location("wrap_apron", FIXTURES / "garments" / "wrap_apron.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    found: Garment = module.GARMENT
    return found


APRON = apron()


# -------------------------------------------------------------------------------------------------------- public names


def test_every_public_name_is_there() -> None:
    for name in oaktag.__all__:
        assert getattr(oaktag, name) is not None, name
    assert set(oaktag.__all__) <= set(dir(oaktag))
    with pytest.raises(AttributeError, match="no 'Cuff'"):
        oaktag.Cuff  # noqa: B018


def test_no_public_name_is_that_of_a_part_of_the_program() -> None:
    source = Path(oaktag.__file__).parent
    assert not {path.stem for path in source.iterdir()} & set(oaktag.__all__)


def test_import_oaktag_alone_imports_nothing_else() -> None:
    script = "import sys; before = set(sys.modules); import oaktag; print(sorted(set(sys.modules) - before))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['oaktag']"


def test_a_name_brings_its_own_module_and_no_library() -> None:
    script = "import sys; from oaktag import Garment, Piece, sew, Worksheet, compass; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert not {"click", "numpy", "pyclipper", "ezdxf", "oaktag.pipeline", "oaktag.job"} & set(done.stdout.split())


# ------------------------------------------------------------------------------------------------------------ notebooks


def shown(pattern: Pattern) -> ET.Element:
    """The picture, by a reader that is not ours."""
    return ET.fromstring(pattern._repr_svg_())  # type: ignore[attr-defined]


def words_in(root: ET.Element) -> list[str]:
    return [node.text or "" for node in root.iter("{http://www.w3.org/2000/svg}text")]


def test_a_job_is_a_pattern_that_shows_itself() -> None:
    pattern = oaktag.pattern(ALTO)
    assert isinstance(pattern, Pattern)
    root = shown(pattern)
    assert words_in(root)[::2] == ["front", "back", "sleeve", "facing front", "facing back"]
    assert "cut 1 on the fold, shell" in words_in(root)
    assert len(pattern._repr_svg_()) < 40_000
    left, top, width, height = (float(n) for n in root.attrib["viewBox"].split())
    for node in root.iter("{http://www.w3.org/2000/svg}path"):
        for pair in node.attrib["d"].replace("M", " ").replace("Z", " ").split():
            x, y = (float(n) for n in pair.split(","))
            assert left <= x <= left + width
            assert top <= y <= top + height


def test_names_below_the_pieces_do_not_lie_on_each_other_and_are_large_enough() -> None:
    root = shown(oaktag.pattern(ALTO))
    pixel = float(root.attrib["viewBox"].split()[2]) / float(root.attrib["width"])
    rows: dict[str, list[tuple[float, float]]] = {}
    for node in root.iter("{http://www.w3.org/2000/svg}text"):
        size = float(node.attrib["font-size"])
        assert size / pixel >= 11  # pixels: what people read on a screen (common practice, no source)
        x = float(node.attrib["x"])
        rows.setdefault(node.attrib["y"], []).append((x, x + 0.6 * size * len(node.text or "")))
    for row in rows.values():
        for (_, end), (start, _) in zip(sorted(row), sorted(row)[1:], strict=False):
            assert end <= start


def test_another_size_of_a_set_is_shown() -> None:
    pattern = oaktag.pattern(FIXTURES / "choir" / "stage-dress.toml", size="10")
    assert pattern.size == "10"
    with pytest.raises(oaktag.InputError, match="this job does not make it"):
        oaktag.pattern(FIXTURES / "choir" / "stage-dress.toml", size="99")


def test_words_of_a_stranger_are_shown_and_not_run(tmp_path: Path) -> None:
    title = '<script>alert(1)</script>" onload="x'
    job = ALTO.read_text(encoding="utf-8").replace('"Lighthouse choir, alto 3"', json.dumps(title))
    (tmp_path / "odd.toml").write_text(job, encoding="utf-8")
    pattern = oaktag.pattern(tmp_path / "odd.toml")
    assert pattern.title == title
    assert "<script" not in pattern._repr_svg_()
    for node in shown(pattern).iter():
        assert node.tag.partition("}")[2] in ("svg", "title", "rect", "path", "text")
        assert not [key for key in node.attrib if key.startswith("on") or "href" in key]


def test_a_garment_is_tried_on() -> None:
    pattern = oaktag.try_on(APRON, {"waist_girth": "30 1/2", "hip_girth": 41}, {"pocket": "none"})
    assert [piece.name for piece in pattern.pieces] == ["apron", "band", "tie"]
    # by hand, as in the tests of the apron: half of 30 1/2 in and 12 in
    assert pattern.piece("apron").cut.piece.points["waist_end"].x == pytest.approx(21.25 * 25.4)
    assert words_in(shown(pattern))[0] == "apron"
    with pytest.raises(InputErrors) as caught:
        oaktag.try_on(APRON, {"waist_girth": 305, "hips": 40}, {"pockets": "one"})
    assert [str(error).split(":")[0] for error in caught.value.errors[:3]] == ["waist_girth", "hips", "pockets"]
    assert "needs hip_girth as well" in str(caught.value)
    with pytest.raises(DraftError, match="the ends do not meet at the hip"):
        oaktag.try_on(APRON, {"waist_girth": 24, "hip_girth": 50})


def test_make_writes_what_the_command_writes(tmp_path: Path) -> None:
    written = oaktag.make(ALTO, tmp_path / "out")
    assert {path.name for path in written} >= {"pattern.json", "report.html", "alto-3.toml"}
    with pytest.raises(oaktag.InputError, match="holds the pattern of another job"):
        oaktag.make(FIXTURES / "choir" / "soprano-1.toml", tmp_path / "out")
    job = re.sub(r"(?m)^(opening|peg|opening_length) *=.*\n", "", ALTO.read_text(encoding="utf-8"))
    job = job.replace("[style]\n", '[style]\nopening = "none"\npeg = 3.5\n')
    (tmp_path / "hobbled.toml").write_text(job, encoding="utf-8")
    with pytest.raises(CheckFailed):
        oaktag.make(tmp_path / "hobbled.toml", tmp_path / "hobbled")
    assert not (tmp_path / "hobbled").exists()


# ------------------------------------------------------------------------------------------------------ prove_garment


@pytest.mark.smoke
def test_the_apron_stands_the_proof_on_all_that_ships() -> None:
    proved = prove_garment(APRON)
    assert isinstance(proved, Proved)
    # three charts of twelve sizes; two ends of four lengths, of a fifth its usual too, and the words of three choices
    assert (proved.bodies, proved.sizes) == (36, 12)
    assert proved.styles == 4 * 2 + 3 + 2 + 3 + 2
    assert [words.partition(":")[0] for words in proved.refused] == ["overlap = 4 in"]
    assert proved.files >= 17
    assert proved.rows > 500
    assert str(proved).startswith("wrap-apron: 36 bodies, 18 styles (1 refused), 12 sizes")


def found(garment: Garment, bodies: Mapping[str, Mapping[str, float]] = ONE) -> str:
    with pytest.raises(AssertionError) as caught:
        prove_garment(garment, bodies=bodies)
    return str(caught.value)


def spoilt(**changed: Any) -> Garment:
    """The apron with something in its draft changed by a function of what is there."""

    def draft(body: Any, style: Any, unit: Any) -> Any:
        made = APRON.draft(body, style, unit)
        return replace(made, **{name: change(getattr(made, name), style) for name, change in changed.items()})

    return replace(APRON, draft=draft)


def test_bodies_of_ones_own_are_taken_for_sizes_too() -> None:
    proved = prove_garment(APRON, bodies=BODIES)
    assert (proved.bodies, proved.sizes) == (2, 2)
    assert prove_garment(APRON, bodies=ONE).sizes == 0


def test_a_seam_that_does_not_fit_is_found() -> None:
    told = found(spoilt(seams=lambda seams, _: (*seams, oaktag.sew("odd seam", "apron.hem", to="apron.waist"))))
    assert "on small: odd seam: apron.hem" in told
    assert "with flare = 10 in: odd seam" in told
    assert "with flare = 0 in" not in told  # without flare the hem is as long as the waist


def test_a_choice_that_breaks_is_found_with_its_line() -> None:
    def breaks(notes: Any, style: Mapping[str, Any]) -> Any:
        return notes if style["pocket"] != "one" else 1 / 0

    told = found(spoilt(notes=breaks))
    assert told.startswith("wrap-apron: 1 found\n- with pocket = one: test_own_garments.py line ")
    assert "ZeroDivisionError: division by zero. The garment is faulty, not the job." in told


def test_a_refusal_of_the_usual_style_is_found() -> None:
    assert "on thin: the ends do not meet at the hip" in found(
        APRON, {"thin": {"waist_girth": 500.0, "hip_girth": 1200.0}}
    )


def test_a_draft_that_differs_from_time_to_time_is_found() -> None:
    times: list[int] = []

    def counted(notes: tuple[str, ...], _: object) -> tuple[str, ...]:
        times.append(1)
        return (*notes, f"drafted {len(times)} times")

    assert "another draft the second time" in found(spoilt(notes=counted))


def test_a_draft_that_is_no_plain_data_is_found() -> None:
    told = found(spoilt(style=lambda style, _: {**style, "how": lambda: 1}))
    assert "drafted twice: " in told


def test_sizes_that_are_not_alike_are_found() -> None:
    def lost(pieces: tuple[Any, ...], _: object) -> tuple[Any, ...]:
        waist = pieces[0].points["waist_side"].x * 4
        return pieces if waist < 800 else pieces[:-1]

    assert "all sizes: the sizes cannot be graded together" in found(spoilt(pieces=lost), BODIES)


def test_a_chart_that_lacks_a_measurement_is_told() -> None:
    names = replace(APRON.names_of(), uses=("waist_girth", "hip_girth", "waist_to_floor"))
    odd = replace(APRON, needs=lambda style: ("waist_girth", "waist_to_floor"), names_of=lambda: names)
    with pytest.raises(AssertionError, match="the chart women has no waist to floor: give bodies"):
        prove_garment(odd)


def test_ours_can_be_proved_in_the_same_way() -> None:
    body = {"bust_girth": 965.0, "waist_girth": 775.0, "hip_girth": 1041.0, "shoulder_width": 394.0,
            "back_waist_length": 406.0, "upper_arm_girth": 305.0}  # fmt: skip
    told = found(find_garment("sheath-dress"), {"alto": {**body, "waist_girth": 1100.0, "bust_girth": 700.0}})
    assert "sheath-dress" in told
