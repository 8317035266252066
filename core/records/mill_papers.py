"""Mill certificates, heats, quarantine, and the patterns by which stamps are read."""

from __future__ import annotations

import pyarrow as pa
import pyarrow.compute as pc

from core.records.kinds import Column, Kind, Reference

CERTIFICATE_TYPES = ("2.1", "2.2", "3.1", "3.2")  # EN 10204, weakest first
CERTIFICATE_ALIASES = ("certificate no", "certificate number", "mill certificate", "mill cert")
# What a ladle analysis tells, by symbol; CE is the carbon equivalent as the certificate states it.
ELEMENTS = {
    "C": "carbon", "Mn": "manganese", "Si": "silicon", "P": "phosphorus", "S": "sulphur",
    "Cu": "copper", "Ni": "nickel", "Cr": "chromium", "Mo": "molybdenum", "V": "vanadium",
    "Nb": "niobium", "CE": "carbon_equivalent",
}  # fmt: skip
_EXAMPLES = {
    "C": "0.17", "Mn": "1.32", "Si": "0.21", "P": "0.012", "S": "0.006", "Cu": "0.03",
    "Ni": "0.02", "Cr": "0.05", "Mo": "0.01", "V": "0.004", "Nb": "0.021", "CE": "0.41",
}  # fmt: skip
IN_QUARANTINE, LIFTED = "in quarantine", "lifted"

_CERTIFICATE = Column(
    "certificate",
    "text",
    "Number of the mill certificate.",
    aliases=CERTIFICATE_ALIASES,
    required=True,
    example="MC-5",
)


def heat_columns(required: bool) -> tuple[Column, Column]:
    """The mill and the heat of a piece or of a line of a certificate."""
    return (
        Column(
            "mill",
            "text",
            "Mill that made the heat; heat numbers repeat across mills.",
            aliases=("steel mill", "steelworks", "producer"),
            default="" if required else None,
            example="Invented mill",
        ),
        Column(
            "heat",
            "text",
            "Heat number.",
            aliases=("heat no", "heat number", "cast", "cast no"),
            required=required,
            example="7Q1803",
        ),
    )


def _share(name: str, symbol: str, example: str) -> Column:
    word = name.replace("_", " ")
    return Column(
        f"{name}_percent",
        "number",
        f"Share of {word} by mass." if symbol != "CE" else "Carbon equivalent.",
        aliases=(symbol, word),
        low=0,
        high=100,
        example=example,
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
            choices=CERTIFICATE_TYPES,
            example="3.1",
        ),
        Column("issuer", "text", "Who issued it.", aliases=("issued by",), example="Invented mill"),
        Column(
            "issued_on",
            "date",
            "Day of issue.",
            aliases=("issued", "issue date", "date"),
            example="2025-11-30",
        ),
        Column(
            "standard",
            "text",
            "Product standard, with edition.",
            example="invented standard 1, 2025",
        ),
        Column("grade", "text", "Grade of steel.", aliases=("steel grade",), example="grade X"),
        Column(
            "scan",
            "text",
            "Name of the file that shows it.",
            aliases=("file", "document"),
            example="MC-5.pdf",
        ),
        Column(
            "checked_by", "text", "Who checked it.", aliases=("checked",), example="D. Invented"
        ),
    ),
    order=170,
    day="issued_on",
)

HEAT_ON_CERTIFICATE = Kind(
    "heat_on_certificate",
    "heat on a certificate",
    "one heat that one mill certificate covers",
    ("certificate", "mill", "heat"),
    (
        _CERTIFICATE,
        *heat_columns(required=True),
        Column("page", "text", "Page of the certificate.", aliases=("page no",), example="2"),
        Column(
            "yield_mpa",
            "number",
            "Yield strength.",
            aliases=("yield", "yield strength"),
            low=0,
            example="380",
        ),
        Column(
            "tensile_mpa",
            "number",
            "Tensile strength.",
            aliases=("tensile", "tensile strength"),
            low=0,
            example="520",
        ),
        Column(
            "elongation_percent",
            "number",
            "Elongation after fracture.",
            aliases=("elongation",),
            low=0,
            high=100,
            example="24",
        ),
        *(_share(name, symbol, _EXAMPLES[symbol]) for symbol, name in ELEMENTS.items()),
        Column(
            "melted_in",
            "text",
            "Country in which the heat was melted.",
            aliases=("country of melt", "melted", "origin", "country of origin"),
            example="Norway",
        ),
    ),
    refers_to=(
        Reference(
            CERTIFICATE,
            without="refused",
            reason="Its results hold by the type of the certificate.",
        ),
    ),
    order=180,
    sheet_parent=CERTIFICATE,
)

CERTIFICATE_FILE = Kind(
    "certificate_file",
    "file of a mill certificate",
    "one file that shows one mill certificate",
    ("certificate", "file_digest"),
    (
        Column("certificate", "text", "Number of the mill certificate.", required=True),
        Column("file_digest", "text", "SHA-256 under which the file is kept.", required=True),
        Column("file_name", "text", "Name of the file, without folders.", required=True),
        Column("form", "text", "What the file is by its content.", choices=("PDF", "PNG", "JPEG")),
        Column("bytes", "integer", "Size of the file."),
        Column("pages", "integer", "How many pages it has."),
    ),
    refers_to=(
        Reference(
            CERTIFICATE,
            without="refused",
            reason="It is attached to a certificate on record; alone it shows nothing.",
        ),
    ),
    from_files=False,
    order=190,
)

QUARANTINE = Kind(
    "quarantine",
    "quarantine of a heat",
    "whether one heat is in quarantine",
    ("mill", "heat"),
    (
        *heat_columns(required=True),
        Column(
            "quarantine_status",
            "text",
            "Whether it is in quarantine or out again.",
            required=True,
            choices=(IN_QUARANTINE, LIFTED),
        ),
        Column("reason", "text", "Why.", required=True),
        Column("person", "text", "Person who decided.", required=True),
        Column("decided_on", "date", "Day of the decision, in the project's zone.", required=True),
    ),
    from_files=False,
    order=200,
    day="decided_on",
)


# Columns that stand beside the groups.
TAKEN = frozenset(
    ("reads", "differs", "stamp", "delivery_id", "component_kind", "supplier", "heats")
)


def pattern_fault(pattern: str) -> str:
    """What is wrong with ``pattern``, as one short text; empty when stamps can be read by it."""
    try:
        names = [field.name for field in pc.extract_regex(pa.array([""]), pattern=pattern).type]
    except pa.ArrowInvalid as error:
        return str(error).partition(":")[2].strip() or str(error)
    if taken := TAKEN.intersection(names):
        return f"a group cannot be called {', '.join(sorted(taken))}"
    return "" if names else "it names no group"
