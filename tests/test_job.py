"""Job files: what is read, and the words of every mistake. The garment here is a small stand-in of the tests' own."""

# ruff: noqa: E501 - messages are asserted whole

import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.body.sanity import plausible
from oaktag.draft.options import ChoiceOption, LengthOption, validated
from oaktag.errors import InputErrors, Where
from oaktag.formats import usual
from oaktag.job import load_job, read_job
from oaktag.sheet.paper import PAPERS

FIXTURES = Path(__file__).parent.parent / "fixtures"


@dataclass(frozen=True)
class StandIn:
    name = "plain-tunic"
    options = (
        LengthOption("ease_bust", "wearing ease round the bust", 50.0, 0, 300),
        LengthOption("length", "nape to hem", None, 500, 1700, default_words="back waist length + 25 in"),
        LengthOption("slit_length", "slit", None, 100, 500, auto=True),
        ChoiceOption("sleeve", "sleeve", "none", ("none", "short", "long")),
    )
    edges = ("side", "hem", "neckline")
    pieces = ("front", "back")
    for_whom = ""
    instead: ClassVar[dict[str, str]] = {"hip_girth": "top_hip_girth"}
    wishes: ClassVar = {
        "sway_back": "There is none",
        "letout": "Write side below [allowances]",
        "skirt": "Write length",
    }

    def needs(self, style):
        return ("bust_girth", "hip_girth") + (("arm_length",) if style["sleeve"] == "long" else ())


def read(path):
    return read_job(path, find=lambda name: StandIn(), garments=("plain-tunic",), devices=("roll-914", "roll-610"))


GOOD = """\
title   = "Lighthouse choir, alto 3"
garment = "plain-tunic"
units   = "in"

[measurements]
bust_girth = 38
hip_girth  = "104 cm"
"""


def written(tmp_path, text, name="job.toml"):
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def mistakes(path, read=read):
    """The messages, without the directory of the file."""
    with pytest.raises(InputErrors) as caught:
        read(path)
    assert caught.value.exit_code == 2
    return [str(error).replace(str(path.parent) + "/", "") for error in caught.value.errors]


# ------------------------------------------------------------------------------------------------------------ good jobs


def test_a_short_job_has_its_defaults(tmp_path):
    job = read(written(tmp_path, GOOD))
    assert (job.title, job.garment, job.unit) == ("Lighthouse choir, alto 3", "plain-tunic", "in")
    assert dict(job.body) == pytest.approx({"bust_girth": 965.2, "hip_girth": 1040.0})  # 38 × 25.4; 104 × 10
    assert dict(job.body.typed) == {"bust_girth": "38", "hip_girth": "104 cm"}
    assert dict(job.style) == {"ease_bust": 50.0, "length": None, "slit_length": None, "sleeve": "none"}
    assert (job.allowances, job.formats, job.paper, job.device) == ({}, usual(), "letter", "roll-914")
    metric = read(written(tmp_path, GOOD.replace('"in"', '"cm"').replace("38\n", "96\n")))
    assert metric.paper == "a4"  # who reads centimetres prints on A4, who reads inches on Letter; common practice
    assert (job.size, job.date) == ("measured", "")
    assert job.corners == {}


def test_everything_that_can_be_given(tmp_path):
    text = (
        GOOD.replace("38\n", "38.50  # taken twice\n")
        + """
waist_to_hip = 8  # not used by this garment, but known

[style]
ease_bust = "1/2"
length = "100 cm"
slit_length = "auto"
sleeve = "short"

[allowances]
side = 1
front.hem = "3 cm"
"back.hem" = "20 mm"

[output]
formats = ["pdf", "svg", "pdf"]
paper = "letter"
device = "roll-610"
"""
    )
    job = read(written(tmp_path, "date = 2024-05-01\n" + text))
    assert job.body.typed["bust_girth"] == "38.50"  # as typed, not as Python would write it
    assert job.style == pytest.approx({"ease_bust": 12.7, "length": 1000.0, "slit_length": None, "sleeve": "short"})
    assert job.allowances == pytest.approx({"side": 25.4, "front.hem": 30.0, "back.hem": 20.0})
    assert (job.formats, job.paper, job.device) == (("pdf", "svg"), "letter", "roll-610")
    assert job.date == "2024-05-01"


