"""Files of every kind whose rows mean nothing without another record, and no such record."""

from __future__ import annotations

from typing import NamedTuple


class Orphan(NamedTuple):
    """A file whose second row refers to nothing: its text, and the cell that the problem names."""

    text: str
    column: str
    value: str


ORPHANS = {
    "torque_reading": Orphan(
        "Pile,Run,Depth (m),Torque (kN·m)\n101,1,0.3,1.0\n103,7,0.3,1.0\n", "Pile", "103 / 7"
    ),
    "calibration": Orphan(
        "Instrument,Certificate,Issued on,Valid from,Valid to\n"
        "TI-1,C-7,2026-01-10,2026-01-10,2027-01-09\nTI-7,C-7,2026-01-10,2026-01-10,2027-01-09\n",
        "Instrument",
        "TI-7",
    ),
    "calibration_point": Orphan(
        "Instrument,Certificate,Point,Torque (kN·m)\nTI-1,C-1,1,0.5\nTI-1,C-7,1,0.5\n"
        "TI-1,C-1,2,12.0\nTI-1,C-7,2,12.0\n",
        "Instrument",
        "TI-1 / C-7",
    ),
    "grout_placement": Orphan(
        "Pile no,Run,Lift,Batch,From (m),To (m),Batched (L)\n"
        "101,1,1,B1,0.5,1.5,36\n101,7,1,B1,0.5,1.5,36\n",
        "Pile no",
        "101 / 7",
    ),
    "piece": Orphan(
        "Stamp,Delivery,Piece,Heat\nL-1,DN-1,bolt,7Q1803\nL-7,DN-1,shaft,7Q1803\n",
        "Stamp",
        "L-7 / DN-1",
    ),
    "component_placed": Orphan(
        "Pile,Run,Place in string,Stamp\n101,1,1,L-1\n107,1,1,L-1\n", "Pile", "107 / 1"
    ),
    "heat_on_certificate": Orphan(
        "Mill certificate,Mill,Heat\nMC-1,Mill X,7Q1803\nMC-7,Mill X,7Q1803\n",
        "Mill certificate",
        "MC-7",
    ),
    "borehole_layer": Orphan(
        "Borehole,From (m),To (m),Soil\nBH1,0,2,clay\nBH7,0,2,clay\n", "Borehole", "BH7"
    ),
}
PARENTS = (
    ("log.csv", "Pile,Run,Date,Instrument\n101,1,2026-03-03,TI-1\n"),
    ("batches.csv", "Batch,Date mixed,Density (kg/m3)\nB1,2026-03-02,1890\n"),
    ("components.csv", "Stamp,Delivery,Kind,Length (m)\nL-1,DN-1,lead,2.1\n"),
    ("certificates.csv", "Mill certificate,Certificate type\nMC-1,3.1\n"),
    ("boreholes.csv", "Borehole,Easting (m),Northing (m),Ground level (m)\nBH1,100,200,5\n"),
)
# Both in one sheet, and in every row a fault of the parent.
NO_PARENT_LEFT = {
    "torque_reading": "Pile,Run,Date,Toe depth (m),Reason for stopping,Depth (m),Torque (kN·m)\n"
    "102,1,soon,0.3,instructed,0.3,1.0\n",
    "calibration": "Instrument,Kind,Certificate,Issued on,Valid from,Valid to\n"
    "TI-7,telescope,C-7,2026-01-10,2026-01-10,2027-01-09\n",
    "calibration_point": "Instrument,Certificate,Issued on,Valid from,Valid to,Point,"
    "Torque (kN·m)\nTI-1,C-7,2026-01-10,2026-01-10,2025-01-09,1,0.5\n"
    "TI-1,C-7,2026-01-10,2026-01-10,2025-01-09,2,12.0\n",
    "piece": "Stamp,Delivery,Kind,Piece,Heat\nL-7,DN-1,rocket,shaft,7Q1803\n",
    "heat_on_certificate": "Mill certificate,Certificate type,Mill,Heat\nMC-7,9.9,Mill X,7Q1803\n",
    "borehole_layer": "Borehole,Easting (m),Northing (m),Ground level (m),From (m),To (m),Soil\n"
    "BH7,east,200,5,0,2,clay\n",
}
