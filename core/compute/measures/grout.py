"""Grout by lift: what stayed in the ground, the void that opened, and how one fills the other.

A lift's volume is fed at the top and drawn down, so it is not the take at the lift's depth. A lift
that goes over depths again adds its volume and opens no void.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from core import units
from core.compute import grout as formulas
from core.compute import steel

LITRES_OF_A_MM3 = units.factor("mm**3", "L")
VOLUMES = ("batched_l", "left_l", "spilled_l", "returned_l")
OF_COLUMN = ["grout_from", "first_disc_depth_mm", "grouted_length_mm", "toe_mm"]
OF_VOID = [*OF_COLUMN, "disc_mm", "predrilled_mm", "predrilled_length_mm", "shape", "outside_mm",
           "wall_mm", "grouted_bore"]  # fmt: skip
LIFT = ["pile_id", "run_no", "lift_no"]
NO_WASTE = "what was left, spilled or returned is not recorded"
NO_DISC = "neither the toe depth at which the first disc entered nor a grouted length is recorded"
NO_DRILLED = "the pre-drilled length is not recorded"
NO_HOLE = "the type has no diameter of the hole or no place where its column begins"


def in_toe_depths(placements: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """``placements`` with from_mm and to_mm as depths of the toe, and as written.

    A crew writes the depths of a lift either of the toe or of the grout column (``depths_of``)::

        ground   C = 0       toe D = F      the first disc enters: the column begins
          |       |             |
        disc     C = L       toe D = T      the column is L long, its foot L below the ground
          .
        toe at T

    What opens the column stays F = T − L above the toe, so a length C of the column is opened when
    the toe is at D = C + F. F is ``column_begins``. A depth of the column stays unknown where F is.
    ``written_from_mm`` and ``written_to_mm`` keep the numbers of the record.
    """
    of_column = placements["depths_of"].eq("column")
    written = {f"written_{name}": placements[name].astype(float) for name in ("from_mm", "to_mm")}
    begins = column_begins(_beside(placements, piles, OF_COLUMN))
    depths = {
        name: written[f"written_{name}"].mask(
            of_column, formulas.toe_of_column(written[f"written_{name}"], begins)
        )
        for name in ("from_mm", "to_mm")
    }
    return placements.assign(**written, **depths)


def _beside(rows: pd.DataFrame, piles: pd.DataFrame, columns: list[str]) -> pd.DataFrame:
    """``columns`` of each row's pile, row by row beside ``rows``."""
    named = piles[piles["pile_id"].notna()].set_index("pile_id")[columns]
    return named.reindex(rows["pile_id"]).set_index(rows.index)