def test_corners_and_allowances_that_change_along_an_edge(tmp_path):
    text = (
        GOOD
        + """
[allowances]
side = [{ at = "start", width = 2 }, { at = "zip end", width = "50.8 mm" }, { at = 12, width = "1/2" }]
front.hem = [{ at = "3 cm", width = 0 }]

[corners]
"side/hem" = "mitred-hem"
"front.side/neckline" = "faced"
"""
    )
    job = read(written(tmp_path, text))
    assert [(s.at, s.width) for s in job.allowances["side"]] == [
        ("start", pytest.approx(50.8)),
        ("zip end", pytest.approx(50.8)),
        (pytest.approx(304.8), pytest.approx(12.7)),  # 12 in along the edge, 1/2 in wide
    ]
    assert [(s.at, s.width) for s in job.allowances["front.hem"]] == [(pytest.approx(30.0), 0.0)]
    assert job.corners == {"side/hem": "mitred-hem", "front.side/neckline": "faced"}


def test_measurements_in_a_file_of_their_own(tmp_path):
    written(tmp_path, 'units = "cm"\nbust_girth = 96.5\nhip_girth = 104\n', "alto-3.toml")
    text = GOOD.split("[measurements]")[0] + 'measurements = "alto-3.toml"\n'
    job = read(written(tmp_path, text))
    assert dict(job.body) == pytest.approx({"bust_girth": 965.0, "hip_girth": 1040.0})
    assert job.unit == "in"


def test_a_measurements_file_without_units_takes_the_jobs(tmp_path):
    written(tmp_path, "bust_girth = 38\nhip_girth = 41\n", "alto-3.toml")
    job = read(written(tmp_path, GOOD.split("[measurements]")[0] + 'measurements = "alto-3.toml"\n'))
    assert job.body["hip_girth"] == pytest.approx(1041.4)  # 41 × 25.4


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(tmp_path):
    data = b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode()
    assert read(written(tmp_path, data)).body.typed["bust_girth"] == "38"


def test_without_a_title_the_garment_is_the_title(tmp_path):
    assert read(written(tmp_path, GOOD.split("\n", 1)[1])).title == "plain tunic"


@pytest.mark.parametrize("name", ["alto-3", "soprano-1", "worked"])
def test_the_choir_can_be_dressed(name):
    job = load_job(FIXTURES / "choir" / f"{name}.toml")
    assert job.garment == "sheath-dress"
    assert plausible(job.body, job.unit) == ()


def test_worked_numbers_are_those_of_the_method():
    job = load_job(FIXTURES / "choir" / "worked.toml")
    inches = {name: mm / 25.4 for name, mm in job.body.items()}
    assert inches == pytest.approx(
        {
            "bust_girth": 42,
            "waist_girth": 36,
            "hip_girth": 47,
            "shoulder_width": 16,
            "side_neck_to_waist": 17,
            "waist_to_hip": 8,
        }
    )
    assert job.style["length"] == pytest.approx(42 * 25.4)
    assert [job.style[name] for name in ("ease_bust", "ease_waist", "ease_hip")] == [0, 0, 0]


# ------------------------------------------------------------------------------------------------ the bad ones on disk

