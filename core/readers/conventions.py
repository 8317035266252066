"""How a file writes its dates and numbers, as the person who sent it says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

DateOrder = Literal["", "year month day", "day month year", "month day year", "day number"]
Decimal = Literal["", "point", "comma"]
DATE_ORDERS: tuple[str, ...] = tuple(order for order in get_args(DateOrder) if order)
DECIMALS: tuple[str, ...] = tuple(mark for mark in get_args(Decimal) if mark)


@dataclass(frozen=True)
class Conventions:
    """Order of dates and decimal mark; empty when nobody has said.

    ``day number`` is a spreadsheet's count of days, in cells that lost their date format.
    """

    date_order: str = ""
    decimal: str = ""


UNSAID = Conventions()
