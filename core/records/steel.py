"""Record kinds of steel: deliveries, lots, components delivered and placed, and their pieces."""

from __future__ import annotations

from typing import Any

import pandas as pd

from core.records.checks import row_check
from core.records.kinds import Column, Kind, Reference, Rows
from core.records.mill_papers import CERTIFICATE_ALIASES, heat_columns
from core.records.piles import PILE_ID, RUN, RUN_NO

_STAMP = Column(
    "stamp",
    "text",
    "What is stamped on the component: its own number, or that of its lot.",
    aliases=("serial", "serial no", "stamp mark", "component", "component no"),
    required=True,
    example="L-0457",
)
_DELIVERY_ID = Column(
    "delivery_id",
    "text",
    "Number of the delivery note; empty where stamps repeat in no other delivery.",
    aliases=("delivery", "delivery note", "delivery no"),
    default="",
    example="DN-12",
)


def _count(name: str, meaning: str, *aliases: str, example: str, low: int = 0) -> Column:
    return Column(name, "integer", meaning, aliases=aliases, low=low, example=example)


DELIVERY = Kind(
    "delivery",
    "delivery",
    "one delivery note",
    ("delivery_id",),
    (
        Column(
            "delivery_id",
            "text",
            "Number of the delivery note.",
            aliases=_DELIVERY_ID.aliases,
            required=True,
            example="DN-12",
        ),
        Column(
            "delivered_on",
            "date",
            "Day of the delivery.",
            aliases=("delivered", "date delivered", "delivery date"),
            example="2026-02-20",
        ),
        Column(
            "supplier", "text", "Supplier.", aliases=("delivered by",), example="Invented supplier"
        ),
        Column(
            "order_no",
            "text",
            "Number of the order.",
            aliases=("order", "order number"),
            example="PO-71",
        ),
        Column(
            "accepted_by",
            "text",
            "Who took it over.",
            aliases=("received by", "accepted"),
            example="C. Invented",
        ),
        Column(
            "condition",
            "text",
            "Condition on arrival.",
            aliases=("condition on arrival",),
            example="dry, no damage",
        ),
    ),
    order=120,
    day="delivered_on",
)

LOT = Kind(
    "lot",
    "lot of components",
    "the days between which the components of one lot are used",
    ("lot",),
    (
        Column(
            "lot",
            "text",
            "Lot of make.",
            aliases=("lot no", "lot number"),
            required=True,
            example="LOT-9",
        ),
        Column(
            "used_from_on",
            "date",
            "First day on which it is used.",
            aliases=("used from", "in use from"),
            example="2026-02-23",
        ),
        Column(
            "used_to_on",
            "date",
            "Last day on which it is used; empty while it is in use.",
            aliases=("used to", "in use to"),
            example="2026-03-06",
        ),
        Column(
            "remarks",
            "text",
            "Remarks.",
            aliases=("remark", "notes", "comment", "comments"),
            example="boxes 1 to 4",
        ),
    ),
    order=130,
    at_least_one=("used_from_on", "used_to_on"),
)


# Stamps and heats stay as they are written: O for 0 is for a person to see, never changed here.
def _stamp_of_many(rows: Rows) -> Any:
    single = rows.keys_where("component_kinds", "stamp_is", "piece")
    kind = pd.Series(rows.values["component_kind"])
    return kind.isin(single).to_numpy() & (rows.values["quantity"] > 1)


_one_of_a_stamp = row_check(
    "quantity",
    "impossible value",
    _stamp_of_many,
    "Stamp {stamp} is given for {quantity} components, but every {component_kind} has a stamp of "
    "its own.",
    'Write one row per stamp, or set stamp_is = "lot" for the kind in project.toml.',
)

