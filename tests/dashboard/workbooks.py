"""Workbooks as a crew's office makes them, written by LibreOffice from a flat text of the sheets.

Every pile has its sheet, with its number in the tab, labels above the table, a header of two rows
with merged cells, US units, totals and a note below. All names and numbers are invented.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
NAMES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{long}:1.0"'
    for short, long in (
        ("office", "office"),
        ("table", "table"),
        ("text", "text"),
        ("style", "style"),
        ("number", "datastyle"),
    )
)
STYLES = (
    '<office:automatic-styles><number:date-style style:name="month-day-year">'
    '<number:month number:style="long"/><number:text>/</number:text>'
    '<number:day number:style="long"/><number:text>/</number:text>'
    '<number:year number:style="long"/></number:date-style>'
    '<style:style style:name="day" style:family="table-cell" '
    'style:data-style-name="month-day-year"/></office:automatic-styles>'
)
MIME = "application/vnd.oasis.opendocument.spreadsheet"
# Depth along the shaft and torque of each reading of a pile.
READINGS = (("1'-0\"", 1850), ("2'-0\"", 2400), ("3'-6 1/2\"", 3150), ("5'-0\"", 4300))


def pile_sheet(pile: str, shift: int = 0) -> str:
    """The sheet of one pile; its torques lie ``shift`` above those of `READINGS`."""
    rows = [
        [merged("Boardwalk, record of installation (invented)", across=4)],
        [text("Rig:"), text("Rig 7"), text("Crew:"), text("Crew Plover")],
        [text("Date:"), day("2026-03-02"), text("Gauge:"), text("TI-31")],
        [],
        [merged("Depth", across=1), merged("Drive", across=3)],
        [text("Tip (ft)"), text("Torque (ft-lb)"), text("Turning"), text("Remarks")],
        *([text(depth), number(torque + shift), text("advancing")] for depth, torque in READINGS),
        [text("Total"), number(4), text("readings")],
        [text("Note: gauge read by the operator")],
    ]
    lines = "".join(f"<table:table-row>{''.join(row)}</table:table-row>" for row in rows)
    return f"<table:table table:name={quoteattr(f'Pile {pile}')}>{lines}</table:table>"


def text(words: str) -> str:
    """A cell of text."""
    return (
        f'<table:table-cell office:value-type="string"><text:p>{escape(words)}</text:p>'
        "</table:table-cell>"
    )


def number(value: float) -> str:
    """A cell that holds a number."""
    return f'<table:table-cell office:value-type="float" office:value="{value}"/>'


def day(iso: str) -> str:
    """A cell that holds a date."""
    return (
        f'<table:table-cell table:style-name="day" office:value-type="date" '
        f'office:date-value="{iso}"/>'
    )


def merged(words: str, across: int) -> str:
    """A cell merged over several columns."""
    return (
        f'<table:table-cell office:value-type="string" table:number-columns-spanned="{across}" '
        f'table:number-rows-spanned="1"><text:p>{escape(words)}</text:p></table:table-cell>'
        + "<table:covered-table-cell/>"
        * (across - 1)
    )


def workbook(folder: Path, name: str, piles: list[str], shift: int = 0) -> Path:
    """An XLSX with a sheet for each of ``piles``, converted by LibreOffice."""
    sheets = "".join(pile_sheet(pile, shift) for pile in piles)
    flat = folder / f"{name}.fods"
    flat.write_text(
        f'<?xml version="1.0" encoding="UTF-8"?><office:document {NAMES} office:version="1.2" '
        f'office:mimetype="{MIME}">{STYLES}<office:body><office:spreadsheet>{sheets}'
        "</office:spreadsheet></office:body></office:document>",
        encoding="utf-8",
    )
    command = [str(SOFFICE), f"-env:UserInstallation={(folder / 'office').as_uri()}", "--headless"]
    command += ["--convert-to", "xlsx", "--outdir", str(folder), str(flat)]
    run = subprocess.run(command, capture_output=True, text=True, check=False, timeout=180)
    made = folder / f"{name}.xlsx"
    assert made.is_file(), run.stdout + run.stderr
    return made
