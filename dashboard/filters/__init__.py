"""Choices shared by all screens: piles, filters, units and as-of. They live in the address.

The session holds them between pages; every change is written back to the address, so that a
pasted link shows the same choice. Keys of all widgets that carry a choice are made here.
"""

from dashboard.filters.boxes import (
    as_of_box,
    cap_box,
    chosen_switch,
    compare_with,
    day_boxes,
    filter_boxes,
    group_box,
    key,
    list_box,
    overdue_switch,
    pile_box,
    switch,
    units_switch,
)
from dashboard.filters.choices import (
    FILTERS,
    LISTS,
    MOST_PILES,
    SETTLE_S,
    TEXTS,
    Choices,
    as_of,
    change,
    choose,
    from_address,
    left_out,
    load,
    now,
    to_address,
)
from dashboard.filters.order import in_use, mask, natural, neighbour, run_mask

__all__ = [
    "FILTERS",
    "LISTS",
    "MOST_PILES",
    "SETTLE_S",
    "TEXTS",
    "Choices",
    "as_of",
    "as_of_box",
    "cap_box",
    "change",
    "choose",
    "chosen_switch",
    "compare_with",
    "day_boxes",
    "filter_boxes",
    "from_address",
    "group_box",
    "in_use",
    "key",
    "left_out",
    "list_box",
    "load",
    "mask",
    "natural",
    "neighbour",
    "now",
    "overdue_switch",
    "pile_box",
    "run_mask",
    "switch",
    "to_address",
    "units_switch",
]