COMPONENT = Kind(
    "component",
    "component",
    "one delivered component by its own stamp, or a number of them by the stamp of their lot",
    ("stamp", "delivery_id"),
    (
        _STAMP,
        _DELIVERY_ID,
        Column(
            "component_kind",
            "text",
            "What it is, a key of component_kinds in project.toml.",
            aliases=("kind", "type", "component kind", "component type"),
            required=True,
            example="lead",
            settings_table="component_kinds",
        ),
        Column(
            "part_mark",
            "text",
            "Mark of the drawing.",
            aliases=("part", "part no"),
            example="LD-350",
        ),
        Column("lot", "text", "Lot of make.", aliases=("lot no", "lot number"), example="LOT-9"),
        _count(
            "quantity", "How many; 1 when empty.", "count", "number", "pieces", low=1, example="1"
        ),
        _count(
            "left_over", "How many are left on site or returned.", "left", "returned", example="0"
        ),
        _count("scrapped", "How many are scrapped.", "scrap", example="0"),
        Column(
            "length_mm",
            "integer",
            "Working length along the axis.",
            aliases=("length", "working length"),
            low=0,
            example="2.1",
        ),
        Column(
            "section",
            "text",
            "Shaft, a key of sections in project.toml.",
            aliases=("shaft",),
            example="round 89",
        ),
        Column(
            "helix_set",
            "text",
            "Helices, a key of helix_sets in project.toml.",
            aliases=("helices", "helix"),
            example="350-300",
        ),
        Column(
            "rated_torque_nm",
            "number",
            "Maximum torque that it may see.",
            aliases=("rated torque", "torque rating"),
            low=0,
            zero_is_missing=True,
            example="12",
        ),
        Column(
            "rated_torque_document",
            "text",
            "Document that gives the rating.",
            aliases=("rating document", "data sheet"),
            example="data sheet 3",
        ),
        Column(
            "delivered_on",
            "date",
            "Day of the delivery.",
            aliases=("delivered", "date delivered", "delivery date"),
            example="2026-02-20",
        ),
        Column(
            "supplier", "text", "Supplier.", aliases=("delivered by",), example="Invented supplier"
        ),
        Column(
            "cut_from",
            "text",
            "Stamp of the component that it was cut from.",
            aliases=("remnant of", "parent"),
            example="L-0400",
        ),
        Column(
            "zinc_lot",
            "text",
            "Lot in which it was galvanized.",
            aliases=("zinc lot no", "galvanizing lot", "galvanizing batch"),
            example="Z-31",
        ),
        Column(
            "zinc_um",
            "number",
            "Thickness of the zinc, mean of the readings.",
            aliases=("zinc", "zinc thickness", "coating thickness"),
            low=0,
            zero_is_missing=True,
            example="92",
        ),
    ),
    order=140,
    day="delivered_on",
    checks=(_one_of_a_stamp,),
)

PIECE = Kind(
    "piece",
    "piece of steel",
    "one piece of steel in a component, with the heat that it was made of",
    ("stamp", "delivery_id", "piece"),
    (
        _STAMP,
        _DELIVERY_ID,
        Column(
            "piece",
            "text",
            "Which piece: shaft, helix plate, coupling; whole when the component is one piece.",
            aliases=("piece of steel", "steel piece"),
            default="whole",
            example="shaft",
        ),
        *heat_columns(required=False),
        Column(
            "certificate",
            "text",
            "Mill certificate that is named for it.",
            aliases=CERTIFICATE_ALIASES,
            example="MC-5",
        ),
        Column(
            "of_this_heat",
            "integer",
            "How many components of a lot of several heats are of this one; empty: all of them.",
            aliases=("of this heat", "pieces of this heat", "count of heat"),
            low=1,
            example="20",
        ),
    ),
    refers_to=(
        Reference(
            COMPONENT, without="refused", reason="A piece of steel is a part of its component."
        ),
    ),
    order=150,
    sheet_parent=COMPONENT,
    at_least_one=("heat", "certificate"),
)


def _places_without_gap(rows: Rows) -> None:
    """A string whose places leave a gap is remarked; the missing one may come in another file."""
    places = pd.DataFrame({"run": rows.group(("pile_id", "run_no")), "place": rows.values["place"]})
    places = places[places["run"].ge(0) & places["place"].notna()].sort_values(["run", "place"])
    before = places.groupby("run")["place"].shift(fill_value=0)
    gaps = before[places["place"] > before + 1].sort_index()
    for at, place in zip(gaps.index.to_list(), gaps.to_list(), strict=True):
        rows.notice(
            f"Pile {rows.text('pile_id', at)}: place {int(place) + 1} of the string is not "
            "in this file.",
            at,
        )


COMPONENT_PLACED = Kind(
    "component_placed",
    "component placed",
    "one place in the string of one run, counted from the toe up",
    ("pile_id", "run_no", "place"),
    (
        PILE_ID,
        RUN_NO,
        Column(
            "place",
            "integer",
            "Place in the string, the lead at the toe is 1.",
            aliases=("order", "place in string", "position in string"),
            required=True,
            low=1,
            example="1",
        ),
        _STAMP,
        Column(
            "delivery_id",
            "text",
            "Delivery that it came with.",
            aliases=_DELIVERY_ID.aliases,
            example="DN-12",
        ),
        Column(
            "used_length_mm",
            "integer",
            "Working length in the string; the component's when empty.",
            aliases=("used length", "length used", "length"),
            low=0,
            example="2.1",
        ),
        Column(
            "bolts",
            "text",
            "Whether the bolts of its coupling are fitted and tight.",
            aliases=("bolts fitted", "bolting"),
            choices=("fitted and tight", "not fitted", "none needed"),
            example="fitted and tight",
        ),
        Column(
            "remarks",
            "text",
            "Remarks.",
            aliases=("remark", "notes", "comment", "comments"),
            example="coating scratched",
        ),
    ),
    refers_to=(
        Reference(
            RUN,
            without="refused",
            reason="A place in a string is a place in the string of one run.",
        ),
        Reference(
            COMPONENT,
            {"stamp": "stamp"},
            reason="A stamp that is not on the register is a finding of the string.",
        ),
    ),
    order=160,
    checks=(_places_without_gap,),
)