def lifts(placements: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per lift of ``piles`` in the order of the work, with its volumes, void and ratios.

    ``placements`` come of ``in_toe_depths``, with their runs (run_on, run_order). Lifts of a run
    follow their starts where every one has a start, else their depths. ``missing`` says why a
    number is unknown.
    """
    known = placements[placements["pile_id"].isin(piles["pile_id"])]
    frame = _in_order(_added_up(known))
    frame["net_l"] = formulas.net_volume(*(frame[name] for name in VOLUMES))
    pile = frame.groupby("pile_id", sort=False).ngroup()
    asked = _beside(frame, piles, OF_VOID)
    reach = frame["to_mm"].groupby(pile).cummax()
    before = reach.groupby(pile).shift(fill_value=0.0)
    begun = pd.concat([frame["from_mm"], before], axis=1).max(axis=1).clip(upper=reach)
    frame["cumulative_void_l"] = opened_volume(reach, asked)
    frame["void_l"] = frame["cumulative_void_l"] - opened_volume(begun, asked)
    frame["cumulative_net_l"] = _running(frame["net_l"], pile)
    frame["take_ratio"] = _ratio(frame["net_l"], frame["void_l"])
    frame["cumulative_ratio"] = _ratio(frame["cumulative_net_l"], frame["cumulative_void_l"])
    unknown_void = why_no_void(asked).where(frame["cumulative_void_l"].isna(), "")
    frame["missing"] = unknown_void.mask(frame["net_l"].isna(), NO_WASTE)
    return frame


def _added_up(placements: pd.DataFrame) -> pd.DataFrame:
    """One row per lift: its batches added up; a volume that one of them lacks is unknown."""
    by_lift = placements.groupby(LIFT, sort=False)
    size = by_lift.size()
    days = placements["placed_on"].fillna(placements["run_on"])
    added = {
        "run_order": by_lift["run_order"].first().astype("int64"),
        "from_mm": by_lift["from_mm"].min().astype(float),
        "to_mm": by_lift["to_mm"].max().astype(float),
        "depths_of": by_lift["depths_of"].first(),
        "written_from_mm": by_lift["written_from_mm"].min(),
        "written_to_mm": by_lift["written_to_mm"].max(),
        **{n: by_lift[n].sum().where(by_lift[n].count() == size) for n in VOLUMES},
        "resolution_l": by_lift["resolution_l"].max(),
        "how_measured": by_lift["how_measured"].first(),
        "placed_on": days.groupby([placements[name] for name in LIFT], sort=False).max(),
        "started_at": by_lift["started_at"].min().where(by_lift["started_at"].count() == size),
        "ended_at": by_lift["ended_at"].max().where(by_lift["ended_at"].count() == size),
        "level_drop_mm": by_lift["level_drop_mm"].max().astype(float),
        "topped_up_l": by_lift["topped_up_l"].sum(min_count=1),
        "pressure_kpa": by_lift["pressure_kpa"].max(),
        "placements": size,
        "batches": joined(placements, LIFT, "batch_id"),
        **{name: by_lift[name].first() for name in ("entry_no", "sheet", "row_no")},
    }
    return pd.DataFrame(added).reset_index()


def joined(rows: pd.DataFrame, key: list[str], column: str) -> pd.Series:
    """The texts of ``column`` of each key in one, in their order, each once."""
    once = rows.drop_duplicates([*key, column])
    place = once.groupby(key, sort=False).cumcount()
    text = once[place.eq(0)].set_index(key)[column]
    for number in range(1, int(place.max() or 0) + 1 if len(place) else 0):
        more = once[place.eq(number)].set_index(key)[column].reindex(text.index)
        text = text + (", " + more).fillna("")
    return text


def lift_names(rows: pd.DataFrame) -> pd.Series:
    """The lift of each row in words, by which measures and notes name it."""
    names: pd.Series = "lift " + rows["lift_no"] + " of run " + rows["run_no"]
    return names


def _in_order(frame: pd.DataFrame) -> pd.DataFrame:
    timed = frame["started_at"].notna().groupby(frame["run_order"]).transform("all")
    start = frame["started_at"].where(timed.astype(bool))
    ordered = frame.assign(start=start).sort_values(
        ["run_order", "start", "from_mm", "to_mm"], kind="stable"
    )
    return ordered.drop(columns="start").reset_index(drop=True)


def _running(values: pd.Series, group: pd.Series) -> pd.Series:
    """Running sum of each group, unknown from its first unknown value on."""
    lost = values.isna().groupby(group).cummax()
    return values.fillna(0.0).groupby(group).cumsum().mask(lost)


def _ratio(net_l: pd.Series, void_l: pd.Series) -> pd.Series:
    """Net over void; nothing where no void opened."""
    ratio: pd.Series = formulas.take_ratio(net_l, void_l.where(void_l > 0))
    return ratio


def opened_volume(depth_mm: pd.Series, piles: pd.DataFrame) -> pd.Series:
    """Void between ground and the foot of the column when the toe stands at ``depth_mm`` [L].

    Row by row beside ``piles``, which gives ``OF_VOID``. Where a type has no disc, its column is
    the pre-drilled hole alone. The bore is filled as far down as the column.
    """
    column = formulas.column_length(depth_mm, column_begins(piles))
    disc, drill = piles["disc_mm"], piles["predrilled_mm"]
    wider = _drilled_wider(piles)
    drilled = np.minimum(column, piles["predrilled_length_mm"].where(wider, 0.0))
    shaft = shaft_area(piles)
    void = formulas.void_volume(disc, shaft, column - drilled).mask(disc.isna() & wider, 0.0)
    void += formulas.void_volume(drill, shaft, drilled).where(wider, 0.0)
    bore = piles["outside_mm"] - 2 * piles["wall_mm"]
    filled = piles["grouted_bore"].eq(True)
    void += formulas.bore_volume(bore, column).where(filled, 0.0)
    litres: pd.Series = void * LITRES_OF_A_MM3
    return litres


def column_begins(piles: pd.DataFrame) -> pd.Series:
    """Depth of the toe at which each pile's grout column begins [mm].

    ``piles`` gives ``OF_COLUMN``. Where the first disc entered, of a type whose column begins
    there; else the toe less the grouted length; else the ground, of a type whose column begins
    there; else unknown.
    """
    entered = piles["first_disc_depth_mm"].where(piles["grout_from"].eq("first disc"))
    planned = formulas.column_top(piles["toe_mm"], piles["grouted_length_mm"].astype(float))
    ground = pd.Series(0.0, index=piles.index).where(piles["grout_from"].eq("ground"))
    begins: pd.Series = entered.fillna(planned).fillna(ground)
    return begins.mask(piles["grout_from"].isna())


def _drilled_wider(piles: pd.DataFrame) -> pd.Series:
    """Whether the pre-drilled hole is wider than what the disc opens."""
    wider: pd.Series = piles["predrilled_mm"] > piles["disc_mm"].fillna(0.0)
    return wider


def shaft_area(piles: pd.DataFrame) -> pd.Series:
    """Outside cross-section of each pile's shaft [mm**2]."""
    outside = piles["outside_mm"]
    area: pd.Series = steel.tube_area(outside)
    return area.mask(piles["shape"].eq("square"), steel.square_area(outside))


def why_no_void(piles: pd.DataFrame) -> pd.Series:
    """What each pile's void lacks; empty where it lacks nothing."""
    no_length = _drilled_wider(piles) & piles["predrilled_length_mm"].isna()
    no_hole = piles["grout_from"].isna() | (piles["disc_mm"].isna() & piles["predrilled_mm"].isna())
    return (
        pd.Series("", index=piles.index)
        .mask(no_length, NO_DRILLED)
        .mask(column_begins(piles).isna(), NO_DISC)
        .mask(no_hole, NO_HOLE)
    )


def take_measures(frame: pd.DataFrame, piles: pd.DataFrame) -> pd.DataFrame:
    """One row per pile of ``piles`` with lifts: net grout, void and ratios of the whole and least.

    The void of the whole pile goes to the recorded toe where that is deeper than its last lift:
    what opened below the last lift had to be filled from above, too.
    """
    by_pile = frame.groupby("pile_id", sort=False)
    asked = piles.set_index("pile_id")[OF_VOID].reindex(by_pile.size().index)
    depth = pd.concat([by_pile["to_mm"].max(), asked["toe_mm"]], axis=1).max(axis=1)
    net = by_pile["net_l"].sum().where(by_pile["net_l"].count() == by_pile.size())
    void = opened_volume(depth, asked)
    opens = frame["void_l"].isna() | (frame["void_l"] > 0)
    unknown = opens & frame["take_ratio"].isna()
    whole = _ratio(net, void)
    reasons = frame[frame["missing"].ne("")].drop_duplicates("pile_id").set_index("pile_id")
    return pd.DataFrame(
        {
            "net_grout_l": net,
            "void_l": void,
            "take_ratio": whole,
            "least_cumulative_ratio": np.fmin(by_pile["cumulative_ratio"].min(), whole),
            "least_lift_ratio": by_pile["take_ratio"].min(),
            "lifts": by_pile.size(),
            "lifts_unknown": unknown.groupby(frame["pile_id"]).sum(),
            "grout_missing": reasons["missing"].reindex(net.index).fillna(""),
            "thinnest_at": _least(frame, "cumulative_ratio").reindex(net.index).fillna(""),
            "thinnest_lift": _least(frame, "take_ratio").reindex(net.index).fillna(""),
        }
    )


def _least(frame: pd.DataFrame, ratio: str) -> pd.Series:
    """The lift of each pile that has the least of ``ratio``, in words."""
    known = frame[frame[ratio].notna()]
    worst = known.loc[known.groupby("pile_id")[ratio].idxmin()].set_index("pile_id")
    return lift_names(worst)


def level_measures(frame: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: greatest fall of the grout that was not topped up, and if one is recorded.

    A top-up is written beside the fall, or is a later lift that opens no void. ``level_recorded``
    asks for the last lift that opened a void or a later one.
    """
    by_pile = frame.groupby("pile_id", sort=False)
    pile, number = by_pile.ngroup(), by_pile.cumcount()
    opens = frame["void_l"].isna() | (frame["void_l"] > 0)
    last_filling = number.where(~opens & (frame["batched_l"] > 0)).groupby(pile).transform("max")
    topped = (frame["topped_up_l"] > 0) | (last_filling > number)
    last_opening = number.where(opens).groupby(pile).transform("max").fillna(0)
    told = frame["level_drop_mm"].notna() & (number >= last_opening)
    fall = frame["level_drop_mm"].mask(topped & frame["level_drop_mm"].notna(), 0.0)
    measures = frame[["pile_id"]].assign(level_drop_mm=fall, level_recorded=told)
    return measures.groupby("pile_id").agg({"level_drop_mm": "max", "level_recorded": "any"})
