"""Record kinds of steel: deliveries, lots, components delivered and placed, and their pieces."""

from __future__ import annotations

from core.records.kinds import Column, Kind, Reference
from core.records.mill_papers import CERTIFICATE_ALIASES, heat_columns
from core.records.piles import _PILE_ID, _RUN_NO, RUN

_STAMP = Column(
    "stamp",
    "text",
    "What is stamped on the component: its own number, or that of its lot.",
    aliases=("serial", "serial no", "stamp mark", "component", "component no"),
    required=True,
)
_DELIVERY_ID = Column(
    "delivery_id",
    "text",
    "Number of the delivery note; empty where stamps repeat in no other delivery.",
    aliases=("delivery", "delivery note", "delivery no"),
    absent="",
)


def _count(name: str, meaning: str, *aliases: str, low: int = 0) -> Column:
    return Column(name, "whole", meaning, aliases=aliases, low=low)


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
        ),
        Column(
            "delivered_on",
            "date",
            "Day of the delivery.",
            aliases=("delivered", "date delivered", "delivery date"),
        ),
        Column("supplier", "text", "Supplier.", aliases=("delivered by",)),
        Column("order_no", "text", "Number of the order.", aliases=("order", "order number")),
        Column("accepted_by", "text", "Who took it over.", aliases=("received by", "accepted")),
        Column("condition", "text", "Condition on arrival.", aliases=("condition on arrival",)),
    ),
)

LOT = Kind(
    "lot",
    "lot of components",
    "the days between which the components of one lot are used",
    ("lot",),
    (
        Column("lot", "text", "Lot of make.", aliases=("lot no", "lot number"), required=True),
        Column(
            "used_from_on",
            "date",
            "First day on which it is used.",
            aliases=("used from", "in use from"),
        ),
        Column(
            "used_to_on",
            "date",
            "Last day on which it is used; empty while it is in use.",
            aliases=("used to", "in use to"),
        ),
        Column("remarks", "text", "Remarks.", aliases=("remark", "notes", "comment", "comments")),
    ),
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
        ),
        Column("part_mark", "text", "Mark of the drawing.", aliases=("part", "part no")),
        Column("lot", "text", "Lot of make.", aliases=("lot no", "lot number")),
        _count("quantity", "How many; 1 when empty.", "count", "number", "pieces", low=1),
        _count("left_over", "How many are left on site or returned.", "left", "returned"),
        _count("scrapped", "How many are scrapped.", "scrap"),
        Column(
            "length_mm",
            "whole",
            "Working length along the axis.",
            aliases=("length", "working length"),
            low=0,
        ),
        Column("section", "text", "Shaft, a key of sections in project.toml.", aliases=("shaft",)),
        Column(
            "helix_set",
            "text",
            "Helices, a key of helix_sets in project.toml.",
            aliases=("helices", "helix"),
        ),
        Column(
            "rated_torque_nm",
            "number",
            "Greatest torque that it may see.",
            aliases=("rated torque", "torque rating"),
            low=0,
            empty_for_none=True,
        ),
        Column(
            "rated_torque_document",
            "text",
            "Document that gives the rating.",
            aliases=("rating document", "data sheet"),
        ),
        Column(
            "delivered_on",
            "date",
            "Day of the delivery.",
            aliases=("delivered", "date delivered", "delivery date"),
        ),
        Column("supplier", "text", "Supplier.", aliases=("delivered by",)),
        Column(
            "cut_from",
            "text",
            "Stamp of the component that it was cut from.",
            aliases=("remnant of", "parent"),
        ),
        Column(
            "zinc_lot",
            "text",
            "Lot in which it was galvanized.",
            aliases=("zinc lot no", "galvanizing lot", "galvanizing batch"),
        ),
        Column(
            "zinc_um",
            "number",
            "Thickness of the zinc, mean of the readings.",
            aliases=("zinc", "zinc thickness", "coating thickness"),
            low=0,
            empty_for_none=True,
        ),
    ),
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
            absent="whole",
        ),
        *heat_columns(required=False),
        Column(
            "certificate",
            "text",
            "Mill certificate that is named for it.",
            aliases=CERTIFICATE_ALIASES,
        ),
        Column(
            "of_this_heat",
            "whole",
            "How many components of a lot of several heats are of this one; empty: all of them.",
            aliases=("of this heat", "pieces of this heat", "count of heat"),
            low=1,
        ),
    ),
    refers_to=(Reference(COMPONENT, without="refused"),),
)

COMPONENT_PLACED = Kind(
    "component_placed",
    "component placed",
    "one place in the string of one run, counted from the toe up",
    ("pile_id", "run_no", "place"),
    (
        _PILE_ID,
        _RUN_NO,
        Column(
            "place",
            "whole",
            "Place in the string, the lead at the toe is 1.",
            aliases=("order", "place in string", "position in string"),
            required=True,
            low=1,
        ),
        _STAMP,
        Column("delivery_id", "text", "Delivery that it came with.", aliases=_DELIVERY_ID.aliases),
        Column(
            "used_length_mm",
            "whole",
            "Working length in the string; the component's when empty.",
            aliases=("used length", "length used", "length"),
            low=0,
        ),
        Column(
            "bolts",
            "text",
            "Whether the bolts of its coupling are fitted and tight.",
            aliases=("bolts fitted", "bolting"),
            one_of=("fitted and tight", "not fitted", "none needed"),
        ),
        Column("remarks", "text", "Remarks.", aliases=("remark", "notes", "comment", "comments")),
    ),
    refers_to=(Reference(RUN, without="refused"), Reference(COMPONENT, {"stamp": "stamp"})),
)
