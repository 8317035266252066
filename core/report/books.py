"""What every workbook that goes out has: a sheet that says of what it is, and the cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from xlsxwriter.workbook import Workbook


def about_sheet(
    book: Workbook, name: str, about: Iterable[tuple[str, str]], cautions: Sequence[str]
) -> None:
    """Add a sheet of words and texts, the cautions last."""
    sheet = book.add_worksheet(name)
    sheet.set_column(0, 0, 18)
    sheet.set_column(1, 1, 100, book.add_format({"text_wrap": True}))
    for row, (word, text) in enumerate((*about, *(("Caution", one) for one in cautions))):
        sheet.write_string(row, 0, word)
        sheet.write_string(row, 1, text)
