"""A checked pattern to the bytes of its files: every format by the writer that its row in `formats.py` names."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Final, TypeVar

from .beside import beside
from .errors import DraftError
from .formats import FILES, Format, file_of, function
from .model.finding import Finding
from .model.nest import Nest
from .model.piece import title_of
from .progress import Told
from .sheet.drawing import figure_of
from .units import show
from .values import dataclass

if TYPE_CHECKING:
    from .device.profile import DeviceProfile
    from .export.hpgl import Plot
    from .export.pattern_json import Drawn, PlotParts, Sent
    from .job import Job
    from .sheet.on_device import Laid
    from .sheet.strokes import Figure, Sheet
    from .units import Unit

_T = TypeVar("_T")
CAUTIONS: Final = (
    "Measure the scale block on the printed paper before you cut any cloth.",
    "Scissors, rotary blades and irons: cut away from your fingers, unplug the iron when you leave it.",
)


@dataclass(frozen=True, slots=True)
class Written:
    """Files by name; of those for a device also what pattern.json tells of them; and what there is to say."""

    files: Mapping[str, bytes]
    drawn: tuple[Drawn, ...] = ()
    parts: tuple[PlotParts, ...] = ()
    notes: tuple[str, ...] = ()


class Making:
    """A pattern that is being written: figures and rolls, each made once, whatever number of files shows them; and what
    stood in the way of a drawing: a piece wider than its paper."""

    def __init__(self, job: Job, nest: Nest) -> None:
        self.job, self.nest = job, nest
        self.errors: dict[str, DraftError] = {}
        """By the file that could not be drawn."""
        self._figures: dict[tuple[str, ...], list[Figure]] = {}
        self._rolls: dict[object, Sheet] = {}

    @property
    def title(self) -> str:
        return self.nest.base_pattern.title

    def sizes(self, row: Format) -> tuple[str, ...]:
        """Those that are drawn in a format."""
        return drawn_sizes(self.job, self.nest, row.word)

    def figures(self, row: Format) -> list[Figure]:
        """The pieces in those sizes."""
        sizes = self.sizes(row)
        if sizes not in self._figures:
            self._figures[sizes] = figures_of(self.nest.only(sizes), self.job.output.layout)
        return self._figures[sizes]

    def roll(self, title: str, figures: Sequence[Figure], width: float, *, edge: float) -> Sheet:
        """`roll_sheet` of figures that are kept here."""
        from .sheet.roll import roll_sheet

        key = tuple(map(id, figures)), width
        if key not in self._rolls:
            self._rolls[key] = roll_sheet(title, figures, width, edge=edge)
        return self._rolls[key]

    def tried(self, name: str, draw: Callable[[], _T]) -> _T | None:
        """A drawing, or nothing where a piece does not fit."""
        try:
            return draw()
        except DraftError as error:
            self.errors[name] = error.with_traceback(None)  # whose frames hold all that is written, and this
            return None

    def refuse(self, made: Mapping[str, bytes], *, only: bool) -> None:
        """DraftError where no other file will do for one that could not be drawn: if its format was asked for by name
        (`only`), one of the same: a PDF in pages where a roll is too narrow."""
        for name, error in self.errors.items():
            own = next((row.files for row, file in FILES if file is file_of(name)), ())
            will_do = [file for file in map(file_of, _drawings(made)) if not only or file in own]
            if not will_do:
                raise error

    def left_out(self, made: Mapping[str, bytes]) -> tuple[str, ...]:
        """`not written: pattern.svg, pattern-roll.pdf: front is … Written: pattern.dxf, pattern.plt`."""
        told: dict[str, list[str]] = {}
        for name, error in self.errors.items():
            told.setdefault(str(error), []).append(name)
        taken = ", ".join(_drawings(made))
        return tuple(
            f"not written: {', '.join(names)}: {text.rstrip('.')}. These can take it, and are written: {taken}."
            for text, names in told.items()
        )


def _drawings(made: Mapping[str, bytes]) -> list[str]:
    """The files by which a piece can be cut: those that are read back."""
    return [name for name in made if (file := file_of(name)) is not None and file.readers]


def written(
    making: Making, findings: tuple[Finding, ...], wanted: Sequence[Format], told: Told
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Every file of the formats, and what there is to say of them; writers are imported when they are called.

    First what programs and pattern rooms read, then what is for the device, the pages, and the report, which names them
    all. Pages and pattern data are made beside the other files.
    """
    job, nest = making.job, making.nest
    words = {row.word for row in wanted}
    aside = [row for row in wanted if row.beside]
    pages = [row for row in aside if row.render]
    for row in pages:
        making.figures(row)  # for both processes
    names = {row.word: row.names(job.paper, several=len(nest.sizes) > 1) for row in aside}
    drawn = tuple(name for row in pages for name in names[row.word])
    data = tuple(name for row in aside if row not in pages for name in names[row.word])
    with beside(partial(_made_beside, making, aside), when=bool(aside) and len(wanted) > len(aside)) as made_beside:
        told("writing for the device", 1, 4)
        sent = [_written(making, row) for row in wanted if row.device]
        for_devices = {name: content for one in sent for name, content in one.files.items()}
        told("writing the pattern data", 2, 4)
        made: dict[str, bytes] = {}
        if "json" in words:
            made["pattern.json"] = _json(making, findings, sent)
        told("writing the report", 3, 4)
        report = partial(_report, job, nest, findings, job.output.profile.cautions if for_devices else ())
        early = report((*made, *data, *for_devices, *drawn)) if "report" in words else b""
        told("writing the pages", 4, 4)
        others = made_beside()
    if others is None:
        others = _files(making, aside)
    made |= {name: others[name] for name in data} | for_devices
    made |= {name: others[name] for name in drawn if name in others}
    if "report" in words:  # it names the files: told anew if a page could not be drawn
        made["report.html"] = early if set(drawn) <= set(made) else report(tuple(made))
    return made, (*_notes(making, wanted, sent), *_lettering_notes(nest), *_notes_of(made))


