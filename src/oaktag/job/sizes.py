"""The sizes of a job: of a chart, by rules, or as a drawing has them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ..body.measurements import Measurements, kinds_of, lacking, spoken
from ..body.whom import wearer_of
from ..draft.garment import Style
from ..errors import InputError, InputErrors
from .drawing import Drawn, rule_table
from .measured import lines_to_add, needed, refusal, wearer_in
from .model import GarmentWords, SizeSet
from .reader import Reader

if TYPE_CHECKING:
    from ..body.charts import SizeChart
    from ..grade.rules import GradeRules
    from ..model.draft import Draft


def sizes_of(reader: Reader, key: str) -> SizeSet | None:
    """The sizes asked for with their bodies or rules, or those that the file of a pattern has; nothing, and faults,
    where they cannot be told."""
    file: Drawn | None = reader.of("drawing")
    undrawn = file is None and not reader.is_drawn
    if not ((key in reader.values and (file is not None or undrawn)) or (file is not None and len(file.sizes) > 1)):
        return None
    body, measured_too = reader.of("measurements"), "measurements" in reader.values
    table, before = reader.table(key), len(reader.errors)
    reader.refuse_others(table, reader.below(key), key)
    chart: SizeChart | None = reader.of("sizes", "chart")
    rules: GradeRules | None = reader.of("sizes", "rules")
    own = _own(reader)
    if measured_too and "chart" in table:
        reader.fault(
            "both [measurements] and a size chart are given", key, expected="one body or a chart",
            instead="Remove one of the two",
        )  # fmt: skip
    if file is not None and rules is None and len(own) < 2:
        reader.fault("sizes of a drawn pattern need grade rules", key, expected='rules = "rules.csv"')
    if not _known(reader) or (chart is None and not measured_too and file is None):
        return None
    make: tuple[str, ...] = reader.of("sizes", "make")
    base, stack = str(reader.of("sizes", "base")), str(reader.of("sizes", "stack"))
    for size in make:
        if chart is not None and size not in chart.sizes:
            reader.one_of(size, chart.sizes, "size of the chart", "sizes", "rules")
    if len(reader.errors) > before or not make:
        return None
    bodies = {base: body} if chart is None else {size: chart.body(size) for size in make}
    return SizeSet(make, base, bodies, chart, rules, stack, own if len(own) > 1 else {})


def _own(reader: Reader) -> Mapping[str, Draft]:
    """The sizes that the file of a pattern has, unless they are graded anew."""
    file: Drawn | None = reader.of("drawing")
    if file is None or ("rules" in reader.table("sizes") and rule_table(reader) is None):
        return {}
    return file.sizes


def _known(reader: Reader) -> tuple[str, ...]:
    """All the sizes that there are."""
    chart: SizeChart | None = reader.of("sizes", "chart")
    rules: GradeRules | None = reader.of("sizes", "rules")
    return rules.sizes if rules is not None else chart.sizes if chart is not None else tuple(_own(reader))


def chart_of(reader: Reader, *keys: str) -> SizeChart | None:
    """The chart; none where one body is graded by rules, or a drawing."""
    from ..body.charts import CHART_NAMES, CHART_OF, load_chart

    name = reader.typed(*keys)
    by_rules = "measurements" in reader.values and "rules" in reader.table("sizes")
    if name is None and (by_rules or reader.of("drawing") is not None):
        return None
    if not isinstance(name, str):
        found = "no size chart is named" if name is None else f"{spoken(name)} is not the name of a chart"
        expected = f"{', '.join(CHART_NAMES)}, or a CSV file"
        reader.fault(found, *keys, expected=expected, instead=f'Write chart = "{CHART_OF[wearer_in(reader)]}"')
        return None
    return reader.take(lambda: load_chart(name, reader.beside, where=reader.where(*keys), wearer=wearer_in(reader)))


def names_a_chart_file(value: object) -> bool:
    """Whether a chart is a file, and none of those that ship."""
    from ..body.charts import CHART_NAMES

    return value not in CHART_NAMES


def rules_of(reader: Reader, *keys: str) -> GradeRules | None:
    """A grader's table; none where the file of a pattern has its own."""
    from ..grade.rules import read_rules

    name = reader.typed(*keys)
    if name is None or len(_own(reader)) > 1:
        return None
    if not isinstance(name, str) or not name.strip():
        reader.fault(f"{spoken(name)} is not the name of a file", *keys, expected="a CSV file of grade rules")
        return None
    try:
        return read_rules(reader.beside / name)
    except InputErrors as errors:
        reader.errors.extend(errors.errors)
    except InputError as error:
        reader.fault(f"{spoken(name)}: {error.found}", *keys, expected=error.expected, instead=error.instead)
    return None


