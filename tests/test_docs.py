"""The documents say what the program does: ids, options, measurements, links, commands and examples."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from oaktag.body.measurements import KINDS
from oaktag.body.sanity import BANDS, CHILD_BANDS, MEN_BANDS
from oaktag.checks import across, fit, marks, outline, seams
from oaktag.checks.across import ACROSS
from oaktag.checks.rule import Rule
from oaktag.checks.run import CHECKS as CHECKS_RUN
from oaktag.checks.run import check
from oaktag.claims.girth import Girth
from oaktag.device.store import shipped_names
from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.draft.options import LengthOption
from oaktag.finish.allowances import allow
from oaktag.finish.marks import mark
from oaktag.formats import FORMATS
from oaktag.job import KEYS, load_job
from oaktag.model.nest import Nest
from oaktag.model.pattern import Pattern
from oaktag.model.piece import NotchPlace
from oaktag.model.ref import Ref
from oaktag.model.spans import resolve
from oaktag.pipeline import make, pattern_of
from oaktag.sheet.arrange import arrange
from oaktag.sheet.drawing import figure_of, label_box
from oaktag.sheet.paper import PAPERS
from oaktag.sheet.strokes import Role
from oaktag.units import rounded, show
from samples import pocket
from wardrobe import nested, oaktag

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(DOCS.rglob("*.md"))]
GUIDE, CHECKS = DOCS / "guide.md", DOCS / "checks.md"
DEMOS = sorted((ROOT / "fixtures/choir").glob("*.toml"))
DEMO = ROOT / "fixtures/choir/alto-3.toml"


def text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def blocks(path: Path, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text(path), re.MULTILINE | re.DOTALL)


def words_in_code(path: Path) -> set[str]:
    """All that stands between single backticks."""
    return set(re.findall(r"`([^`\n]+)`", text(path)))


# ------------------------------------------------------------------------------------------------------------- checks


def rows_of_checks() -> dict[str, str]:
    """Id -> the words of its row of a table (several ids may share one)."""
    rows = {}
    for line in text(CHECKS).splitlines():
        first = line.split("|")[1] if line.startswith("| `") else ""
        for name in re.findall(r"`([^`]+)`", first):
            assert name not in rows, f"{name} is told twice"
            rows[name] = line
    return rows


RULES = (*CHECKS_RUN, *ACROSS)


def kind_of(name: str, kinds: Iterable[str]) -> str:
    """The id itself, or its family: `seam.*` of seam.side-seam."""
    return name if name in kinds else f"{name.split('.')[0]}.*"


def told_severities(row: str) -> set[str]:
    return set(re.findall(r"\b(error|warning|note)\b", row.split("|")[2]))


def severities(rule: Rule[Pattern] | Rule[Nest], name: str) -> set[str]:
    return {{"error": "error", "warning": "warning", "info": "note"}[one.value] for one in rule.ids[name]}


def test_there_is_a_row_for_each_kind_of_check_with_its_severities() -> None:
    rows, bands = rows_of_checks(), {band.id for band in (*BANDS, *MEN_BANDS, *CHILD_BANDS)}
    kinds = {name: severities(rule, name) for rule in RULES for name in rule.ids}
    assert sum(len(rule.ids) for rule in RULES) == len(kinds), "an id is given by two checks"
    book = kinds.pop("body.*")  # a row each, since each band has other limits
    assert set(rows) == {*kinds, *bands, "body.plausible"}
    assert {name: told_severities(rows[name]) for name in kinds} == kinds
    assert all(told_severities(rows[name]) == book for name in (*bands, "body.plausible"))


@pytest.mark.parametrize("job", DEMOS, ids=lambda path: path.stem)
def test_what_a_garment_has_of_a_kind_is_named_in_its_draft(job: Path) -> None:
    pattern = pattern_of(load_job(job))
    findings = check(pattern)
    assert len(findings) > 40
    own = {
        "seam": [seam.name for seam in pattern.draft.seams],
        "corner": [join.name.split(" across ")[0] for join in pattern.draft.joins],
        "girth": [claim.level for claim in pattern.draft.claims if isinstance(claim, Girth)],
    }
    kinds = {name for rule in RULES for name in rule.ids}
    for family, names in own.items():
        found = {f.id for f in findings if kind_of(f.id, kinds) == f"{family}.*"}
        assert found == {f"{family}.{name.replace(' ', '-')}" for name in names}


def told_as_its_check_says(rule: Rule[Any], subject: object) -> set[str]:
    """The kinds of findings that a check gives, each with a severity that its row in the table has."""
    made = set()
    for f in rule(subject):
        name = kind_of(f.id, rule.ids)
        assert f.severity in rule.ids[name], f.id
        made.add(name)
    return made


def test_every_kind_of_check_is_made_by_the_demo_jobs() -> None:
    patterns = [pattern_of(load_job(job)) for job in DEMOS]
    made = {name for pattern in patterns for rule in CHECKS_RUN for name in told_as_its_check_says(rule, pattern)}
    made |= {name for rule in ACROSS for name in told_as_its_check_says(rule, nested())}
    without_any_zip = {"entry.waist"}  # an error in woven cloth, so no demo job is made so
    for_children = {"grade.youngest"}  # none of these demo jobs is for children: test_safety.py makes it
    assert made | without_any_zip | for_children == {name for rule in RULES for name in rule.ids}


def test_no_check_is_left_out_of_the_list() -> None:
    for module in (fit, marks, outline, seams, across):
        for name, one in vars(module).items():
            assert not isinstance(one, Rule) or one in RULES, f"{module.__name__}.{name}"
            assert not isinstance(one, Rule) or one.measures, f"{module.__name__}.{name} does not say what it measures"


# ----------------------------------------------------------------------------------------------------- job and formats


def rows_of_job() -> dict[str, dict[str, str]]:
    """Key -> what it is for, by table; and the formats, below "What is written"."""
    parts = re.split(r"^## (.+)$", text(DOCS / "job.md"), flags=re.MULTILINE)[1:]
    return {
        head.strip("[]"): dict(re.findall(r"^\| `(\w+)` \| (.*?) \|", part, re.MULTILINE))
        for head, part in zip(parts[::2], parts[1::2], strict=True)
    }


def test_every_key_of_the_job_file_is_told_as_its_row_says() -> None:
    told = rows_of_job()
    for table, keys in KEYS.items():
        assert told.pop(table or "At the top of the file") == {key: row.words for key, row in keys.items()}
    assert set(told) == {"What is written"}
    assert all(paper in KEYS["output"]["paper"].words for paper in PAPERS)


def test_every_format_is_told_as_its_row_says() -> None:
    assert rows_of_job()["What is written"] == {row.word: row.words for row in FORMATS}
    lines = [line for line in text(DOCS / "job.md").splitlines() if line.startswith("| `")]
    for row in FORMATS:
        (line,) = [line for line in lines if line.startswith(f"| `{row.word}` | {row.words} |")]
        files, readers = line.split("|")[3:5]
        names = [file.name.replace("{paper}", "PAPER") for file in row.files] or [f"lay{row.lay}"]
        assert re.findall(r"`([^`]+)`", files) == names
        known = dict.fromkeys(reader.name for file in row.files for reader in file.readers)
        assert readers.strip() == ", ".join(known)


# -------------------------------------------------------------------------------------------------------------- guide


def rows_of_options(name: str) -> list[str]:
    """The table under the heading that ends with the garment's name, in the guide or on the page of garments."""
    parts = re.split(r"(?m)^##+ ", text(GUIDE) + text(ROOT / "docs/wardrobe.md"))
    heads = {p.splitlines()[0].lower().replace(" ", "-").replace("'", ""): p for p in parts if p.strip()}
    section = heads.get(name) or next(p for head, p in heads.items() if head.endswith(name))
    return [line for line in section.splitlines() if line.startswith("| `")]


