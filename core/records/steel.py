"""Record kinds of steel: components delivered and placed, their pieces, heats and certificates."""

from __future__ import annotations

from core.records.kinds import Column, Kind
from core.records.piles import _PILE_ID, _RUN_NO

CERTIFICATE_TYPES = ("2.1", "2.2", "3.1", "3.2")  # EN 10204, weakest first

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
_CERTIFICATE = Column(
    "certificate",
    "text",
    "Number of the mill certificate.",
    aliases=("certificate no", "certificate number", "mill certificate", "mill cert"),
    required=True,
)


def _heat(required: bool) -> tuple[Column, Column]:
    return (
        Column(
            "mill",
            "text",
            "Mill that made the heat; heat numbers repeat across mills.",
            aliases=("steel mill", "steelworks", "producer"),
            absent="" if required else None,
        ),
        Column(
            "heat",
            "text",
            "Heat number.",
            aliases=("heat no", "heat number", "cast", "cast no"),
            required=required,
        ),
    )


def _count(name: str, meaning: str, *aliases: str, low: int = 0) -> Column:
    return Column(name, "whole", meaning, aliases=aliases, low=low)


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
        *_heat(required=False),
        Column(
            "certificate",
            "text",
            "Mill certificate that is named for it.",
            aliases=_CERTIFICATE.aliases,
        ),
    ),
    refers_to=("component",),
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
    refers_to=("run", "component"),
)

CERTIFICATE = Kind(
    "certificate",
    "mill certificate",
    "one mill certificate",
    ("certificate",),
    (
        _CERTIFICATE,
        Column(
            "certificate_type",
            "text",
            "Type by EN 10204.",
            aliases=("type", "certificate type", "en 10204"),
            required=True,
            one_of=CERTIFICATE_TYPES,
        ),
        Column("issuer", "text", "Who issued it.", aliases=("issued by",)),
        Column("issued_on", "date", "Day of issue.", aliases=("issued", "issue date", "date")),
        Column("standard", "text", "Product standard, with edition."),
        Column("grade", "text", "Grade of steel.", aliases=("steel grade",)),
        Column("scan", "text", "Name of the file that shows it.", aliases=("file", "document")),
        Column("checked_by", "text", "Who checked it.", aliases=("checked",)),
    ),
)

HEAT_ON_CERTIFICATE = Kind(
    "heat_on_certificate",
    "heat on a certificate",
    "one heat that one mill certificate covers",
    ("certificate", "mill", "heat"),
    (
        _CERTIFICATE,
        *_heat(required=True),
        Column("page", "text", "Page of the certificate.", aliases=("page no",)),
        Column(
            "yield_mpa",
            "number",
            "Yield strength.",
            aliases=("yield", "yield strength"),
            low=0,
        ),
        Column(
            "tensile_mpa",
            "number",
            "Tensile strength.",
            aliases=("tensile", "tensile strength"),
            low=0,
        ),
    ),
    refers_to=("certificate",),
)