def _written(making: Making, row: Format) -> Written:
    done: Written = function(row.write)(making, row)
    return done


def _files(making: Making, rows: Sequence[Format]) -> dict[str, bytes]:
    return {name: content for row in rows for name, content in _written(making, row).files.items()}


def _made_beside(making: Making, rows: Sequence[Format]) -> dict[str, bytes] | None:
    """Their files; None if one cannot be drawn."""
    made = _files(making, rows)
    return None if making.errors else made


def _json(making: Making, findings: tuple[Finding, ...], sent: Sequence[Written]) -> bytes:
    from .export import pattern_json

    drawn = (*_told_drawn(making), *(row for one in sent for row in one.drawn))
    parts = tuple(plot for one in sent for plot in one.parts)
    made_by = making.job.made_by
    return pattern_json.render(making.nest, findings, drawn, parts, outside=made_by.whence if made_by else None)


# ------------------------------------------------------------------------------------------------- what there is to say


def _notes(making: Making, wanted: Sequence[Format], sent: Sequence[Written]) -> tuple[str, ...]:
    """Of the device and its plots, each thing once; of corrections."""
    device, printer = making.job.output.profile, making.job.output.printer
    notes = dict.fromkeys(note for one in sent for note in one.notes)
    if sent and not device.correction.identity:
        notes[f"corrected for {device.name}: {device.correction.words()}."] = None
    printed = any(file.printer for row in wanted for file in row.files)
    if printed and printer is not None and not printer.correction.identity:
        notes[f"pages {_said(printer)}."] = None
    return tuple(notes)


def _lettering_notes(nest: Nest) -> tuple[str, ...]:
    """What of names and titles cannot be lettered on sheets."""
    from .sheet.lettering import unlettered

    title = nest.base_pattern.title
    found = [f"{title} (the title)"] if unlettered(title) else []
    for piece in nest.base_pattern.pieces:
        words = title_of(piece.cut.piece)
        if unlettered(f"{words} {piece.cut.piece.material}"):
            found.append(f"{words}, {piece.cut.piece.material} (piece {piece.number})")
    if not found:
        return ()
    told = (
        f"cannot be lettered on paper, where each such letter is a small box: {'; '.join(found)}. Go by the numbers on "
        "the pieces; report.html and pattern.json have the words; pattern.dxf spells them by number (\\U+524D), or as "
        "PIECE and its number."
    )
    return (told,)


def _notes_of(made: Mapping[str, bytes]) -> tuple[str, ...]:
    if b"/UserUnit" not in made.get("pattern-roll.pdf", b""):
        return ()
    long = "pattern-roll.pdf is one page of more than 5,080 mm, in a larger unit that some printers overlook"
    return (f'{long}: measure its scale blocks before you pay, or write roll = "split", which is safer.',)


# ------------------------------------------------------------------------------------------------------- for the device