@pytest.mark.parametrize("name", GARMENT_NAMES)
def test_every_option_of_every_garment_is_in_the_guide(name: str) -> None:
    rows = rows_of_options(name)
    for option in find_garment(name).options:
        (row,) = [line for line in rows if line.startswith(f"| `{option.name}` | {option.words}")]
        if isinstance(option, LengthOption):  # its default in both units
            pairs = [(mm, rounded(mm, "cm")) for mm in option.lengths.values()]
            if option.default is not None:
                pairs = [(option.default, option.usual("cm"))]
            for inches, metric in pairs:
                assert metric is not None
                assert f"{show(inches, 'in')} ({show(metric, 'cm')})" in row, option.name


def test_every_measurement_is_in_the_guide_as_the_program_tells_it() -> None:
    dress = find_garment("sheath-dress")
    needed = dress.needs({"sleeve": "long"})
    for kind in KINDS.values():
        (row,) = [line for line in text(GUIDE).splitlines() if line.startswith(f"| `{kind.name}` |")]
        assert kind.how in row
        assert ("**needed**" in row) == (kind.name in needed)
        assert ("*used*" in row) == (kind.name in dress.uses and kind.name not in needed)


def test_papers_and_devices_of_the_guide_are_those_of_the_program() -> None:
    told = words_in_code(ROOT / "docs/devices.md")
    assert set(shipped_names()) <= told
    assert {word for word in told if re.fullmatch(r"(roll|sheet|knife|laser|pen)-[\w-]+", word)} <= set(shipped_names())
    for paper in PAPERS:
        assert re.search(rf"\b{paper}\b", blocks(GUIDE, "toml")[0])