BAD = {
    "unknown-table": [
        (
            ':14 styles: "styles" is not a key of a job file; expected one of title, client, measured, garment, drawing, units, '
            "date, measurements, sizes, style, fitting, allowances, corners, cloth, output, reading, lines, pieces, seams, "
            "sewing_order. Write [style]."
        )
    ],
    "unknown-measurement": [
        ':13 measurements.half_length: "half_length" is not a measurement. Write side_neck_to_waist.'
    ],
    "unit-mix": [
        (
            ":8 measurements.hip_girth: 104 is taken as inches, and no hip is 2641.6 mm; expected 23 5/8 to 74 3/4 in. "
            'Write "104 cm".'
        )
    ],
    "not-positive": [
        (
            ":8 measurements.hip_girth: -41 cannot be the hip girth; expected 23 5/8 to 74 3/4 in. "
            "Tape level round the fullest part of the seat, feet together."
        ),
        (
            ":10 measurements.back_waist_length: 0 cannot be the back waist length; expected 11 1/8 to 22 in. "
            "From the nape bone down the spine to the waist line."
        ),
    ],
    "missing-measurements": [
        (
            ":5 measurements: a sheath-dress needs 1 measurement that is not given; add\n"
            "  bust_girth = ...  Tape level round the fullest part of the bust, under the arms and over the shoulder blades."
        )
    ],
    "unquoted-fraction": [
        (
            ":7: this is not TOML: expected newline or end of document after a statement; expected lines such as key = 38. "
            'Write waist_girth = "30 1/2", in quotes.'
        )
    ],
    "given-twice": [":13: hip_girth is given twice; expected each key and each table once."],
    "unknown-garment": [
        (':2 garment: "sheet-dress" is not a garment. Write "sheath-dress".'),
    ],
    "bad-style": [
        (
            ':15 style.sleeve: "lang" is not a choice of sleeve; expected "short" or "elbow" or "long" or "cap" or "none". '
            'Write "long".'
        ),
        ':16 style.eaze_bust: "eaze_bust" is not an option of this garment. Write ease_bust.',
        ":17 style.length: 3, taken as inches, is too little for the top line to hem; expected 19 3/4 to 66 7/8 in.",
    ],
    "bad-allowance": [
        ':15 allowances.sides: "sides" is not an edge of this garment',
        ':16 allowances.front.side: 12 cannot be the width of an allowance; expected 0 to 3 7/8 in. Write "12 mm".',
    ],
    "bad-output": [
        ':15 output.formats: "dfx" is not a format; expected one of dxf, hpgl, pdf, svg, cad, cuts. Write "',
        ':16 output.paper: "A4" is not a paper. Write "a4".',
        ':17 output.device: "rol-914" is not a device. Write "roll-914".',
    ],
    "sizes": [
        ':7 sizes.make: "13" is not a size; expected one of 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28.',
        ':8 sizes.base: "14" is the base, and is not among the sizes to make; expected one of 10, 12. Write make = ["10',
        ':9 sizes.stak: "stak" is not a key of [sizes]; expected one of chart, rules, make, base, stack.',
        ':13 output.layout: "nest" is not a layout; expected one of nested, apart. Write "nested".',
        ':14 output.dxf_units: "inch" is not a unit of the DXF; expected one of metric, english.',
    ],
    "no-units": [' units: the unit of its numbers is not named; expected "in", "cm" or "mm". Write units = "in".'],
    "not-utf8": [":1: the text is not UTF-8. Save the file as UTF-8."],
    "not-lengths": [
        ':6 measurements.bust_girth: true is not a length; expected a number or a text. Write bust_girth = 38 or "30',
        ":8 measurements.hip_girth: a list is not a length; expected a number or a text.",
        ":9 measurements.shoulder_width: nan is not a length; expected a finite number.",
        ":11 measurements.waist_to_hip: 'a span' is not a length; expected a number, a fraction, or either with",
    ],
    "no-measurements-file": [':4 measurements: "alto-9.toml": no such file; expected a TOML file.'],
}


@pytest.mark.parametrize("name", BAD)
def test_every_mistake_is_told_in_full(name):
    told = mistakes(FIXTURES / "bad" / f"{name}.toml", load_job)
    assert len(told) == len(BAD[name]), told
    for message, wanted in zip(told, BAD[name], strict=True):
        assert message.startswith(f"{name}.toml{wanted}"), message


def test_every_bad_file_has_its_words():
    assert {path.stem for path in (FIXTURES / "bad").glob("*.toml")} == set(BAD)


# ------------------------------------------------------------------------------------------------------- the file itself


def test_missing_file_offers_its_neighbour(tmp_path):
    written(tmp_path, GOOD, "alto-3.toml")
    (told,) = mistakes(tmp_path / "alto3.toml")
    assert told == "alto3.toml: no such file; expected a TOML file. Write alto-3.toml."


def test_missing_directory(tmp_path):
    (told,) = mistakes(tmp_path / "nowhere" / "job.toml")
    assert told == "job.toml: no such file; expected a TOML file."


def test_a_directory(tmp_path):
    with pytest.raises(InputErrors, match=r"is a directory; expected a file\. Write .*/job\.toml"):
        read(tmp_path)


