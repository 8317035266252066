"""Equality with a printed number: the value rounds to what the source prints."""

from __future__ import annotations

from decimal import Decimal


class published:  # noqa: N801  (reads as a word in an assertion)
    """A number as printed; a value equals it when it rounds to the printed digits."""

    __hash__ = None

    def __init__(self, printed: str) -> None:
        self.printed = Decimal(printed.replace(",", "").replace(" ", ""))

    def __eq__(self, value: object) -> bool:
        half = Decimal(1).scaleb(self.printed.as_tuple().exponent) / 2
        return abs(Decimal(float(value)) - self.printed) <= half

    def __repr__(self) -> str:
        return f"published({self.printed})"
