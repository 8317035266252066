"""A small invented project with steel: deliveries, strings, heats and mill certificates."""

from __future__ import annotations

from pathlib import Path

from tests.services.small import (
    CERTIFICATES,
    INSTRUMENTS,
    SCHEDULE,
    SETTINGS,
    log,
    started,
    with_the_rest,
)

KINDS = """
[component_kinds.lead]
name = "lead section"
stamp_is = "piece"
traceability = "piece"
certificate_type = "3.1"
clause = "6.1"
[component_kinds.extension]
name = "extension"
stamp_is = "lot"
traceability = "heat or lot per pile"
certificate_type = "3.1"
clause = "6.1"
[component_kinds.bolt]
name = "coupling bolt"
stamp_is = "lot"
traceability = "declaration of conformity"
certificate_type = "2.1"
clause = "6.2"
"""
OF_STEEL = """
[criteria.all.string_recorded]
clause = "6.3"
due = "installed"
[criteria.all.length_reconciliation]
clause = "6.4"
due = "installed"
max_difference_mm = 50
[criteria.all.steel_traced]
clause = "6.5"
due = "installed"
[criteria.all.steel_grade]
not_required = "clause 6 asks for none"
"""
COMPONENTS = """\
Stamp,Delivery,Kind,Lot,Quantity,Length (m),Section,Helix set,Rated torque (kN·m),Rating document
L-1,DN-1,lead,LOT-1,1,2.1,round 89,350,11,data sheet 3
L-2,DN-1,lead,LOT-1,1,2.1,round 89,350,11,data sheet 3
E-7,DN-1,extension,,4,1.5,round 89,,11,data sheet 3
"""
PIECES = """\
Stamp,Delivery,Piece,Mill,Heat,Certificate
L-1,DN-1,shaft,Mill X,7Q1803,
L-1,DN-1,helix,Mill Y,7Q1803,MC-6
L-2,DN-1,shaft,Mill X,7Q1803,
L-2,DN-1,helix,Mill Y,7Q1803,MC-6
E-7,DN-1,whole,,9K0001,
"""
PLACED = """\
Pile,Run,Place in string,Stamp,Used length (m),Bolts
101,1,1,L-1,,none needed
101,1,2,E-7,,fitted and tight
"""
MILL_CERTIFICATES = """\
Mill certificate,Certificate type
MC-5,3.1
MC-6,3.1
"""
HEATS = """\
Mill certificate,Mill,Heat,Page
MC-5,Mill X,7Q1803,2
MC-5,Mill X,9K0001,3
MC-6,Mill Y,7Q1803,1
"""


def settings(kinds: str = KINDS, criteria: str = OF_STEEL) -> str:
    """The small project's settings with component kinds and the criteria of steel."""
    head, _, _ = SETTINGS.partition("[criteria.all.string_recorded]")
    before, mark, after = head.partition("[[torque_factors]]")
    return with_the_rest(before + kinds.lstrip("\n") + mark + after + criteria.lstrip("\n"))


def steel_job(parent: Path, toml: str = "", **texts: str) -> Path:
    """A project with pile 101 installed to 3.0 m and its steel; a keyword replaces one file.

    Keywords: components, pieces, placed, certificates, heats, log.
    """
    head, row = log().splitlines()[0], log().splitlines()[1:]
    measured = [head.replace(",Depth", ",Stick-up (m),Cut off (m),Depth")]
    measured += [
        ",".join([*line.split(",")[:7], "0.4", "0.2", *line.split(",")[7:]]) for line in row
    ]
    files = {
        "schedule": SCHEDULE,
        "instruments": INSTRUMENTS,
        "calibrations": CERTIFICATES,
        "log": "\n".join(measured) + "\n",
        "components": COMPONENTS,
        "pieces": PIECES,
        "placed": PLACED,
        "certificates": MILL_CERTIFICATES,
        "heats": HEATS,
    } | texts
    written = [(f"{name}.csv", text) for name, text in files.items() if text]
    return started(parent, toml or settings(), *written)