def test_no_permission(tmp_path, monkeypatch):
    path = written(tmp_path, GOOD)

    def refuse(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert mistakes(path) == ["job.toml: cannot be read: Permission denied; expected a file that you may read."]


def test_more_than_a_megabyte_is_refused_before_reading(tmp_path, monkeypatch):
    path = written(tmp_path, "#" * 2_500_000)
    monkeypatch.setattr(Path, "open", lambda *_, **__: pytest.fail("was opened"))
    assert mistakes(path) == ["job.toml: is 2.5 MB; expected a file of at most 1 MB."]


@pytest.mark.skipif(sys.platform == "win32", reason="no such device")
def test_a_device_is_no_file():
    with pytest.raises(InputErrors, match="is not an ordinary file"):
        read("/dev/zero")


def test_a_null_character_in_the_path():
    with pytest.raises(InputErrors, match="cannot be read: the path cannot be used"):
        read("a\0b")


def test_a_path_that_no_text_can_hold(tmp_path):
    (told,) = mistakes(tmp_path / "\udcff.toml")
    told.encode()  # may be printed


# ------------------------------------------------------------------------------------------------- words and places


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("38\n", "30½\n"), (':6: this is not TOML: expected newline or end of document after a statement; expected lines such '
         'as key = 38. Write bust_girth = "30½", in quotes.')),
        (("38\n", "96.5 cm\n"), 'Write bust_girth = "96.5 cm", in quotes.'),
        (("38\n", '38"\n'), 'Write bust_girth = "38 in", in quotes.'),
        (('"plain-tunic"', "plain-tunic"), (':2: this is not TOML: invalid value; expected lines such as key = 38. '
         'Write garment = "plain-tunic", in quotes.')),
        (("[measurements]", "[measurements"), ":5: this is not TOML: "),
        (("38\n", '"38\n'), ":6: this is not TOML: "),
        (("38\n", "2024-13-45\n"), ":6: this is not TOML: "),
        (("bust_girth = 38", "bust_girth = 38\n[measurements]"), ":7: measurements is given twice"),
        (("38\n", "1" * 5000 + "\n"), "job.toml: this is not TOML: a number has too many digits"),
        (("38\n", "0x" + "f" * 5000 + "\n"), ":6 measurements.bust_girth: a number of very many digits is absurdly large"),
        (("38\n", "[" * 50_000 + "\n"), "job.toml: lists are nested too deeply"),
        (("38\n", "[[38], [[1]]]\n"), ":6 measurements.bust_girth: a list is not a length"),
        (("38\n", "{a = 1}\n"), ":6 measurements.bust_girth: a table is not a length"),
        (("38\n", "07:32:00\n"), ":6 measurements.bust_girth: a date or time is not a length"),
        (("38\n", "inf\n"), ":6 measurements.bust_girth: inf is not a length"),
        (("bust_girth = 38", "a.b.c = 3"), ':6 measurements.a: "a" is not a measurement'),
        (("bust_girth = 38", '"bust\\n\\u001b" = 3'), ':6 measurements.bust'),
        (("title ", "titel "), (':1 titel: "titel" is not a key of a job file; expected one of title, client, measured, garment, drawing, units, '
         "date, measurements, sizes, style, fitting, allowances, corners, cloth, output, reading, lines, pieces, seams, "
         "sewing_order. Write title.")),
        (("title ", "waist_girth = 30\ntitle "), (':1 waist_girth: "waist_girth" is not a key of a job file; expected '
         "waist_girth in the table of measurements. Write it below [measurements].")),
        (("title ", 'paper = "a4"\ntitle '), (":1 paper: \"paper\" is not a key of a job file; expected paper in the table of "
         "output. Write it below [output].")),
        (('"Lighthouse choir, alto 3"', "3"), ':1 title: 3 is not a text; expected a text in quotes. Write title = "...'),
        (('"Lighthouse choir, alto 3"', '"a\\nb"'), ":1 title: "),
        (('garment = "plain-tunic"', ""), ('job.toml garment: no garment is named; expected plain-tunic. Write garment = '
         '"plain-tunic".')),
        (('"plain-tunic"', "[1]"), ":2 garment: a list is not a garment; expected plain-tunic."),
        (('"in"', '"inch"'), ':3 units: "inch" is not a unit; expected one of in, cm, mm.'),
        (('"in"', "1"), ":3 units: 1 is not a unit; expected one of in, cm, mm."),
    ],
)  # fmt: skip
def test_one_change_one_mistake(tmp_path, change, told):
    assert change[0] in GOOD
    messages = mistakes(written(tmp_path, GOOD.replace(*change, 1)))
    assert any(told in message for message in messages), messages
    assert all(message.isprintable() or "not given" in message for message in messages)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ("[style]\nsleeve = true", ':9 style.sleeve: true is not a choice of sleeve; expected "none" or "short" or "long".'),
        ('[style]\nsleeve = "Long"', 'Write "long".'),
        ("[style]\nease_bust = 50", (':9 style.ease_bust: 50, taken as inches, is too much for the wearing ease round the '
         'bust; expected 0 to 11 3/4 in. Write "50 mm".')),
        ("[style]\nease_bust = -1", ":9 style.ease_bust: -1, taken as inches, is too little"),
        ('[style]\nease_bust = "auto"', ':9 style.ease_bust: "auto" cannot be the wearing ease round the bust'),
        ('[style]\nslit_length = "long"', (":9 style.slit_length: 'long' is not a length; expected 4 to 19 5/8 in, or "
         '"auto".')),
        ("[style]\nprice = 3", (':9 style.price: "price" is not an option of this garment; expected one of ease_bust, length, '
         "slit_length, sleeve.")),
        ("style = 3", ':8 measurements.style: "style" is not a measurement'),
        ("[[style]]\na = 1", ":8 style: a list is not a table; expected a table. Write [style] on a line of its own."),
        ("[allowances]\nside = -1", ":9 allowances.side: -1 cannot be the width of an allowance; expected 0 to 3 7/8 in."),
        ("[allowances]\nfront.sid = 1", (':9 allowances.front.sid: "front.sid" is not an edge of this garment; expected one '
         "of side, hem, neckline, or a piece and an edge such as back.neckline. Write front.side.")),
        ("[allowances]\nmiddle = 1", ':9 allowances.middle: "middle" is not an edge of this garment'),
        ("[allowances]\nside = []", ":9 allowances.side: a list of 0 places is no allowance; expected 1 to 50 places."),
        ("[allowances]\nside = [" + "{ at = 1, width = 1 }, " * 51 + "]",
         ":9 allowances.side: a list of 51 places is no allowance; expected 1 to 50 places."),
        ("[allowances]\nside = [1, 2]", ":9 allowances.side: 1 is not a place with its width; expected { at"),
        ('[allowances]\nside = [{ at = "start", wide = 1 }]', (":9 allowances.side: a table is not a place with its width; "
         "expected { at")),
        ('[allowances]\nside = [{ at = "start", width = -1 }]', (":9 allowances.side: -1 cannot be the width of an allowance; "
         "expected 0 to 3 7/8 in.")),
        ('[allowances]\nside = [{ at = "start", width = "wide" }]', ":9 allowances.side: 'wide' is not a length"),
        ("[allowances]\nside = [{ at = true, width = 1 }]", ":9 allowances.side: true is not a length"),
        ('[allowances]\nfront.side = [{ at = "", width = 1 }]', ":9 allowances.front.side: "),
        ('[corners]\n"side/hem" = "mitred"', (':9 corners.side/hem: "mitred" is not a corner finish; expected one of mitre, '
         'bevel, square, turned-back, mitred-hem, faced.')),
        ('[corners]\n"side/hem" = "Mitre"', 'Write "mitre".'),
        ('[corners]\n"side/hem" = 1', ":9 corners.side/hem: 1 is not a corner finish"),
        ('[corners]\nside = "mitre"', (':9 corners.side: "side" is not a corner; expected two edges that meet, such as '
         '"side/hem" or "front.side/hem".')),
        ('[corners]\n"side/hem/neckline" = "mitre"', ":9 corners.side/hem/neckline: "),
        ('[corners]\n"sleeve.side/hem" = "mitre"', ':9 corners.sleeve.side/hem: "sleeve.side/hem" is not a corner'),
        ('[corners]\n"sides/hem" = "mitre"', (':9 corners.sides/hem: "sides" is not an edge of this garment; expected one of '
         "side, hem, neckline. Write side.")),
        ('corners = "mitre"', ':8 measurements.corners: "corners" is not a measurement'),
        ("[[corners]]\na = 1", ":8 corners: a list is not a table; expected a table. Write [corners] on a line of its own."),
        ('[output]\nformats = "pdf"', (':9 output.formats: "pdf" is not a short list of formats; expected a list. Write '
         'formats = ["pdf"].')),
        ("[output]\nformats = [\n  1,\n]", ":9 output.formats: 1 is not a format"),
        ('[output]\npapre = "a4"', ':9 output.papre: "papre" is not a key of [output]. Write paper.'),
        ('[output]\ntiles = "but"', ':9 output.tiles: "but" is not a way to join tiles; expected one of overlap, butt. '),
        ('[output]\nroll = "onepage"', ':9 output.roll: "onepage" is not a way to write a long roll; expected one of split'),
        ('[output]\nprint_client = "yes"', ':9 output.print_client: "yes" is neither true nor false; expected true or fal'),
        ("[output]\nprint_client = true", ":9 output.print_client: the client's name is to be printed, and none is given"),
        ("[output]\ndespite = 1", ':9 output.despite: "despite" is not a key of [output]'),
        ('[style]\nsleeve = "long"', (":5 measurements: a plain-tunic needs 1 measurement that is not given; add\n  "
         "arm_length = ...  From the shoulder point over")),
    ],
)  # fmt: skip
def test_one_line_more_one_mistake(tmp_path, more, told):
    messages = mistakes(written(tmp_path, GOOD + more + "\n"))
    assert any(told in message for message in messages), messages


