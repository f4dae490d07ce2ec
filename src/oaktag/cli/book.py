"""`oaktag book`: the measurement book. What it prints and asks; what is kept, and how, is in `book/`."""

from __future__ import annotations

import datetime
import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from ..body.measurements import KINDS, WEARERS, Wearer, spoken
from ..errors import InputError, InputErrors, Where
from ..units import UNITS, Unit, show
from ..values import replace
from .kinds import Place, Whole
from .options import as_json
from .show import table

if TYPE_CHECKING:
    from ..book.people import Client, Sitting
    from ..book.store import Book
    from ..model.fitted import Ask

FOR_OWNER: Final = 0o600
SHOWN: Final = 4
"""So many sittings stand beside each other; bars show all of them."""

BOOK: Final = click.option(
    "--book", "file", type=Place("clients.book"), help="the file of the book  [what oaktag book path tells]"
)
NAME: Final = click.argument("name")
REPLACE: Final = click.option("--replace", is_flag=True, help="write over a file that is there")
DATE: Final = click.option("--date", "day", help="the day, as 2026-03-01  [today]")


@click.group("book", context_settings={"help_option_names": ["-h", "--help"]})
def command() -> None:
    """The measurement book: clients, what was measured of them and when, and what was made for them.

    A job then says client = "rosa" in place of [measurements]. The book is a file on this machine that its owner alone
    may read.

    \b
    Example:
      oaktag book add rosa --wearer woman
      oaktag book measure rosa bust_girth=96 waist_girth=78 hip_girth=104 --unit cm --by Ana
      oaktag book show rosa
      oaktag book forget rosa
    """


@contextmanager
def opened(file: Path | None, *, create: bool = False) -> Iterator[Book]:
    """The book that is named, else the usual one; what it has to say of itself goes to stderr."""
    from ..book.store import Book, book_path

    with Book(file or book_path(), create=create) as book:
        for note in book.notes:
            click.echo(f"note    {note}", err=True)
        yield book


def _today() -> datetime.date:
    return datetime.date.today()


def _day(text: str | None) -> str:
    from ..book.people import day_of

    return day_of(text, Where("--date"), _today()) if text is not None else _today().isoformat()


# ------------------------------------------------------------------------------------------------------------- writing


@command.command("add")
@NAME
@click.option("--wearer", type=click.Choice(WEARERS), help="whose body it is: limits and what is usual differ")
@click.option("--note", default="", help="a line to remember")
@BOOK
@as_json()
def add(name: str, wearer: Wearer | None, note: str, file: Path | None, as_json: bool) -> None:
    """Write a client into the book; the first one begins it.

    \b
    Example:
      oaktag book add rosa --wearer woman --note "likes long sleeves"
    """
    from ..book.people import Client, name_of, note_of

    client = Client(name_of(name), wearer or "", note_of(note, "--note"))
    with opened(file, create=True) as book:
        with book.changing():
            book.add(client)
        _said(as_json, {"client": client.name, "book": str(book.path)}, f"{client.name} is in the book ({book.where})")


