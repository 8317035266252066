"""Days that cannot be: rows dated after today, and a clock that is before the last entry."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pandas as pd

from core import records
from core.services.importing.choice import ImportReport
from core.services.importing.reading import Handed
from core.settings import Project


def say_what_lies_ahead(
    handed: Handed,
    project: Project,
    last_entered_at: datetime,
    today: date | None,
    report: ImportReport,
) -> None:
    """Remarks on days after today and on a clock that runs behind the ledger."""
    now = datetime.now(UTC)
    if now.replace(tzinfo=None) < last_entered_at:
        report.remark(
            "",
            f"this machine's clock is before the last entry ({last_entered_at:%Y-%m-%d %H:%M} "
            "UTC): set the clock",
        )
    today = today or now.astimezone(project.tables.project.timezone).date()
    for taken, _ in handed:
        for kind, frame in taken.frames.items():
            _say_days_ahead(frame, kind, taken.file, today, report)


def _say_days_ahead(
    frame: pd.DataFrame, kind: str, file: str, today: date, report: ImportReport
) -> None:
    for column in records.KIND[kind].columns:
        if column.form != "date" or column.future_allowed:
            continue
        ahead = frame[frame[column.name] > pd.Timestamp(today)]
        if len(ahead):
            first = ahead.iloc[0]
            report.remark(
                file,
                f"dates after today (the first is {first[column.name].date()}): "
                "check the clock or the year",
                first["sheet"],
                int(first["row_no"]),
            )