def test_all_mistakes_of_a_file_at_once_in_its_order(tmp_path):
    text = GOOD.replace("38", "380").replace("plain-tunic", "plain-tunik") + "[output]\npaper = 3\n[styel]\n"
    lines = [message.split(" ")[0] for message in mistakes(written(tmp_path, text))]
    assert lines == ["job.toml:2", "job.toml:6", "job.toml:9", "job.toml:10"]


def test_no_measurements_at_all(tmp_path):
    (told,) = mistakes(written(tmp_path, GOOD.split("\n[measurements]")[0]))
    assert told.startswith(
        "job.toml measurements: a plain-tunic needs 2 measurements that are not given; add\n  bust_girth"
    )
    assert "\n  hip_girth = ...  Tape level round the fullest part of the seat, feet together." in told


def test_a_misspelt_measurement_is_not_also_missing(tmp_path):
    (told,) = mistakes(written(tmp_path, GOOD.replace("bust_girth", "bust_grith")))
    assert told == 'job.toml:6 measurements.bust_grith: "bust_grith" is not a measurement. Write bust_girth.'


def test_without_units_the_numbers_are_read_as_what_they_look_like(tmp_path):
    text = GOOD.replace('units   = "in"', "").replace("38", "96.5").replace('"104 cm"', "104")
    assert mistakes(written(tmp_path, text)) == [
        'job.toml units: the unit of its numbers is not named; expected "in", "cm" or "mm". Write units = "cm".'
    ]