def test_readings_of_a_wrong_print_are_worked_out_rightly() -> None:
    # paper sizes by ISO 216 and ANSI/ASME Y14.1; a fitted page shrinks by its tighter side
    a4, letter = (210.0, 297.0), (215.9, 279.4)
    rows = {
        "an A4 page was fitted on Letter": min(letter[0] / a4[0], letter[1] / a4[1]),
        "a Letter page was fitted on A4": min(a4[0] / letter[0], a4[1] / letter[1]),
    }
    for words, factor in rows.items():
        (row,) = [line for line in text(GUIDE).splitlines() if words in line]
        assert f"| {100 * factor:.1f} mm | {101.6 * factor:.1f} mm |" in row


@pytest.mark.parametrize("page", [ROOT / "README.md", GUIDE], ids=lambda path: path.name)
def test_the_job_on_the_page_can_be_made(page: Path, tmp_path: Path) -> None:
    jobs = [block for block in blocks(page, "toml") if "garment" in block]
    assert jobs
    path = tmp_path / "dress.toml"
    for job in jobs:
        path.write_text(job, encoding="utf-8")
        # of a size set also the rule table, the nest as pattern data, and the rules for people
        assert len(make(load_job(path)).files) == (10 if "[sizes]" in job else 7)


def test_the_mistake_shown_in_the_guide_is_told_so(tmp_path: Path) -> None:
    job = blocks(GUIDE, "toml")[0]
    lines = job.splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("hip_girth"))
    lines[at] = "hip_girth = 104"
    (tmp_path / "dress.toml").write_text("\n".join(lines), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", "from oaktag.__main__ import main; main()", "check", "dress.toml"],
        cwd=tmp_path, capture_output=True, text=True, encoding="utf-8",
    )  # fmt: skip
    (told,) = [block.strip() for block in blocks(GUIDE, "text") if "104 is taken as inches" in block]
    assert done.returncode == 2
    assert re.sub(r":\d+ ", ":N ", done.stderr.strip()) == re.sub(r":\d+ ", ":N ", told)


def test_the_steps_shown_in_the_guide_are_those_of_the_demo() -> None:
    from oaktag.draft.steps_words import step_lines

    pattern = pattern_of(load_job(DEMO))
    real = step_lines(pattern.draft.steps, pattern.unit)
    (told,) = [block for block in blocks(GUIDE, "text") if "chest line =" in block]
    shown = [line for line in told.splitlines() if line.strip() != "…"]
    assert len(shown) > 3
    assert set(shown) <= set(real)


# ------------------------------------------------------------------------------------------------------------- README


def test_readme_gives_two_commands_each_in_its_own_block() -> None:
    first, second = (block.strip() for block in blocks(ROOT / "README.md", "bash"))
    job = re.search(r"oaktag make (\S+) -o (\S+)$", first)
    assert job is not None
    assert ROOT / job[1] == DEMO
    assert f"file in `{job[2]}`" in text(ROOT / "README.md")
    assert first.startswith("python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/oaktag make")
    assert second == "bash .ci/test"
    script = text(ROOT / ".ci/test")
    assert "python3 -m venv" in script
    assert "install" in script
    assert "-m pytest" in script


def test_readme_names_the_files_that_the_demo_writes() -> None:
    table = re.findall(r"^\| `([^`]+)` \|", text(ROOT / "README.md"), re.MULTILINE)
    assert sorted(table) == sorted(make(load_job(DEMO)).files)


def test_readme_is_short_and_its_python_is_the_projects() -> None:
    assert len(text(ROOT / "README.md").splitlines()) < 90
    least = tomllib.loads(text(ROOT / "pyproject.toml"))["project"]["requires-python"].removeprefix(">=")
    assert f"Python {least} or newer" in text(ROOT / "README.md")


