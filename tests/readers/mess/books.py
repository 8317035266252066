"""Invented workbooks as crews and suppliers send them, the layouts that read them, and answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from core.readers import (
    FilePreview,
    Layout,
    Locale,
    Origin,
    ParsedFile,
    ReadOptions,
    StoredLayout,
    parse_file,
    preview_file,
)
from tests.readers.files import PROJECT
from tests.readers.workbooks import saved

Rows = Sequence[Sequence[object]]
READINGS = ["Pile", "Run", "Depth (m)", "Differential pressure (bar)"]
SCHEDULE = [
    "Position", "Revision", "Issued on", "Status", "Area", "Type", "Easting (m)", "Northing (m)",
]  # fmt: skip


def book(sheets: Mapping[str, Rows], **changes: Callable[[Worksheet], object]) -> bytes:
    """An XLSX file of ``sheets``, rows by name; ``changes`` are made to the sheets so named."""
    made = Workbook()
    made.remove(made.active)
    for name, rows in sheets.items():
        sheet = made.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
        if name in changes:
            changes[name](sheet)
    return saved(made)


def sheet(*rows: Sequence[object], change: Callable[[Worksheet], object] | None = None) -> bytes:
    """An XLSX file with the one sheet Log."""
    return book({"Log": rows}, **({"Log": change} if change else {}))


def pile_sheet(rig: str = "Rig 2", day: object = "2026-03-25", depths: int = 3) -> Rows:
    """A crew's sheet of one pile: title rows, a header of two rows, a total and notes."""
    rows: list[list[object]] = [
        ["Daily pile sheet (invented)"],
        ["Rig:", rig, None, "Date:", day],
        [],
        ["Depth", "Differential pressure", "Remarks"],
        ["(ft)", "(psi)", None],
    ]
    rows += [[depth, 300 + 50 * depth, None] for depth in range(1, depths + 1)]
    return [*rows, ["Total", depths, None], [], ["Notes: none"]]


def pile_layout(**changes: object) -> Layout:
    """How the crew's sheet of one pile is read, the pile's number in the tab."""
    said: dict[str, object] = {
        "kinds": ("run", "torque_reading"),
        "header_rows": (4, 5),
        "columns": {
            "pile_id": Origin(tab=True, before="Pile "),
            "run_on": Origin(cell="E2"),
            "rig": Origin(cell="B2"),
            "depth_mm": Origin(header="Depth (ft)", unit="ft"),
            "pressure_kpa": Origin(header="Differential pressure (psi)", unit="psi"),
        },
        "ends": "blank row",
        "passed_over": ("Total",),
    }
    return Layout.model_validate({**said, **changes})


def readings_layout(columns: Mapping[str, Origin], **changes: object) -> Layout:
    """How a table of readings with its header in row 1 is read."""
    said = {"kinds": ("torque_reading",), "header_rows": (1, 1), "columns": dict(columns)}
    return Layout.model_validate({**said, **changes})


def by(*layouts: Layout, sender: str = "Crew 2", **said: str) -> ReadOptions:
    """Files are read by these layouts of one sender, the last remembered last."""
    known = [
        StoredLayout(sender=sender, name=f"sheet {at}", layout=layout)
        for at, layout in enumerate(layouts, start=1)
    ]
    return ReadOptions(layouts=tuple(known), conventions=Locale(**said))


def said(**conventions: str) -> ReadOptions:
    """Files are read by known words, with these conventions."""
    return ReadOptions(conventions=Locale(**conventions))


def taken(content: bytes | str, how: ReadOptions | None = None, file: str = "") -> ParsedFile:
    """What the readers make of a workbook, or of the text of a CSV file."""
    if isinstance(content, str):
        return parse_file(content.encode(), file or "file.csv", PROJECT, how)
    return parse_file(content, file or "file.xlsx", PROJECT, how)


def looked(content: bytes | str, how: ReadOptions | None = None) -> FilePreview:
    """What Import shows of a file before it is imported."""
    given = content.encode() if isinstance(content, str) else content
    return preview_file(given, "file", PROJECT, how)


def good(result: ParsedFile, kind: str = "torque_reading") -> dict[str, list[object]]:
    """The good rows of a file that has no problem, by column."""
    assert result.problems[["kind", "problem"]].to_numpy().tolist() == []
    return result.frames[kind].to_dict("list")


def rows_taken(result: ParsedFile) -> int:
    """How many good rows a file has, of all kinds."""
    return sum(len(frame) for frame in result.frames.values())


def problems(result: ParsedFile) -> list[tuple[str, object]]:
    """Kind and row of every problem; the row is None when the whole sheet is meant."""
    rows = result.problems["row"].astype(object)
    return list(zip(result.problems["kind"], rows.where(rows.notna(), None), strict=True))


def words(result: ParsedFile) -> str:
    """All problems with their remedies, as one text."""
    return "\n".join(result.problems["problem"] + " " + result.problems["remedy"])


def notices(result: ParsedFile) -> str:
    """All notices as one text."""
    return "\n".join(result.notices["notice"])