def test_mistakes_in_the_measurements_file_name_that_file(tmp_path):
    written(tmp_path, "bust_girth = 38\n\nhip_girth = 104\n", "alto-3.toml")
    (told,) = mistakes(written(tmp_path, GOOD.split("[measurements]")[0] + 'measurements = "alto-3.toml"\n'))
    assert told.startswith("alto-3.toml:3 hip_girth: 104 is taken as inches, and no hip is")


def test_a_measurements_file_that_is_not_toml(tmp_path):
    written(tmp_path, "bust_girth = 38\nhip_girth = 41 1/2\n", "alto-3.toml")
    (told,) = mistakes(written(tmp_path, GOOD.split("[measurements]")[0] + 'measurements = "alto-3.toml"\n'))
    assert told.startswith("alto-3.toml:2: this is not TOML")
    assert told.endswith('Write hip_girth = "41 1/2", in quotes.')


def test_lines_are_found_in_any_layout(tmp_path):
    text = '''\
# a comment = 1
title = """Lighthouse [choir]
= "alto" # 3"""
"garment" = 'plain-tunic'
units = "in" # [measurements]
output = { formats = [ # the first
  "pdf", # ]
  "nope" ], paper = "a5" }
style.sleeve = "nope"
allowances."front.side" = "nope"

[ measurements ]
  'bust_girth' = "nope"
hip_girth = 41'''
    lines = [message.split(": ")[0] for message in mistakes(written(tmp_path, text))]
    assert lines == [
        "job.toml:2 title",  # a title is one line
        "job.toml:6 output.formats",
        "job.toml:6 output.paper",
        "job.toml:9 style.sleeve",
        "job.toml:10 allowances.front.side",
        "job.toml:13 measurements.bust_girth",
    ]


@pytest.mark.parametrize(
    "text",
    [
        "a" + ".a" * 300_000 + " = 1",
        "\n".join(f"k{i} = 1" for i in range(50_000)),
        "x = [" + "1," * 400_000 + "]",
        "x = " + "{a=" * 3000,
        '[output]\nformats = ["' + '", "'.join(["x"] * 10_000) + '"]',
        'x = "' + "'" * 900_000 + '"',
        "=" * 1500,
        "\0",
        "",
    ],
    ids=["deep", "many", "long", "tables", "formats", "quotes", "equals", "null", "empty"],
)
def test_a_hostile_file_is_told_off_quickly(tmp_path, text):
    path = written(tmp_path, text)
    messages = mistakes(path)
    assert 0 < len(messages) < 100
    assert all(len(message) < 1000 for message in messages)


