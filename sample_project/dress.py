"""How each sender writes a table down: CSV in several ways, with what is planted in it."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from slips import MARK, Mark, Row, Rows

_NUMBER = re.compile(r"-?[0-9]+\.[0-9]+")
_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})( .*)?")
_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
Planted = tuple[str, int | None, str, str]  # sheet, row, kind, why


@dataclass
class Sent:
    """One file as it is sent, with the problems that are planted in it."""

    content: bytes
    planted: list[Planted] = field(default_factory=list)


@dataclass(frozen=True)
class Way:
    """One way to write CSV: separator, encoding, lines above the header, form of a cell."""

    separator: str = ","
    encoding: str = "utf-8"
    above: tuple[str, ...] = ()
    cell: Callable[[str], str] = str


def comma_cell(text: str) -> str:
    """Decimal comma, and days as day.month.year."""
    if _NUMBER.fullmatch(text):
        return text.replace(".", ",")
    parts = _DAY.fullmatch(text)
    return f"{parts[3]}.{parts[2]}.{parts[1]}{parts[4] or ''}" if parts else text


def month_cell(text: str) -> str:
    """Days with the month in letters: 11-Sep-2026."""
    parts = _DAY.fullmatch(text)
    return f"{parts[3]}-{_MONTHS[int(parts[2]) - 1]}-{parts[1]}" if parts else text


PLAIN = Way()
TABS_UTF_16 = Way("\t", "utf-16-le", cell=month_cell)
_TITLE = ("Daily log of rig 1 – round shaft Ø 89 mm (invented)", "Office copy, one line a reading")
COMMA = Way(";", "cp1252", (*_TITLE, ""), comma_cell)


def as_csv(rows: Rows, way: Way = PLAIN) -> Sent:
    """The rows as one CSV file; the first row's keys are the header."""
    names = [name for name in rows[0] if name != MARK]
    lines = [*way.above, _line(names, way)]
    planted: list[Planted] = []
    for row in rows:
        mark = mark_of(row)
        cells = {name: way.cell(str(row[name])) for name in names} | mark.changes
        lines.append(_line([cells[name] for name in names], way) + mark.tail)
        if mark.kind:
            planted.append(("", len(lines), mark.kind, mark.why))
    text = "\n".join([*lines, ""])
    mark = "\ufeff" if way.encoding.startswith("utf-16") else ""
    return Sent((mark + text).encode(way.encoding), planted)


def mark_of(row: Row) -> Mark:
    """The mark of a row; an empty one when it has none."""
    mark = row.get(MARK)
    return mark if isinstance(mark, Mark) else Mark()


def _line(cells: list[str], way: Way) -> str:
    text = io.StringIO()
    csv.writer(text, delimiter=way.separator, lineterminator="").writerow(cells)
    return text.getvalue()


def archive(parts: Mapping[str, str | bytes]) -> bytes:
    """A zip of ``parts``. Builds of zlib differ in their bytes, so nothing is deflated."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as book:
        for name, content in parts.items():
            part = zipfile.ZipInfo(name)
            part.create_system = 0
            book.writestr(part, content)
    return made.getvalue()