@command.command("measure")
@NAME
@click.argument("lengths", nargs=-1, metavar="MEASUREMENT=LENGTH...")
@click.option("--unit", type=click.Choice(UNITS), help="of plain numbers  [that of her last sitting]")
@DATE
@click.option("--by", default="", help="who measured")
@click.option("--wearer", type=click.Choice(WEARERS), help="whose body it is  [as in the book]")
@click.option("--rest", is_flag=True, help="take over what is not given from her last sitting; its day stays beside it")
@click.option("--correct", is_flag=True, help="write over what was measured on the same day")
@BOOK
@as_json()
def measure(
    name: str, lengths: tuple[str, ...], unit: Unit | None, day: str | None, by: str, wearer: Wearer | None,
    rest: bool, correct: bool, file: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Write down what was measured of a client on one day.

    What is odd against her last sitting, or for any body, is told; it is written down all the same. A second time on
    the same day adds to that day's sitting.

    \b
    Example:
      oaktag book measure rosa bust_girth=96 waist_girth="30 1/2 in" --unit cm --by Ana
      oaktag book measure rosa waist_girth=79 --rest
    """
    from ..book.change import odd_in
    from ..book.people import merged, note_of, with_rest

    when = _day(day)
    with opened(file) as book:
        with book.changing():
            client = book.client(name)
            last = client.sitting()
            own = unit or (last.unit if last is not None else None)
            if own is None:
                raise InputError(
                    "the unit of plain numbers is not named", where=Where("--unit"), expected="in, cm or mm",
                    instead="Add --unit cm",
                )  # fmt: skip
            whose = wearer or client.wearer
            taken = _sitting(lengths, own, when, note_of(by, "--by"), whose)
            earlier = [sitting for sitting in client.sittings if sitting.day < when]
            sitting = merged(client.sitting(when), taken, correct=correct, where=Where(client.name))
            if rest:
                sitting = with_rest(sitting, earlier[-1] if earlier else None)
            book.put_sitting(client.name, sitting)
            if wearer and wearer != client.wearer and (last is None or last.day <= when):
                book.put_client(replace(client, wearer=wearer))
        odd = odd_in(sitting, earlier, own)
        told = f"{client.name}, {when}: {len(taken.lengths)} measured, {len(sitting.lengths)} in the sitting"
        _said(as_json, {"client": client.name, **_sitting_as_json(sitting), "odd": _odd_as_json(odd)},
              "\n".join((told, *(f"odd     {one.words}" for one in odd))))  # fmt: skip


def _sitting(lengths: tuple[str, ...], unit: Unit, day: str, by: str, wearer: Any) -> Sitting:
    """What was typed behind `measure`; InputErrors with every mistake."""
    from ..book.people import Sitting, Taken, length_of

    found: dict[str, Taken] = {}
    errors = []
    for one in lengths:
        name, sign, value = (part.strip() for part in one.partition("="))
        try:
            if not sign:
                found_words = f"{spoken(one)} says no length"
                raise InputError(found_words, where=Where("measure"), instead="Write bust_girth=96")
            mm = length_of(name, value, unit, wearer, Where("measure", 0, spoken(name)[1:-1]))
            if name in found:
                raise InputError(f"{name} is given twice", where=Where("measure"), expected="each measurement once")
            found[name] = Taken(mm, value, day)
        except InputError as error:
            errors.append(error)
    if not lengths:
        errors.append(
            InputError("no measurement is given", where=Where("measure"), expected="one or more",
                       instead="Write bust_girth=96 waist_girth=78")
        )  # fmt: skip
    if errors:
        raise InputErrors(errors)
    return Sitting(day, unit, by, wearer, found)


@command.command("made")
@NAME
@click.argument("number", required=False, type=Whole(1, 100_000))
@click.option("--garment", help="write in a garment that was made for her")
@click.option("--title", default="", help="what it is called (with --garment)")
@click.option("--fitting", help="write in what was found when garment NUMBER was tried on")
@DATE
@BOOK
@as_json()
def made(
    name: str, number: int | None, garment: str | None, title: str, fitting: str | None, day: str | None,
    file: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """What was made for a client, and its fittings. `oaktag make` writes in what it made from the book by itself.

    \b
    Example:
      oaktag book made rosa
      oaktag book made rosa 2 --fitting "let the waist out by 1 cm"
      oaktag book made rosa --garment "wool cape"
    """
    from ..book.people import Fitting, Made, note_of

    if (garment is None) == (fitting is None) and garment is not None:
        raise InputError("--garment and --fitting are given together", expected="one of them")
    if fitting is not None and number is None:
        raise InputError(
            "--fitting: the garment's number is not given", instead=f"Write oaktag book made {spoken(name)} 1"
        )
    when = _day(day)
    with opened(file) as book:
        with book.changing():
            client = book.client(name)
            if number is not None and number > len(client.made):
                raise InputError(
                    f"{number}: there is no such garment", where=Where(client.name),
                    expected=f"1 to {len(client.made)}" if client.made else "one that was written in",
                )  # fmt: skip
            if garment is not None:
                words = note_of(garment, "--garment")
                if not words:
                    raise InputError("--garment: no garment is named", instead='Write --garment "wool cape"')
                book.put_made(client.name, Made(when, words, note_of(title, "--title")))
            elif fitting is not None and number is not None:
                words = note_of(fitting, "--fitting")
                if not words:
                    raise InputError("--fitting: no words are given", instead='Write --fitting "waist out by 1 cm"')
                old = client.made[number - 1]
                book.put_made(client.name, replace(old, fittings=(*old.fittings, Fitting(when, words))), number)
        client = book.client(name)
        lines = _made_lines(client, number) or [f"nothing was made for {client.name} yet"]
        _said(as_json, {"client": client.name, "made": _made_as_json(client)}, "\n".join(lines))


@command.command("fittings")
@NAME
@click.argument("number", required=False, type=Whole(1, 100_000))
@click.option("--garment", help="for a job of this garment: what it has no place for is put behind a #")
@click.option("--unit", type=click.Choice(UNITS), help="write lengths in this  [that of her last sitting]")
@BOOK
@as_json("the answer as JSON, lengths in mm")
def fittings(
    name: str, number: int | None, garment: str | None, unit: Unit | None, file: Path | None, as_json: bool
) -> None:
    """What was below [fitting] in her last fitted garment, or in garment NUMBER, ready to paste into a new job.

    \b
    Example:
      oaktag book fittings rosa
      oaktag book fittings rosa 2 --garment straight-skirt >> skirt.toml
    """
    with opened(file) as book:
        client = book.client(name)
    if number is not None and number > len(client.made):
        raise InputError(
            f"{number}: there is no such garment", where=Where(client.name),
            expected=f"1 to {len(client.made)}" if client.made else "one that was made for her",
        )  # fmt: skip
    k = client.fitted(number or 0)
    if not k:
        which = f"garment {number}" if number else "any garment that was made for her"
        raise InputError(
            f"nothing was below [fitting] in the job of {which}", where=Where(client.name),
            instead=f"Write oaktag book show {spoken(client.name)}",
        )  # fmt: skip
    made = client.made[k - 1]
    lacking = _lacking(made.asks, garment) if garment is not None else ()
    if as_json:
        told = {"client": client.name, **_made_as_json(client)[k - 1], "no_place": [ask.fault for ask in lacking]}
        click.echo(json.dumps(told, ensure_ascii=False))
        return
    from ..fitting.in_words import table_of

    last = client.sitting()
    shown: Unit = unit or (last.unit if last is not None else "cm")
    click.echo(f"# as fitted on her {made.garment} of {made.day}, measured {made.measured}")
    if last is not None and last.day != made.measured:
        click.echo(f"# she was measured again on {last.day}: try on before you cut, some of it may lie in those now")
    click.echo(table_of([ask for ask in made.asks if ask not in lacking], shown))
    for line in table_of(lacking, shown).splitlines()[1:]:
        click.echo(f"# {line}    # no place for it in this {garment}")


def _lacking(asks: tuple[Ask, ...], garment: str) -> tuple[Ask, ...]:
    """What a garment in its usual style has no place for."""
    from ..fitting.table import fault_of
    from ..fitting.tried import tried
    from ..outside.find import garment_named

    faults = {ask.fault: fault_of(ask.fault) for ask in asks}
    found = tried(tuple(faults.values()), "cm", (garment_named(garment),))
    return tuple(ask for ask in asks if not found[ask.fault])


@command.command("forget")
@NAME
@click.option("--date", "day", help="only her sitting of that day, as 2026-03-01")
@click.option("--yes", is_flag=True, help="do not ask")
@BOOK
@as_json()
def forget(name: str, day: str | None, yes: bool, file: Path | None, as_json: bool) -> None:
    """Take a client out of the book wholly: her name, measurements, garments and fittings. It cannot be undone.

    The file is written anew, and nothing of her is left in it. Backups, exported tables and the folders of patterns
    that were made for her are not touched.

    \b
    Example:
      oaktag book forget rosa
      oaktag book forget rosa --date 2026-03-01      a sitting that was written to the wrong client
    """
    with opened(file) as book:
        client = book.client(name)
        if day is not None:
            _forget_day(book, client, day, yes=yes, as_json=as_json)
            return
        count = f"{len(client.sittings)} sitting(s), {len(client.made)} garment(s)"
        _asked(f"Forget {client.name} wholly ({count})? It cannot be undone.", yes=yes)
        book.forget(name)
        _said(as_json, {"forgotten": client.name, "sittings": len(client.sittings), "made": len(client.made)},
              f"{client.name} is forgotten ({count}). Backups, exported tables and folders of patterns that you keep "
              "may still hold her.")  # fmt: skip


def _forget_day(book: Book, client: Client, day: str, *, yes: bool, as_json: bool) -> None:
    sitting = client.sitting(day) if day else None
    if sitting is None:
        days = ", ".join(one.day for one in client.sittings) or "none: she was not measured yet"
        raise InputError(
            f"{spoken(client.name)} was not measured on {spoken(day)}", where=Where("--date"), expected=days
        )
    _asked(f"Forget what was measured of {client.name} on {day}? It cannot be undone.", yes=yes)
    book.forget(client.name, day)
    told = {"client": client.name, "forgotten": day, "lengths": len(sitting.lengths)}
    _said(as_json, told, f"{client.name}: the sitting of {day} is forgotten ({len(sitting.lengths)} measurements)")


def _asked(question: str, *, yes: bool) -> None:
    if yes:
        return
    if not sys.stdin.isatty():
        raise InputError("forget asks, and nobody is there to answer", instead="Add --yes")
    click.confirm(question, abort=True, err=True)


# ------------------------------------------------------------------------------------------------------------- reading


@command.command("list")
@click.argument("word", required=False)
@BOOK
@as_json()
def list_(word: str | None, file: Path | None, as_json: bool) -> None:
    """The clients of the book, or those with WORD in their names.

    \b
    Example:
      oaktag book list
      oaktag book list quill
    """
    from ..book.people import key_of

    with opened(file) as book:
        rows = [row for row in book.rows() if word is None or key_of(word) in key_of(row.name)]
    if as_json:
        fields = ("name", "wearer", "sittings", "last", "made")
        click.echo(json.dumps([{one: getattr(row, one) for one in fields} for row in rows], ensure_ascii=False))
    elif rows:
        head = ("client", "measured", "last", "made")
        table([head, *((row.name, f"{row.sittings}×", row.last or "-", str(row.made)) for row in rows)])
    else:
        click.echo("no client" + (f" with {spoken(word)} in her name" if word else " is in the book"))


@command.command("show")
@NAME
@click.option("--unit", type=click.Choice(UNITS), help="print lengths in this  [that of her last sitting]")
@click.option("-o", "--output", type=Place("changes.svg"), help="draw the changes as well: an .svg or .html file")
@click.option("--print-name", is_flag=True, help="write her name on the drawing")
@REPLACE
@BOOK
@as_json("the answer as JSON, lengths in mm")
def show_(
    name: str, unit: Unit | None, output: Path | None, print_name: bool, replace: bool, file: Path | None,
    as_json: bool,
) -> None:  # fmt: skip
    """One client: what was measured, how it changed, what is odd, and what was made.

    \b
    Example:
      oaktag book show rosa
      oaktag book show rosa -o changes.svg
    """
    from ..book.change import odd_in, series_of

    with opened(file) as book:
        client = book.client(name)
    last = client.sitting()
    shown: Unit = unit or (last.unit if last is not None else "cm")
    odd = odd_in(last, client.sittings[:-1], shown) if last is not None else ()
    if output is not None:
        from ..book.chart import page_of, svg_of

        if output.suffix.lower() not in (".svg", ".html"):
            raise InputError(f"{output}: is no name of a drawing", expected="a name that ends in .svg or .html")
        whose, named = last.wearer if last is not None else "", client.name if print_name else ""
        svg = svg_of(series_of(client), shown, wearer=whose, name=named, odd=[one.name for one in odd])
        text = page_of(svg, [one.words for one in odd]) if output.suffix.lower() == ".html" else svg
        _write(output, text.encode(), replace=replace)
    if as_json:
        told = {
            "client": client.name, "wearer": client.wearer, "note": client.note,
            "sittings": [_sitting_as_json(sitting) for sitting in client.sittings], "odd": _odd_as_json(odd),
            "made": _made_as_json(client),
        }  # fmt: skip
        click.echo(json.dumps(told, ensure_ascii=False))
        return
    click.echo(
        client.name + (f" ({client.wearer})" if client.wearer else "") + (f": {client.note}" if client.note else "")
    )
    _print_lengths(client, shown)
    for one in odd:
        click.echo(f"odd     {one.words}")
    for line in _made_lines(client, unit=shown):
        click.echo(line)
    if output is not None:
        click.echo(f"wrote {output}")


def _print_lengths(client: Client, unit: Unit) -> None:
    from ..book.change import series_of, spark

    if not client.sittings:
        click.echo("nothing was measured yet")
        return
    for sitting in client.sittings:
        by = f" by {sitting.by}" if sitting.by else ""
        click.echo(f"measured {sitting.day}{by}, {len(sitting.lengths)} measurements, typed in {sitting.unit}")
    own = client.sittings[-SHOWN:]
    series = {one.name: one for one in series_of(client)}
    rows = [("", *(sitting.day for sitting in own), "change", "")]
    carried = False
    for name in KINDS:
        if name not in series:
            continue
        cells = []
        for sitting in own:
            taken = sitting.lengths.get(name)
            over = taken is not None and taken.day != sitting.day
            carried = carried or over
            cells.append("-" if taken is None else show(taken.mm, unit, with_unit=False) + "*" * over)
        values = series[name].values
        change = values[-1] - values[0]
        told = f"{'+' if change > 0 else ''}{show(change, unit)}" if len(values) > 1 else ""
        rows.append((name, *cells, told, spark(values) if len(values) > 1 else ""))
    table(rows)
    if carried:
        click.echo("* taken over from the sitting before")


def _made_lines(client: Client, number: int | None = None, unit: Unit | None = None) -> list[str]:
    last = client.sitting()
    shown: Unit = unit or (last.unit if last is not None else "cm")
    lines = []
    for k, one in enumerate(client.made, 1):
        if number not in (None, k):
            continue
        told = [
            f" “{one.title}”" if one.title else "",
            f", from {one.file}" if one.file else "",
            f", measured {one.measured}" if one.measured else "",
            f", oaktag {one.version}" if one.version else "",
            f", job {one.sha256[:12]}" if one.sha256 else "",
        ]
        lines.append(f"made {k:<3}{one.day}  {one.garment}{''.join(told)}")
        lines += [f"        {fitting.day}  fitting: {fitting.words}" for fitting in one.fittings]
        if one.asks:
            lines.append(f"        fitted: {'; '.join(f'{ask.words} {show(ask.amount, shown)}' for ask in one.asks)}")
    return lines


# -------------------------------------------------------------------------------------------------------------- tables


@command.command("import")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--unit", type=click.Choice(UNITS), help="of plain numbers in a CSV that does not say it")
@click.option("--client", default="", help="whose measurements file it is  [the file's name]")
@click.option("--date", "day", help="when a measurements file was measured, as 2026-03-01")
@click.option("--by", default="", help="who measured, where a file does not say")
@click.option("--correct", is_flag=True, help="write over what stands in the book of the same day")
@BOOK
@as_json()
def import_(
    files: tuple[Path, ...], unit: Unit | None, client: str, day: str | None, by: str, correct: bool,
    file: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Take clients in from CSV (a line a sitting) and measurements files (TOML): all of them, or none.

    A CSV has the columns date, client and unit, and one for each measurement; wearer, measured_by and note may stand in
    it. Of a measurements file, and of a job with [measurements], the client is called as the file is.

    \b
    Example:
      oaktag book import clients.csv
      oaktag book import rosa.toml maria.toml --date 2026-03-01 --by Ana
    """
    from ..book.people import note_of
    from ..book.tables import read_csv, take_in
    from ..job.measurements_file import read_toml

    today, who = _today(), note_of(by, "--by")
    when = _day(day) if day is not None else ""
    if client and len(files) > 1:
        raise InputError("--client: several files are given", expected="one file of one client")
    entries: list[Any] = []
    errors: list[InputError] = []
    passed: dict[str, None] = {}
    for one in files:
        try:
            if one.suffix.lower() == ".csv":
                found, others = read_csv(one, unit, who, today)
                entries += found
                passed |= dict.fromkeys(others)
            else:
                entries.append(read_toml(one, client, when, who, today))
        except InputError as error:
            errors.append(error)
        except InputErrors as several:
            errors.extend(several.errors)
    if errors:
        raise InputErrors(errors)
    with opened(file, create=True) as book:
        done = take_in(book, entries, correct=correct)
    lines = [f"{done.clients} new client(s), {done.sittings} sitting(s) taken in, {done.known} in the book already"]
    lines += [f"note    passed over: the column(s) {', '.join(passed)}"] if passed else []
    told = {"clients": done.clients, "sittings": done.sittings, "known": done.known, "passed_over": list(passed)}
    _said(as_json, told, "\n".join(lines))


@command.command("export")
@click.argument("target", metavar="FILE", type=Place("clients.csv"))
@click.option("--client", default="", help="only this client; a measurements file (.toml) is of one")
@click.option("--date", "day", help="the sitting of that day  [all; of a measurements file the last]")
@REPLACE
@BOOK
@as_json()
def export(target: Path, client: str, day: str | None, replace: bool, file: Path | None, as_json: bool) -> None:
    """Write the measurements to a table (FILE.csv), or one client's to a measurements file (FILE.toml) for jobs.

    \b
    Example:
      oaktag book export clients.csv
      oaktag book export rosa.toml --client rosa
    """
    from ..book.tables import as_csv, as_toml
    from ..values import replace as with_values

    kind = target.suffix.lower()
    if kind not in (".csv", ".toml"):
        raise InputError(f"{target}: is no name of a table", expected="a name that ends in .csv or .toml")
    if kind == ".toml" and not client:
        raise InputError("a measurements file is of one client", where=Where(str(target)), instead="Add --client rosa")
    when = _day(day) if day is not None else ""
    with opened(file) as book:
        clients = (book.client(client),) if client else book.clients()
    if when:
        kept = [(one, tuple(s for s in one.sittings if s.day == when)) for one in clients]
        clients = tuple(with_values(one, sittings=own) for one, own in kept if own)
    sitting = clients[0].sitting() if clients and client else None
    if (client and sitting is None) or not clients:
        who = spoken(client) if client else "nobody"
        raise InputError(f"{who} was not measured" + (f" on {when}" if when else " yet"), where=Where("export"))
    text = as_toml(sitting) if kind == ".toml" and sitting is not None else as_csv(clients)
    _write(target, text.encode(), replace=replace)
    lines = sum(len(one.sittings) for one in clients) if kind == ".csv" else 1
    _said(as_json, {"wrote": str(target), "clients": len(clients), "sittings": lines},
          f"wrote {target} ({len(clients)} client(s), {lines} sitting(s)), for you alone to read")  # fmt: skip


@command.command("backup")
@click.argument("target", metavar="FILE", type=Place("clients-backup.book"))
@REPLACE
@BOOK
@as_json()
def backup(target: Path, replace: bool, file: Path | None, as_json: bool) -> None:
    """Write the whole book, of this moment, to another file. Copied to the place of the book it is the book again.

    \b
    Example:
      oaktag book backup /media/stick/clients.book
    """
    with opened(file) as book:
        if target.exists() and target.resolve() == book.path.resolve():
            raise InputError("this is the book itself", where=Where(str(target)), expected="another file")
        image = book.image()
        count = len(book.rows())
    _write(target, image, replace=replace)
    _said(
        as_json, {"wrote": str(target), "clients": count}, f"wrote {target} ({count} client(s)), for you alone to read"
    )


@command.command("path")
@BOOK
@as_json()
def path(file: Path | None, as_json: bool) -> None:
    """Where the book lies. OAKTAG_BOOK names another file.

    \b
    Example:
      oaktag book path
    """
    from ..book.store import book_path

    place = file or book_path()
    _said(as_json, {"book": str(place), "exists": place.is_file()}, str(place))


def _write(target: Path, data: bytes, *, replace: bool) -> None:
    """A file with what was measured: for its owner alone."""
    from ..export.files import write_all

    if target.exists() and not replace:
        raise InputError("there is a file of this name", where=Where(str(target)), instead="Write another name, or add "
                         "--replace")  # fmt: skip
    write_all(target.parent, {target.name: data}, FOR_OWNER)


def _said(as_json: bool, told: Mapping[str, Any], words: str) -> None:
    click.echo(json.dumps(told, ensure_ascii=False) if as_json else words)


def _sitting_as_json(sitting: Sitting) -> dict[str, Any]:
    return {
        "date": sitting.day, "by": sitting.by, "unit": sitting.unit, "wearer": sitting.wearer,
        "lengths": {
            name: {"mm": taken.mm, "typed": taken.typed, "taken": taken.day} for name, taken in sitting.lengths.items()
        },
    }  # fmt: skip


def _odd_as_json(odd: Any) -> list[dict[str, str]]:
    return [{"name": one.name, "against": one.against, "message": one.words} for one in odd]


def _made_as_json(client: Client) -> list[dict[str, Any]]:
    return [
        {
            "number": k, "date": one.day, "garment": one.garment, "title": one.title, "file": one.file,
            "sha256": one.sha256, "version": one.version, "measured": one.measured,
            "fittings": [{"date": fitting.day, "words": fitting.words} for fitting in one.fittings],
            "fitted": [
                {"fault": ask.fault, "mm": ask.amount, "side": ask.side, "seam": ask.seam, "level": ask.level}
                for ask in one.asks
            ],
        }
        for k, one in enumerate(client.made, 1)
    ]  # fmt: skip