TOML_BITS = st.sampled_from(
    ["[measurements]", "[style]", "[allowances]", "[output]", "bust_girth", "hip_girth", "units", "garment", "formats",
     "front.side", "measurements", " = ", "\n", "\n", '"in"', '"plain-tunic"', "38", "-1", "nan", "[", "]", "{", "}", '"',
     "'", '"""', "#", ",", "1979-05-27", "true", "x", ".", "é", "\\", '"30 1/2"']
)  # fmt: skip


@settings(max_examples=400)
@given(st.one_of(st.binary(max_size=80), st.lists(TOML_BITS, max_size=25).map(lambda bits: "".join(bits).encode())))
def test_any_file_is_a_job_or_has_mistakes(tmp_path_factory, data):
    path = tmp_path_factory.mktemp("any") / "job.toml"
    path.write_bytes(data)
    try:
        read(path)
    except InputErrors as errors:
        assert errors.errors
        str(errors).encode()


VALUES = st.recursive(
    st.sampled_from(["38", '"30 1/2"', "nan", "true", "1e300", "[]", '""', '"104 cm"', "1979-05-27", "-0.0", '"auto"']),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        inner.map(lambda item: f"{{side = {item}}}"),
    ),
    max_leaves=4,
)
KEYS = st.sampled_from(["title", "garment", "units", "date", "measurements", "sizes", "style", "allowances", "corners", "output",
                        "corners.side", "style.sleeve", "style.length", "style.slit_length", "output.formats", "output.paper",
                        "output.device", "allowances.side", "allowances.front", "measurements.bust_girth"])  # fmt: skip


@settings(max_examples=400)
@given(st.dictionaries(KEYS, VALUES, max_size=8))
def test_any_value_at_any_key_is_judged(tmp_path_factory, entries):
    path = tmp_path_factory.mktemp("any") / "job.toml"
    path.write_text("".join(f"{key} = {value}\n" for key, value in entries.items()), encoding="utf-8")
    with pytest.raises(InputErrors):  # no value drawn names a garment
        read(path)
    path.write_text(
        "".join(f"{key} = {value}\n" for key, value in entries.items() if key != "garment")
        + 'garment = "plain-tunic"\n',
        encoding="utf-8",
    )
    try:
        read(path)
    except InputErrors as errors:
        assert errors.errors


# ------------------------------------------------------------------------------------------------- options and papers


def test_validated_fills_in_and_keeps_judging():
    style, errors = validated(
        StandIn.options, {"sleeve": "wrong", "ease_bust": "2 in", "x": 1}, "cm", lambda name: Where("f", 3, name)
    )
    assert style == pytest.approx({"ease_bust": 50.8, "length": None, "slit_length": None, "sleeve": "none"})
    assert [error.where.key for error in errors] == ["sleeve", "x"]


def test_paper_sizes():
    # A sizes: ISO 216. a4-letter: 20 mm more each way than the 190 × 259 mm that both hold. Letter 8 1/2 × 11 in, legal 8 1/2 × 14 in, tabloid 11 × 17 in
    assert {name: (paper.width, paper.height) for name, paper in PAPERS.items()} == {
        "a4": (210, 297),
        "a3": (297, 420),
        "letter": pytest.approx((8.5 * 25.4, 11 * 25.4)),
        "legal": pytest.approx((8.5 * 25.4, 14 * 25.4)),
        "tabloid": pytest.approx((11 * 25.4, 17 * 25.4)),
        "a4-letter": (190 + 20, 259 + 20),
        "a2": (420, 594),
        "a1": (594, 841),
        "a0": (841, 1189),
    }


def test_reading_a_job_loads_nothing_heavy():
    code = "import sys, oaktag.job; print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    heavy = {"click", "numpy", "shapely", "ezdxf", "pikepdf", "pypdfium2", "svgelements", "pyclipper"}
    assert not heavy & set(run.stdout.split())


