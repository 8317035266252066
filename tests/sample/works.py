"""Reads the sample's files of grout, survey and steel with their own arithmetic.

Like raw.py it holds no line of the program: void, take and projection are worked out anew here.
"""

from __future__ import annotations

from math import cos, pi, radians, sin

import pandas as pd

from tests.sample import books, raw

DISC_MM, SIDE_MM = 150.0, 44.5  # the disc of the pump house piles and their square shaft
LIFT = ["batch", "mixed", "density", "flow", "w/c", "pile", "lift", "from", "to", "batched", "left",
        "spilled", "returned", "start", "end", "drop", "topped"]  # fmt: skip


def placements() -> pd.DataFrame:
    """One row per line of the grout sheets: depths in inches, volumes in litres."""
    sheets = []
    for file in ("grout_week_38.xlsx", "grout_week_39.xlsx"):
        for sheet, cells in books.sheets(file).items():
            total = cells.index[cells[0].str.startswith("Total")][0]
            rows = cells.loc[6 : total - 1].set_axis(LIFT, axis=1).assign(sheet=sheet)
            rows[["batch", "pile"]] = rows[["batch", "pile"]].mask(lambda text: text.eq("")).ffill()
            sheets.append(rows.drop(index=list(raw.bad_rows(file, sheet))))
    frame = pd.concat(sheets, ignore_index=True)
    for name in ("batched", "left", "spilled", "returned", "drop", "topped", "density"):
        frame[name] = pd.to_numeric(frame[name].where(frame[name].ne("")))
    for name in ("from", "to"):
        frame[name] = frame[name].map(_inches)
    return frame


def lifts() -> pd.DataFrame:
    """One row per pile and lift: net grout and void in litres, unknown where a waste is blank."""
    frame = placements()
    waste = frame["left"] + frame["spilled"] + frame["returned"]
    frame["net"] = frame["batched"] - waste
    by_lift = frame.groupby(["pile", "lift"])
    found = by_lift.agg(above=("from", "min"), below=("to", "max")).reset_index()
    found["net"] = by_lift["net"].sum().where(by_lift["net"].count() == by_lift.size()).to_numpy()
    annulus_mm2 = pi / 4 * DISC_MM**2 - SIDE_MM**2
    found["void"] = annulus_mm2 * (found["below"] - found["above"]) * 25.4 / 1e6
    return found


def anchors() -> pd.DataFrame:
    """One row per surveyed anchor: how far it looks out of place, and is at cut-off level [mm]."""
    file = "survey_1001_anchors.txt"
    rows = pd.read_csv(raw.RAW / file, sep="\t", dtype=str)
    rows = rows.drop(index=[row - 2 for row in raw.bad_rows(file)]).set_index("Mark")
    design = raw.schedule().loc[rows.index]
    east, north, level, batter, azimuth = (
        rows[name].astype(float)
        for name in ("E (m)", "N (m)", "Z (m)", "Batter from vertical (deg)", "Azimuth (deg)")
    )
    along = (level - design["Cut-off level (m)"].astype(float)) / batter.map(_cos)
    plan = along * batter.map(_sin)
    out = (east - design["Easting (m)"].astype(float), north - design["Northing (m)"].astype(float))
    looks = (out[0] ** 2 + out[1] ** 2) ** 0.5
    at_cut_off = (out[0] + plan * azimuth.map(_sin), out[1] + plan * azimuth.map(_cos))
    is_out = (at_cut_off[0] ** 2 + at_cut_off[1] ** 2) ** 0.5
    return pd.DataFrame({"looks": 1000 * looks, "is": 1000 * is_out})


def strings() -> pd.DataFrame:
    """One row per place of a string of either rig: pile, place, stamp, length in mm."""
    file = "strings_rig1.csv"
    metres = raw.table(raw.RAW / file).drop(index=[row - 2 for row in raw.bad_rows(file)])
    parts = [
        pd.DataFrame({
            "pile": metres["Pile"],
            "stamp": metres["Stamp"],
            "mm": metres["Used length (m)"].astype(float) * 1000,
        })
    ]  # fmt: skip
    file = "strings_rig2.xlsx"
    for sheet, cells in books.sheets(file).items():
        rows = cells.loc[4:].drop(index=list(raw.bad_rows(file, sheet)))
        rows[0] = rows[0].mask(rows[0].eq("")).ffill()
        rows = rows[rows[3].ne("")]
        mm = rows[5].map(_inches) * 25.4
        parts.append(pd.DataFrame({"pile": rows[0], "stamp": rows[3], "mm": mm}))
    return pd.concat(parts, ignore_index=True)


def _inches(text: str) -> float:
    """24'-6" in inches."""
    feet, _, inches = text.partition("'-")
    return 12 * int(feet) + int(inches.rstrip('"'))


def _sin(degrees: float) -> float:
    return sin(radians(degrees))


def _cos(degrees: float) -> float:
    return cos(radians(degrees))