def for_device(making: Making, row: Format) -> Written:
    """Pieces laid on the device's sheets, a file a sheet: plots, CAD drawings and cutting SVG."""
    from .sheet.on_device import laid_on

    device = making.job.output.profile
    name = row.files[0].named
    lay = partial(laid_on, device, making.title, making.figures(row), making.roll)
    laid = making.tried(name(), lay) or ()
    several = len(laid) > 1
    made: dict[str, bytes] = {}
    drawn: list[Drawn] = []
    parts: list[PlotParts] = []
    notes: list[str] = []
    for number, one in enumerate(laid, start=1):
        file = name(number=number if several else 0)
        done: bytes | Plot = function(row.render)(one.sheet, device)
        if isinstance(done, bytes):
            made[file], plot = done, None
        else:
            made[file], plot = done.data, done
            parts.append(plot_words(file, plot, device))
            notes.append(way_of_pen(file, plot))
        told = _drawn_on(making, row, file, one, sent_words(device, plotted=plot is not None), several=several)
        if (
            len(making.nest.sizes) > 1
            or told.pieces is not None
            or told.left_out
            or not told.sent
            or not told.sent.plain
        ):
            drawn.append(told)
    if several:
        listed = ", ".join(name(number=number + 1) for number in range(len(laid)))
        notes.append(f"{len(laid)} sheets for {device.name}: {listed}.")
    split = list(dict.fromkeys(panel.whole for one in laid for panel in one.panels))
    if split:
        notes.append(
            f"too large for {device.name}, so in parts that are joined again along marked lines: {', '.join(split)}."
        )
    return Written(made, tuple(drawn), tuple(parts), tuple(notes))


def _drawn_on(making: Making, row: Format, file: str, one: Laid, sent: Sent, *, several: bool) -> Drawn:
    """What pattern.json tells of one of the device's sheets."""
    from .export.pattern_json import Drawn, PanelRow

    sizes = making.sizes(row)
    known = {piece.name for piece in making.nest.base_pattern.pieces}
    panels = tuple(
        PanelRow(p.whole, p.size or sizes[0], p.part, p.of, (p.box.left, p.box.bottom, p.box.right, p.box.top))
        for p in one.panels
    )
    whole = tuple(
        (f.name, size) for f in one.sheet.figures if f.name in known for size in (f.sizes() or (f.size or sizes[0],))
    )
    layout = making.job.output.layout if len(sizes) > 1 else "apart"
    return Drawn(
        file,
        sizes,
        layout,
        layout == "apart" and row.stitch_lines,
        whole if several or panels else None,
        panels,
        one.small_block,
        sent,
        left_out_by(making.job.output.profile),
    )


def left_out_by(device: DeviceProfile, *, codes: bool = False) -> tuple[str, ...]:
    """The roles that a device has no pen for; `codes` are on rolls alone."""
    from .sheet.strokes import Role

    return tuple(role.value for role in Role if not device.pen(role.name.lower()) and (codes or role is not Role.CODE))


def sent_words(device: DeviceProfile, *, plotted: bool) -> Sent:
    from .export.pattern_json import Sent

    correction = None if device.correction.identity else device.correction.matrix
    kerf = device.laser.kerf if device.laser is not None else 0.0
    if not plotted:
        return Sent(device.name, correction=correction, kerf=kerf)
    blade = device.blade
    knife = None
    if blade is not None:
        knife = (blade.offset, device.pen("cut"), blade.tab_width if blade.tabs else 0.0)
    return Sent(device.name, device.unit, device.axis, device.frame, correction, knife, kerf)


def plot_words(name: str, plot: Plot, device: DeviceProfile) -> PlotParts:
    from .device.profile import usable_length, usable_width
    from .export.pattern_json import PlotPart, PlotParts

    room = usable_length(device), usable_width(device)
    parts = tuple(PlotPart(part.name, part.pen, part.lines, part.drawn) for part in plot.parts)
    where = device.origin, plot.page, room, device.least, device.most
    return PlotParts(name, device.name, device.unit, device.axis, *where, parts)


def way_of_pen(name: str, plot: Plot) -> str:
    """`pattern.plt: 31.2 m drawn, 8.4 m with the pen up (24.1 m in the order of the pieces)`."""
    return (
        f"{name}: {plot.drawn / 1000:.1f} m drawn, {plot.travel / 1000:.1f} m with the pen up "
        f"({plot.travel_as_given / 1000:.1f} m if drawn in the order of the sheet)."
    )


# ---------------------------------------------------------------------------------------------- pages, data, the report