def test_either_of_two_measurements_is_enough(tmp_path):
    text = GOOD.replace("hip_girth ", "top_hip_girth ")
    assert read(written(tmp_path, text)).body["top_hip_girth"] == 1040
    (told,) = mistakes(written(tmp_path, GOOD.replace('hip_girth  = "104 cm"', "")))
    assert "1 measurement that is not given; add\n  hip_girth = ...  " in told
    assert "\n  or top_hip_girth = ...  " in told


def test_a_half_length_serves_instead_of_the_back_waist_length(tmp_path):
    text = (FIXTURES / "choir" / "alto-3.toml").read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("back_waist_length"))
    half = load_job(written(tmp_path, text.replace(line, "side_neck_to_waist = 17")))
    assert half.body["side_neck_to_waist"] == pytest.approx(17 * 25.4)
    (told,) = mistakes(written(tmp_path, text.replace(line, "")), load_job)
    assert "back_waist_length = ..." in told
    assert "or side_neck_to_waist = ..." in told


# ----------------------------------------------------------------------------------------------- words of the trade


@pytest.mark.parametrize("typed", ['"16 1/2""', "'16 1/2''", '"16 1/2"in', "\"16 1/2''", '"16 1/2 "" # taken twice'])
def test_inches_after_the_quotes_get_the_advice_of_a_bare_fraction(tmp_path, typed):
    (told,) = mistakes(written(tmp_path, GOOD.replace("= 38", f"= {typed}")))
    assert told.startswith("job.toml:6: this is not TOML")
    assert told.endswith('Write bust_girth = "16 1/2 in", in quotes.')


ASKED_FOR = {
    # word: (the table it is typed in, what must be said, what must not be)
    "sway_back": ("style measurements", r"none for a hollow back: pin", "zip_length|back_neck|wrap"),
    "hip_letout": ("style measurements allowances", r'side = "2 in" or "5 cm"', "zip_length"),
    "skirt": ("style measurements allowances", r'hem = "pegged".*length.*waist_seam', "slit|zip_length"),
    "round_back": ("style measurements", "none for a round or broad back", "neck_base_girth"),
    "fit": ("style measurements", "ease_bust, ease_waist or ease_hip", "hand_girth"),
    "zipper": ("style", 'zip = "back"', "zip_length"),
    "pockets": ("style allowances", "There is none", "facing"),
    "Seam-Allowance": ("style measurements allowances", "below .allowances.", "armhole"),
    "waist_dart": ("style", "Write waist_darts", "waist_girth|waist_seam"),
    "sleeve_width": ("style measurements", "ease_biceps", "vent_width|arm_length"),
    "bust_ease": ("style", "Write ease_bust", "bust_dart"),  # the same words in another order
    "ease_hips": ("style", "Write ease_hip", "ease_waist"),  # a slip of the pen is still a slip of the pen
    "sleave": ("style", "Write sleeve", "shoulder"),
    "back_lenght": ("measurements", "Write back_waist_length", "skirt"),
}


@pytest.mark.parametrize(("table", "word"), [(t, w) for w, (tables, _, _) in ASKED_FOR.items() for t in tables.split()])
def test_a_word_of_the_trade_leads_to_what_serves_it_and_to_no_false_friend(tmp_path, table, word):
    """The words of dressmakers; what serves each is what docs/guide.md says of the options (common practice)."""
    text = (FIXTURES / "choir" / "alto-3.toml").read_text(encoding="utf-8")
    heading = f"[{table}]\n"
    line = f'{word} = "1"\n'
    text = text.replace(heading, heading + line) if heading in text else f"{text}\n{heading}{line}"
    told = "\n".join(mistakes(written(tmp_path, text), load_job))
    _, said, unsaid = ASKED_FOR[word]
    assert re.search(said, told, re.DOTALL), told
    advice = told.split('". ')[-1].split("garment. ")[-1]
    assert not re.search(unsaid, advice), advice


def test_every_word_of_the_trade_leads_to_names_that_there_are():
    from oaktag.body.measurements import KINDS, near_names
    from oaktag.draft.garment import find_garment

    dress = find_garment("sheath-dress")
    names = {option.name for option in dress.options} | {*dress.edges, *KINDS}
    for word, serves in dress.wishes.items():
        assert word not in names, word
        assert near_names(word)[:1] != (word,), word
        assert serves.startswith(("Write ", "There is none")), word
        named = set(re.findall(r"\b[a-z]+_[a-z_]+\b", serves)) | set(re.findall(r"(\w+) = ", serves))
        assert named <= names, (word, named - names)