def make_of(reader: Reader, *keys: str) -> tuple[str, ...]:
    """The sizes to make, in the order of the chart; all of them, where none are named."""
    known, asked = _known(reader), reader.typed(*keys)
    return size_names(reader, list(known) if asked is None else asked, known, *keys)


def base_of(reader: Reader, *keys: str) -> str:
    """The base that the job names, else that of the rules or of the file itself, else the middle one."""
    make: tuple[str, ...] = reader.of("sizes", "make")
    if not make:
        return ""
    file: Drawn | None = reader.of("drawing")
    rules: GradeRules | None = reader.of("sizes", "rules")
    known, typed = _known(reader), reader.typed(*keys)
    own = file.base if file is not None and len(_own(reader)) > 1 else ""
    usual = rules.base if rules is not None else own if own in make else make[len(make) // 2]
    base = usual if typed is None else typed
    if not reader.one_of(base, known, "size of the chart" if rules is None else "size of the rules", *keys):
        return ""
    if rules is not None and base != rules.base:
        reader.fault(
            f"{spoken(base)} is the base, and the rules count from {rules.base}", *keys,
            instead=f'Write base = "{rules.base}"',
        )  # fmt: skip
    elif base not in make:
        listed = ", ".join(f'"{size}"' for size in known if size in make or size == base)
        reader.fault(
            f"{spoken(base)} is the base, and is not among the sizes to make", "sizes",
            "make" if typed is None else "base",
            expected="the base among them" if typed is None else f"one of {', '.join(make)}",
            instead=f"Write make = [{listed}]",
        )  # fmt: skip
    return str(base)


def stack_of(reader: Reader, *keys: str) -> str:
    """The point on which sizes are nested; "" for the usual."""
    stack = reader.typed(*keys)
    if stack is not None and not isinstance(stack, str):
        reader.fault(f"{spoken(stack)} is not the name of a point", *keys, expected='a point such as "underarm"')
    return str(stack or "")


def size_names(reader: Reader, value: object, known: tuple[str, ...], *keys: str) -> tuple[str, ...]:
    """The sizes that a list names, in the order of those known; faults for the others."""
    from ..body.charts import MOST_SIZES

    if not isinstance(value, list) or not value or len(value) > MOST_SIZES:
        found = f"{spoken(value)} is not a list of sizes" if not isinstance(value, list) else "names no size"
        reader.fault(found, *keys, expected="a list", instead=f'Write {keys[-1]} = ["{known[0]}"]')
        return ()
    named: list[str] = []
    for entry in value:
        name = str(entry) if isinstance(entry, int) and not isinstance(entry, bool) and str(entry) in known else entry
        if not reader.one_of(name, known, "size", *keys):
            continue
        if name in named:
            reader.fault(f"the size {spoken(name)} is named twice", *keys, expected="each size once")
        named.append(str(name))
    return tuple(size for size in known if size in named)


def refuse_missing_of_chart(
    reader: Reader, chart: SizeChart, bodies: Mapping[str, Measurements], garment: GarmentWords, style: Style
) -> None:
    """One fault for a size that the garment is not for; else one for all measurements that the garment needs and the
    chart does not have."""
    where, kinds = reader.where("sizes", "chart"), kinds_of(wearer_of(garment.for_whom, chart.wearer))
    for size, body in bodies.items():
        refused = refusal(reader, garment, body, chart.unit)
        if refused:
            reader.errors.append(InputError(f"size {size}: {garment.name} is {refused}", where=where))
            return
    missing = lacking(needed(garment, style, chart.wearer), garment.instead, chart.rows, kinds)
    if missing:
        count = "a measurement" if len(missing) == 1 else f"{len(missing)} measurements"
        lines = lines_to_add(missing, f",{chart.unit},...")
        found = f"a {garment.name} needs {count} that the chart {spoken(chart.name)} does not have; add{lines}"
        reader.errors.append(InputError(found, where=where))