def _report(
    job: Job, nest: Nest, findings: tuple[Finding, ...], cautions: tuple[str, ...], others: tuple[str, ...]
) -> bytes:
    files = (*others, "report.html")
    if len(nest.sizes) == 1:
        from .export import report

        return report.render(nest.base_pattern, findings, size_words=job.size_words, files=files, cautions=cautions)
    from .export.report_set import render_set

    chart = job.sizes.chart if job.sizes is not None else None
    if chart is None:
        return render_set(nest, findings, files=files, cautions=cautions)
    beyond = tuple(size for size in chart.extrapolated if size in nest.sizes)
    return render_set(
        nest,
        findings,
        files=files,
        cautions=cautions,
        chart_title=chart.title,
        chart_source=chart.source,
        extrapolated=beyond,
    )


def pattern_data(making: Making, row: Format) -> Written:
    """One size; or the base with its rules, every size as a nest, and the rules as a table for people."""
    job, nest = making.job, making.nest
    if len(nest.sizes) == 1:
        from .export import dxf

        return Written({"pattern.dxf": dxf.render(nest.base_pattern, date=job.date, units=job.output.dxf_units)})
    from .export import dxf_sizes
    from .grade.rules import render_rules, rules_of

    units: dxf_sizes.Units = "english" if job.output.dxf_units == "english" else "metric"
    flavour: dxf_sizes.Flavour = "aama" if job.output.dxf_flavour == "aama" else "astm"
    base, table = dxf_sizes.render_base(nest, date=job.date, units=units, flavour=flavour)
    made = {
        "pattern.dxf": base,
        "pattern.rul": table,
        "pattern-nest.dxf": dxf_sizes.render_nest(nest, date=job.date, units=units, flavour=flavour),
        "grade-rules.csv": render_rules(rules_of(nest), job.unit),
    }
    return Written(made)


def pages(making: Making, row: Format) -> Written:
    """Pieces and scale block on tiles, and on a roll.

    `pattern-roll.pdf` has several pages where one would be too long: of sizes drawn each by itself a page a size, else
    as the job says.
    """
    from .export import pdf
    from .sheet.on_device import EDGE
    from .sheet.roll import roll_sheets

    output = making.job.output
    sizes, figures = making.sizes(row), making.figures(row)
    on_tiles, on_roll = (file.named(making.job.paper) for file in row.files)
    width, margin, wide = _roll(making)

    def laid() -> Sheet:
        widest = _widest(figures)
        if widest > width + 1e-6:
            raise DraftError(f"{_too_wide(figures, width - 2 * EDGE, making.job.unit)}{_wider(widest)}")
        return making.roll(making.title, figures, width, edge=EDGE)

    roll = making.tried(on_roll, laid)
    tiles = making.tried(on_tiles, partial(_tiles, making.job, making.title, figures))
    made = {on_tiles: tiles} if tiles is not None else {}
    if roll is not None:
        whole: tuple[Sheet, ...] = (roll,)
        split = output.roll == "split"
        if split and roll.height + 2 * margin > pdf.LONGEST:
            apart = output.layout == "apart" and len(sizes) > 1
            parts = [[f for f in figures if f.size == size] for size in sizes] if apart else [figures]
            longest = pdf.SPLIT - 2 * margin
            whole = tuple(sheet for own in parts for sheet in roll_sheets(making.title, own, width, longest, edge=EDGE))
        made[on_roll] = pdf.render_roll(
            *whole, margin=margin, one_page=not split, matrix=_matrix(wide), said=_said(wide)
        )
    return Written(made)


def on_one_sheet(making: Making, row: Format) -> Written:
    """Pieces and scale block on a sheet as wide as the roll, or as the widest of them: it has no paper."""
    from .sheet.on_device import EDGE

    figures = making.figures(row)
    width, _, _ = _roll(making)
    sheet = making.roll(making.title, figures, max(width, _widest(figures)), edge=EDGE)
    return Written({row.files[0].name: function(row.render)(sheet)})


def _widest(figures: Sequence[Figure]) -> float:
    """How wide a roll must be, mm."""
    from .sheet.on_device import EDGE

    return max(min(box.width, box.height) for box in (figure.bounds() for figure in figures)) + 2 * EDGE


def _too_wide(figures: Sequence[Figure], room: float, unit: Unit) -> str:
    """`front is 1.29 m wide and 3 m long, and the roll takes 90 cm` in the maker's unit, of the widest."""
    figure = max(figures, key=lambda f: min(f.bounds().width, f.bounds().height))
    wide, long, across = (show(mm, unit) for mm in (figure.bounds().width, figure.bounds().height, room))
    return f"{figure.label} is {wide} wide and {long} long, and the roll takes {across} across: too wide both ways."


