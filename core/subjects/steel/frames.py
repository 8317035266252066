"""Frames of the steel of a job, and where pieces lie along the axis of a pile."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from core import units
from core.formulas import grout, steel
from core.formulas import piles as lengths
from core.records.current_rows import CurrentRows
from core.records.matching import rows_by_code
from core.subjects.columns import Values
from core.subjects.frames import frame_of
from core.subjects.steel.components import Component
from core.subjects.steel.measures import Steel
from core.subjects.steel.pieces import RESULTS
from core.subjects.steel.selection import Mills, Noted
from core.subjects.tables import Table, Texts

COLUMN = ("from_mm", "to_mm", "bore_mm")


def parts_along_axis(parts: pd.DataFrame, toe_mm: float) -> pd.DataFrame:
    """``parts`` (place, length_mm) from the toe up, with the depths top_mm and bottom_mm.

    Above the first component without a length nothing has a depth.
    """
    ordered = parts.sort_values("place", kind="stable").reset_index(drop=True)
    length = ordered["length_mm"].astype(float)
    unknown = length.isna().cummax()
    below = length.fillna(0.0).cumsum().shift(fill_value=0.0)
    bottom = (toe_mm - below).mask(unknown.shift(fill_value=False))
    return ordered.assign(bottom_mm=bottom, top_mm=(bottom - length).mask(unknown))


def helices_along_axis(
    helix_mm: Sequence[float], top_helix_above_toe_mm: float, toe_mm: float
) -> pd.DataFrame:
    """One row per helix, the top one first: helix_mm, depth_mm.

    ``helix_mm`` counts from the toe up. The settings say where the top helix sits; those below it
    are spaced as `core.formulas.steel.helix_below` does, and none lies below the toe.
    """
    height, rows = float(top_helix_above_toe_mm), []
    for place, diameter in enumerate(reversed(helix_mm)):
        if place:
            height = max(float(steel.helix_below(height, diameter)), 0.0)
        rows.append((float(diameter), toe_mm - height))
    return pd.DataFrame(rows, columns=["helix_mm", "depth_mm"]).astype(float)


def grout_column(pile: pd.Series) -> pd.DataFrame:
    """Stretches of the hole that the grout fills, from the ground down: from_mm, to_mm, bore_mm.

    ``pile`` gives toe_mm, grout_from (nothing when it is not grouted), column_begins_mm, disc_mm,
    predrilled_diameter_mm and predrilled_length_mm. No row where one that it takes is not known.
    """
    foot = float(grout.column_length(pile["toe_mm"], pile["column_begins_mm"]))
    disc = float(pile["disc_mm"])
    wide = float(np.nan_to_num(pile["predrilled_diameter_mm"])) > float(np.nan_to_num(disc))
    drilled = float(np.nan_to_num(pile["predrilled_length_mm"])) if wide else 0.0
    drilled = min(drilled, foot)
    rows = [(0.0, drilled, float(pile["predrilled_diameter_mm"])), (drilled, foot, disc)]
    grouted = pd.notna(pile["grout_from"])
    kept = [row for row in rows if grouted and row[1] > row[0] and not np.isnan(row).any()]
    return pd.DataFrame(kept, columns=list(COLUMN)).astype(float)


def level_depth(ground_level_m: float, level_m: float, batter_deg: float) -> float:
    """Depth along the axis at which the axis passes a level [mm]; NaN where one is not known."""
    height = (ground_level_m - level_m) * units.factor("m", "mm")
    return float(lengths.axial_length(height, batter_deg))


_OF_COMPONENT = ["section", "helix_set", "rated_torque_nm", "rated_torque_document", "zinc_lot",
                 "zinc_um"]  # fmt: skip
_OF_KIND = ["component", "stamp_is", "traceability", "certificate_type_asked", "zinc_lot_asked",
            "zinc_um_asked", "origin_asked"]  # fmt: skip
FAULTS = ("off_register", "untraced", "uncertified", "unlisted", "low_type")


def delivered(own: Noted) -> pd.DataFrame:
    """One row per component delivered, with what its delivery note adds to it."""
    added = {"supplier": own.supplier, "delivered_on": own.delivered_on}
    return frame_of(columns_of(own.component.frame()) | added)


def deliveries(components: Component) -> pd.DataFrame:
    """One row per component delivered, with what kind, delivery note and lot add to it."""
    own = components.delivered
    columns = columns_of(delivered(own)) | {"lot": own.lot_text}
    columns |= _of_kind(own.kinds, own.kind, own.word)
    columns |= _days_of_lot(own.lots, own.lot)
    return frame_of(columns)


def strings(steel: Steel) -> pd.DataFrame:
    """One row per component placed, with what its delivery adds to it.

    ``deliveries``: how many brought the stamp; ``on_register``: the one that brought this
    component is known; ``latest``: of the pile's last run that has a string.
    """
    table, placed = steel.places, steel.places.placed
    at = placed.component
    component = steel.components.rows.take(at).frame()
    own = steel.components.delivered
    columns = columns_of(steel.records.component_placed.frame())
    columns["delivery_id"] = table.delivery_id
    columns["deliveries"] = placed.deliveries
    columns["all_deliveries"] = placed.all_deliveries()
    columns["delivery_named"] = placed.named
    columns["component_kind"] = component["component_kind"]
    columns["lot"] = own.lot_text.take(at)
    columns["length_mm"] = pd.array(table.length_mm.values, dtype="Int64")
    columns |= {name: component[name] for name in _OF_COMPONENT}
    columns["delivered_on"] = np.append(own.delivered_on, np.datetime64("NaT", "us"))[at]
    columns["supplier"] = own.supplier.take(at)
    columns |= _days_of_lot(own.lots, np.append(own.lot, -1)[at])
    columns |= _of_kind(own.kinds, table.kind, own.word.take(at))
    columns |= {"on_register": at >= 0, "latest": placed.latest}
    return frame_of(columns)


def trace(steel: Steel, strings: pd.DataFrame) -> pd.DataFrame:
    """One row per piece of steel placed: ``strings`` with piece, mill, heat and certificate.

    ``mills`` are all mills known of its heat; ``named``: the piece names its certificate;
    ``on_file``: it is on the register; ``listed``: it lists the heat. A piece of a lot of several
    heats has a row for each: ``possible_heats`` is their number, ``all_heats`` which, and
    ``counts`` is true of one of them alone.
    """
    piece = steel.pieces
    trace, records = piece.trace, steel.records
    line = records.heat_on_certificate.take(trace.line).frame()
    certificate = records.certificate.take(np.where(piece.listed, trace.certificate, -1)).frame()
    columns = columns_of(strings.take(trace.place).reset_index(drop=True))
    columns |= {name: piece.text(name) for name in ("piece", "mill", "heat", "certificate")}
    columns |= {"possible_heats": piece.possible_heats, "all_heats": piece.text("all_heats")}
    columns |= {"counts": piece.counts, "mills": piece.text("mills")}
    columns |= {"mill_count": piece.mill_count, "named": trace.named}
    columns |= {"certificate_type": piece.text("certificate_type"), "on_file": piece.on_file}
    columns |= {"page": line["page"], "standard": certificate["standard"]}
    columns |= {"grade": certificate["grade"], **{name: line[name] for name in RESULTS}}
    columns |= {"melted_in": line["melted_in"], "listed": piece.listed}
    grade = records.steel_grades.take(trace.grade).frame()
    columns |= columns_of(grade.drop(columns=["standard", "grade"]))
    columns |= {"grade_set": piece.grade_set, "quarantined": piece.quarantined}
    columns |= {"quarantine_note": piece.text("quarantine_note"), "gap_text": piece.gap_text}
    columns |= piece.faults
    columns["short"] = np.logical_or.reduce([piece.faults[name] for name in FAULTS])
    return frame_of(columns | dict(piece.judged))


def register(steel: Steel) -> pd.DataFrame:
    """One row per piece of steel delivered, with what became of its component.

    ``placed``: how many are in each pile's last string; ``in_store``: how many are neither placed
    nor left over nor scrapped; ``not_placed``: how many are not in a pile. A component of which no
    piece is recorded keeps one row. A piece without a mill has the only one known.
    """
    components, placed = steel.components, steel.places.placed
    counted = ("quantity", "left_over", "scrapped", "placed", "not_placed", "in_store")
    columns = columns_of(deliveries(components))
    columns |= {name: getattr(components, name) for name in counted}
    row, at = rows_by_code(placed.key_of_component, placed.key_of_piece)
    piece = steel.records.piece.take(at).frame()
    mill = Texts(steel.mills.of_piece, steel.mills.mills).take(at)
    frame = frame_of(columns).take(row).reset_index(drop=True)
    of_piece = {"piece": piece["piece"], "mill": mill, "heat": piece["heat"]}
    return frame.assign(**frame_of({**of_piece, "certificate": piece["certificate"]}))


def with_mills(rows: CurrentRows, mill: Values, mills: Mills) -> pd.DataFrame:
    """Rows with the only mill known of their heat where they name none; '' where that is open."""
    return rows.frame().assign(mill=frame_of({"mill": Texts(mill, mills.mills)})["mill"])


def columns_of(frame: pd.DataFrame) -> dict[str, Any]:
    """The columns of a frame by name."""
    return {str(name): values for name, values in frame.items()}


def _of_kind(kinds: CurrentRows, at: Values, word: Texts) -> dict[str, Any]:
    """Columns of the kind in rows ``at`` of ``kinds``; ``word``: what it is called."""
    frame = kinds.take(at).frame().rename(columns={"certificate_type": "certificate_type_asked"})
    columns: dict[str, Any] = {name: frame[name] for name in _OF_KIND[1:]}
    return {"component": word, **columns, "zinc_lot_asked": frame["zinc_lot_asked"].eq(True)}


def _days_of_lot(lots: CurrentRows, at: Values) -> dict[str, Any]:
    frame = lots.take(at).frame()
    return {name: frame[name] for name in ("used_from_on", "used_to_on")}


def placed_again(steel: Steel) -> pd.DataFrame:
    """One row per place of a single component whose stamp is in another place, too."""
    table = steel.again
    rows = table.rows.frame()
    delivery = steel.places.delivery_id.take(table.at)
    columns = {name: rows[name] for name in ("pile_id", "place", "stamp")}
    return frame_of(
        {
            **columns,
            "delivery_id": delivery,
            "other_pile": table.other_pile,
            "other_place": pd.array(table.other_place, dtype="Int64"),
        }
    ).fillna({"delivery_id": ""})


def with_stamp(table: Table, name: str) -> pd.DataFrame:
    """Every declared column of a table of stamps, with the stamp under ``name``."""
    return frame_of({name: table.rows.frame()["stamp"], **dict(table.columns())})
