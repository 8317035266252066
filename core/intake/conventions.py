"""How a file writes its dates and numbers, as the person who sent it says."""

from __future__ import annotations

from dataclasses import dataclass

DATE_ORDERS = ("year month day", "day month year", "month day year", "day number")
DECIMALS = ("point", "comma")


@dataclass(frozen=True)
class Conventions:
    """Order of dates and decimal mark; empty when nobody has said.

    ``day number`` is a spreadsheet's count of days, in cells that lost their date format.
    """

    date_order: str = ""
    decimal: str = ""


UNSAID = Conventions()