def _wider(width: float) -> str:
    """The narrowest roll among the devices that ship which can be drawn on so wide, and how to ask for it."""
    from .device.profile import PLOTTED, usable_width
    from .device.store import find_device, shipped_names

    known = [find_device(name) for name in shipped_names()]
    rolls = [d for d in known if d.length is None and not d.cuts and d.language in PLOTTED and usable_width(d) >= width]
    best = min(rolls, key=usable_width, default=None)
    return f' Write device = "{best.name}" below [output] for a wider one.' if best is not None else ""


def _matrix(device: DeviceProfile | None) -> tuple[float, float, float, float] | None:
    return None if device is None or device.correction.identity else device.correction.matrix


def _said(device: DeviceProfile | None) -> str:
    """What a corrected page says of itself."""
    if device is None or device.correction.identity:
        return ""
    return f"corrected for {device.name}: {device.correction.words()}"


def _roll(making: Making) -> tuple[float, float, DeviceProfile | None]:
    """Usable width of the roll that pages are laid for, and its margin, mm: the device's, or of a roll of 914 mm where
    the device has sheets or is narrow; and the printer, if it has a roll."""
    from .device.profile import usable_width

    device, printer = making.job.output.profile, making.job.output.printer
    width, margin = 904.0, 5.0
    if device.length is None and not device.cuts:
        width = usable_width(device)
        margin = (device.width - width) / 2
    wide = printer if printer is not None and printer.length is None else None
    if wide is not None:
        width /= max(1.0, abs(wide.correction.xx) + abs(wide.correction.xy))
    return width, margin, wide


def _told_drawn(making: Making) -> tuple[Drawn, ...]:
    """Of a size set, which sizes each file that `make` can write holds; and of pages, how they are corrected."""
    from .export.pattern_json import Drawn, Sent

    job, nest, printer = making.job, making.nest, making.job.output.printer
    corrected = None
    if printer is not None and not printer.correction.identity:
        corrected = Sent(printer.name, correction=printer.correction.matrix)
    kind = "roll" if printer is not None and printer.length is None else "sheets"
    found = []
    for row, file in FILES:
        if not file.holds:
            continue
        sizes = {"base": (nest.base,), "all": nest.sizes}.get(file.holds) or making.sizes(row)
        layout = {"base": "apart", "all": "nested"}.get(file.holds, job.output.layout if len(sizes) > 1 else "apart")
        sent = corrected if file.printer == kind else None
        if len(nest.sizes) > 1 or sent is not None:
            lines = layout == "apart" or file.holds == "all"
            found.append(Drawn(file.named(job.paper), sizes, layout, lines, sent=sent))
    return tuple(found)


def drawn_sizes(job: Job, nest: Nest, form: str) -> tuple[str, ...]:
    """The sizes that are drawn in a format, in the nest's order."""
    picked = job.output.sizes_of(form)
    return tuple(size for size in nest.sizes if not picked or size in picked)


def figures_of(nest: Nest, layout: str) -> list[Figure]:
    """The pieces to draw: a single size as it is, several on each other with their key, or each by itself."""
    if len(nest.sizes) == 1:
        return [figure_of(piece) for piece in nest.base_pattern.pieces]
    from .sheet.nest import key_figure, nest_figures, size_figures

    return size_figures(nest) if layout == "apart" else [*nest_figures(nest), key_figure(nest)]


def _tiles(job: Job, title: str, figures: list[Figure]) -> bytes:
    from .export.pdf import render_tiles
    from .export.tiles import OVERLAP, tile_pitch
    from .sheet.arrange import arrange_for_tiles, arrange_on_sheets
    from .sheet.paper import PAPERS

    paper = PAPERS[job.paper]
    overlap = 0.0 if job.output.tiles == "butt" else OVERLAP
    across, along = tile_pitch(paper, overlap)
    if paper.large:
        sheet = arrange_on_sheets(title, figures, across, along, inset=overlap / 2 + 1)
    else:
        sheet = arrange_for_tiles(title, figures, across, along)
    printer = job.output.printer if job.output.printer is not None and job.output.printer.length is not None else None
    return render_tiles(
        sheet,
        paper,
        overlap=overlap,
        date=job.date,
        cautions=CAUTIONS,
        matrix=_matrix(printer),
        said=_said(printer),
        unit=job.unit,
    )