# --------------------------------------------------------------------------------------------------- links, pictures


def links(page: Path) -> Iterator[str]:
    prose = re.sub(r"^```.*?^```", "", text(page), flags=re.MULTILINE | re.DOTALL)
    yield from re.findall(r"\]\(([^)\s]+)\)", prose)
    yield from re.findall(r'(?:src|href)="([^"]+)"', prose)


def anchors(page: Path) -> set[str]:
    heads = re.findall(r"^#+ (.+)$", text(page), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.name)
def test_links_lead_somewhere(page: Path) -> None:
    for link in links(page):
        assert "://" not in link, "nothing outside the folder is needed to read this"
        path, _, anchor = link.partition("#")
        target = (page.parent / path).resolve() if path else page
        assert target.exists(), link
        if anchor:
            assert anchor in anchors(target), link


def test_every_picture_is_used_and_small() -> None:
    used = {(page.parent / link).resolve() for page in PAGES for link in links(page) if link.endswith(".png")}
    pictures = {path.resolve() for path in (DOCS / "pictures").glob("*.png")}
    assert pictures == used
    assert len(pictures) >= 6
    for path in pictures:
        assert path.stat().st_size < 120_000, path.name


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.name)
def test_paths_in_code_words_exist(page: Path) -> None:
    for word in words_in_code(page):
        if re.fullmatch(r"(?:src|tests|fixtures|docs|\.ci)(?:/[\w.-]+)*", word) and "half_apron" not in word:
            assert (ROOT / word).exists(), word


# ---------------------------------------------------------------------------------------------------- DEVELOPERS.md


def example(holding: str) -> dict[str, object]:
    """The names that an example of DEVELOPERS.md defines."""
    (block,) = [block for block in blocks(ROOT / "DEVELOPERS.md", "python") if holding in block]
    names: dict[str, object] = {"__name__": __name__}
    exec(compile(block, "DEVELOPERS.md", "exec"), names)
    return names


def test_the_example_garment_can_be_cut_and_checked() -> None:
    from oaktag.body.measurements import Measurements
    from oaktag.draft.chalk.card import chalk_pieces
    from oaktag.draft.garment import Garment
    from oaktag.draft.options import validated
    from oaktag.errors import Where

    garment = example("half_apron")["half_apron"]
    assert isinstance(garment, Garment)
    style, _ = validated(garment.options, {}, "in", lambda key: Where("", 0, key))
    draft = garment.draft(Measurements({"waist_girth": 800.0}), style, "in")
    pattern = mark(allow(draft, {}), title="", size="", size_words="", unit="in", label_box=label_box)
    assert [f.message for f in check(pattern) if not f.passed] == []
    # by hand: 800/4 + 76.2 wide, 508 long; 1/2 in beyond side and waist, 1 in below the hem, nothing at the fold
    xs, ys = zip(*pattern.pieces[0].cut.cut_line, strict=True)
    assert (min(xs), max(xs)) == pytest.approx((0.0, 276.2 + 12.7), abs=1e-6)
    assert (min(ys), max(ys)) == pytest.approx((-508.0 - 25.4, 12.7), abs=1e-6)
    steps = {step.title: step for step in chalk_pieces(pattern)[0].steps}
    assert list(steps)[:3] == ["Fold and top line", "Hem line", "Hem side"]
    assert list(steps)[3:8] == ["Waist side", "Waist", "Hem", "Side", "Centre front"]
    assert steps["Hem side"].words == ("On the hem line, 10 7/8 in from the fold.",)  # which is 276.225 mm
    assert steps["Hem side"].formula == ("= waist girth ÷ 4 + 3 in",)


def test_the_example_check_measures_the_demo() -> None:
    findings = list(example("grain_long_enough")["grain_long_enough"](pattern_of(load_job(DEMO))))  # type: ignore[operator]
    assert len(findings) == 5
    assert all(f.passed for f in findings)


