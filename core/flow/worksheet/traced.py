"""Steps of tables that keep how their numbers came about."""

from __future__ import annotations

from core.flow.worksheet.known import Known
from core.subjects.columns import Book
from core.subjects.steps import Step
from core.subjects.tables import Table


def steps_of(known: Known, *tables: Table) -> list[Step]:
    """The steps of every printed measure of the one row of each of ``tables``, in their order."""
    book = Book(known.assessment.project.as_entered)
    for table in tables:
        table.steps(book)
    return book.steps