def test_the_example_claim_proves_the_demo() -> None:
    from oaktag.model.length import Length, mm

    pattern = pattern_of(load_job(DEMO))
    body = Length(pattern.draft.body["waist_girth"], "body", name="waist_girth")
    kind = example("class WrapsOver")["WrapsOver"]
    (held,) = kind("wrap.waist", "Add {more} to lap.", "waist", body, mm(20)).check(pattern)  # type: ignore[operator]
    (failed,) = kind("wrap.waist", "Add {more} to lap.", "waist", body, mm(90)).check(pattern)  # type: ignore[operator]
    assert held.passed and not failed.passed and "Add 2 5/8 in to lap." in failed.message  # 90 mm less 1 in of ease


def test_the_example_move_keeps_what_rides_on_the_edges() -> None:
    """A pocket's right and top as one, by hand: 150 × 140 mm, a notch 20 mm along the top lies 160 mm along both."""
    piece = replace(pocket(), notches=(NotchPlace("top", 20.0, 1, "here"), NotchPlace("left", 9.0)))
    made = example("one_edge")["one_edge"](piece, "right", "top")  # type: ignore[operator]
    assert [edge.name for edge in made.edges] == ["bottom", "right", "left"]
    assert made.edge("right").length() == pytest.approx(290.0)
    assert [(n.edge, n.at) for n in made.notches] == [("left", 9.0), ("right", 160.0)]
    assert resolve((made,), Ref("pocket", "top")) == ((Ref("pocket", "right"), 140.0, 290.0, False),)


def test_the_example_exporter_writes_every_stroke() -> None:
    names = example("def render")
    figures = [figure_of(piece) for piece in pattern_of(load_job(DEMO)).pieces]
    sheet = arrange("", figures, 900.0)
    lines = names["render"](sheet).decode().splitlines()  # type: ignore[operator]
    assert len(lines) == sum(len(figure.strokes) for figure in sheet.figures)
    assert set(names["WORDS"]) == set(Role)  # type: ignore[call-overload]


def test_modules_import_only_what_developers_md_allows() -> None:
    rows = re.findall(r"^\| `(\w+)(?:/|\.py)` \| .* \| (.*) \|$", text(ROOT / "DEVELOPERS.md"), re.MULTILINE)
    order = [name for name, _ in rows]
    source = ROOT / "src/oaktag"
    assert set(order) == {path.stem for path in source.iterdir() if not path.name.startswith(("_", "py."))}
    allowed = {
        name: set(order[: order.index(name)]) if "above" in words else {"errors", "values", *re.findall(r"\w+", words)}
        for name, words in rows
    }
    allowed["cli"] = set(order)
    for path in sorted(source.rglob("*.py")):
        parts = path.relative_to(source).parts
        own = parts[0].removesuffix(".py")
        for dots, module in re.findall(r"^ *from (\.+)(\w+)", text(path), re.MULTILINE):
            if own in order and len(dots) == len(parts):
                place = "/".join(parts)
                assert module == own or module in allowed[own], f"{place} imports {module}"
                assert order.index(module) <= order.index(own), f"{place} imports {module}, which stands below it"


def test_the_first_garment_is_made_as_the_page_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file and the job of docs/garments.md, by its own commands; and what it says happens with a narrow neck."""
    from oaktag.testing import prove_garment

    monkeypatch.setenv("OAKTAG_DEVICES", str(tmp_path / "kept"))
    page = DOCS / "garments.md"
    (code,) = [block for block in blocks(page, "python") if "@garment" in block]
    (job,) = blocks(page, "toml")
    (tmp_path / "tabard.py").write_text(code, encoding="utf-8")
    (tmp_path / "robe.toml").write_text(job, encoding="utf-8")
    (commands,) = blocks(page, "bash")
    for line in commands.splitlines():
        done = oaktag(*line.partition("#")[0].split()[1:], cwd=tmp_path)
        assert done.returncode == 0, (line, done.stderr)
    assert "half width = bust girth ÷ 4 + 1 in = 10 1/2 in" in oaktag("steps", "robe.toml", cwd=tmp_path).stdout
    (tmp_path / "robe.toml").write_text(f"{job}\n[style]\nneck_deep = 3\n", encoding="utf-8")
    narrow = oaktag("make", "robe.toml", cwd=tmp_path)
    assert narrow.returncode == 1
    assert "The head does not pass" in narrow.stdout
    names: dict[str, object] = {"__name__": "tabard"}
    exec(compile(code, "tabard.py", "exec"), names)
    bodies = {"one": {"bust_girth": 965.0, "neck_base_girth": 380.0, "head_girth": 560.0}}
    assert "1 bodies" in str(prove_garment(names["tabard"], bodies=bodies))  # type: ignore[arg-type]
