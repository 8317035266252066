"""The steel of a job: register, coverage, strings, and what a searched text means."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from core import words
from core.assessment.assess import Assessment
from core.errors import WrongUse
from core.ledger import Ledger
from core.reports.steel import matrix_csv, matrix_xlsx
from core.services.export import about
from core.subjects.registry import kinds_of
from core.subjects.steel import register as steel_register
from core.subjects.steel.frames import (
    grout_column,
    helices_along_axis,
    level_depth,
    parts_along_axis,
)
from core.subjects.steel.register import (
    PLACE,
    duplicate_stamps,
    heats_without_certificate,
    heats_without_delivery,
    like,
    places,
    similar_heats,
)

OF_PILE = ["area", "state", "stage"]
GAPS = steel_register.GAPS
KINDS = tuple(kind.word for kind in kinds_of("steel"))


@dataclass(frozen=True)
class Steel:
    """Frames of the steel of one job.

    ``trace``: that of the assessment with ``gap`` and the pile's area, state and stage;
    ``stock``: deliveries with what is placed and what is not; ``pieces`` and ``heats`` with their
    mill where one alone is known; ``certificates`` with ``sha256`` of the file that shows them,
    when one of the name that their list gives is kept; ``files`` linked to certificates; ``story``:
    every word on the quarantine of a heat, the newest first.
    """

    trace: pd.DataFrame
    stock: pd.DataFrame
    pieces: pd.DataFrame
    heats: pd.DataFrame
    certificates: pd.DataFrame
    files: pd.DataFrame
    story: pd.DataFrame

    @property
    def empty(self) -> bool:
        """Whether nothing at all is recorded of steel."""
        parts = (self.trace, self.stock, self.pieces, self.heats, self.certificates)
        return all(part.empty for part in parts)


def steel_of(assessment: Assessment) -> Steel:
    """The steel of ``assessment``. Raises StoreBusy, StoreDamaged."""
    with Ledger(assessment.folder).read() as reader:
        entries = reader.entries(assessment.entry)
        story = reader.ask("quarantine_story", as_of=assessment.entry)
    current = assessment.snapshot.frame
    certificates, files = current("certificate"), current("certificate_file")
    of_steel = assessment.measured.steel
    piles = assessment.piles.dropna(subset=["pile_id"]).set_index("pile_id")[OF_PILE]
    pieces = assessment.measured.trace.merge(piles, on="pile_id", how="left")
    trace = steel_register.with_gaps(pieces)
    kinds = assessment.project.component_kinds.frame().set_index("component_kind")["name"]
    stock = steel_register.stock(of_steel.delivered, trace)
    stock["component"] = stock["component_kind"].map(kinds).fillna(stock["component_kind"])
    kept = _kept(entries)
    certificates = certificates.assign(sha256=certificates["scan"].map(kept).astype("str"))
    return Steel(trace, stock, of_steel.pieces, of_steel.heats, certificates, files, story)


def _kept(entries: pd.DataFrame) -> pd.Series:
    """Digest of every file that entries keep, by its name without folders; only where one is."""
    held = entries[entries["active"]].dropna(subset=["source", "sha256"])
    by_name = held.groupby(held["source"].str.rsplit("/").str[-1])["sha256"]
    last: pd.Series = by_name.last()
    return last[by_name.nunique().eq(1)]


def coverage(held: Steel, by: str = "area") -> pd.DataFrame:
    """Pieces and lengths in the ground by ``area`` or ``supplier``, and how far they are traced."""
    return steel_register.coverage(held.trace, by)


def trace_boxes(trace: pd.DataFrame, most: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Boxes and lines of a drawn trace."""
    return steel_register.trace_boxes(trace, most)


def missing(held: Steel) -> dict[str, pd.DataFrame]:
    """Per question the rows that answer it: each gap, doubtful stamps, lots, heats, remnants."""
    lost = held.trace[held.trace["latest"]]
    found = {gap: lost[lost["gap"].eq(gap)] for gap in GAPS}
    known = (held.pieces, held.heats)
    return found | {
        "twice": steel_register.duplicate_stamps(held.trace),
        "lots": steel_register.exceeded_lots(held.stock, held.trace),
        "uncertified": heats_without_certificate(*known),
        "unreceived": heats_without_delivery(*known),
        "doubtful": similar_heats(*known),
        "remnants": steel_register.remnants(held.stock, held.trace),
    }


def matrix_file(assessment: Assessment, held: Steel, ending: str) -> bytes:
    """The trace matrix of the whole job, ``.csv`` or ``.xlsx``.

    Raises WrongUse for another ending.
    """
    trace = held.trace.assign(document=held.trace["certificate"].map(_documents(held)))
    if ending == ".csv":
        return matrix_csv(trace)
    if ending == ".xlsx":
        row = ("One row", "one piece of steel in one place of the string of one run")
        return matrix_xlsx(trace, [*about(assessment), row])
    raise WrongUse(f"A trace matrix ends in .csv or .xlsx, not in {ending or 'nothing'}.")


def _documents(held: Steel) -> pd.Series:
    """Names of the files that show each certificate."""
    linked = held.files.rename(columns={"file_name": "name"})[["certificate", "name"]]
    kept = held.certificates.dropna(subset=["sha256"])[["certificate", "scan"]]
    both = pd.concat([linked, kept.rename(columns={"scan": "name"})]).drop_duplicates()
    names: pd.Series = both.groupby("certificate")["name"].agg(", ".join).astype("str")
    return names


def missing_by_responsible(assessment: Assessment) -> pd.DataFrame:
    """Outstanding items of steel: what somebody must still do, worst first."""
    items = assessment.attention
    return items[items["kind"].isin(KINDS)].reset_index(drop=True)


DELIVERY = steel_register.DELIVERY
HEAT = steel_register.HEAT


@dataclass(frozen=True)
class Match:
    """One thing that a text may name; ``mill`` belongs to a heat."""

    kind: str
    text: str
    mill: str = ""

    @property
    def words(self) -> str:
        """As people say it."""
        of_mill = f" of {self.mill}" if self.mill else ", mill not known"
        return f"{self.kind} {self.text}" + (of_mill if self.kind == "heat" else "")


@dataclass(frozen=True)
class SearchResult:
    """All that hangs on one thing. ``trace``: its pieces in the ground; ``stock``: its deliveries;

    ``piles``: furthest along in the work first; ``heats`` with pieces and certificates counted;
    ``certificates``; ``remnants``: what was cut from it or what it was cut from; ``gaps``: where
    traces stop, in words, with the number of pieces.
    """

    trace: pd.DataFrame
    piles: pd.DataFrame
    heats: pd.DataFrame
    certificates: pd.DataFrame
    stock: pd.DataFrame
    remnants: pd.DataFrame
    gaps: pd.DataFrame

    @property
    def totals(self) -> dict[str, float]:
        """Piles, pieces, length in the ground, components not placed and too many, gaps.

        What is too many of one delivery is not taken off what is left of another.
        """
        return {
            "piles": len(self.piles),
            "pieces": int(self.piles["pieces"].sum()),
            "length_mm": float(self.piles["length_mm"].sum()),
            "not_placed": int(self.stock["not_placed"].clip(lower=0).sum()),
            "too_many": int(-self.stock["not_placed"].clip(upper=0).sum()),
            "gaps": int(self.gaps["pieces"].sum()),
        }


def matches(held: Steel, text: str, piles: list[str]) -> list[Match]:
    """Everything of that exact text: pile, stamp, lot, heat of each mill, certificate.

    A lot that holds just what is stamped so is told once, as the stamp. A text on nothing is a
    pile's when it differs from one single number in case and hyphens alone.
    """
    found = [Match("pile", text)] if text in set(piles) else []
    stamped, of_lot = held.stock["stamp"].eq(text), held.stock["lot"].eq(text)
    if stamped.any() or held.trace["stamp"].eq(text).any():
        found.append(Match("stamp", text))
    if (of_lot & ~stamped).any():
        found.append(Match("lot", text))
    both = pd.concat([held.pieces[HEAT], held.heats[HEAT]])
    mills = both.loc[both["heat"].eq(text), "mill"].drop_duplicates().sort_values()
    found += [Match("heat", text, mill) for mill in mills]
    names = (held.certificates, held.heats, held.pieces)
    if any(part["certificate"].eq(text).any() for part in names):
        found.append(Match("certificate", text))
    return found or [Match("pile", pile) for pile in _pile_written(text, piles)]


def _pile_written(text: str, piles: list[str]) -> list[str]:
    """The pile of that number without regard to case and hyphens; none where several are."""
    alike = [pile for pile in piles if _bare(pile) == _bare(text)]
    return alike if len(alike) == 1 else []


def _bare(text: str) -> str:
    return text.replace("-", "").casefold()


def suggestions(held: Steel, text: str, piles: list[str]) -> list[str]:
    """Known texts that come near one that is not known; suggestions, never a change."""
    parts = [held.stock["stamp"], held.stock["lot"], held.trace["stamp"], held.pieces["heat"],
             held.heats["heat"], held.certificates["certificate"]]  # fmt: skip
    known = pd.concat([*parts, pd.Series(piles, dtype="str")]).dropna().unique()
    return steel_register.nearest(text, known.tolist())


def search(held: Steel, meaning: Match) -> SearchResult:
    """Everything in the ground, in the store and on paper that hangs on ``meaning``."""
    trace = held.trace[_of_meaning(held.trace, meaning)]
    stock = _stock(held, meaning)
    pieces = _pieces(held, trace, stock, meaning)
    heats = _heats(held, trace, pieces, meaning)
    numbers = pd.concat([trace["certificate"], pieces["certificate"], heats["certificate"]])
    if meaning.kind == "certificate":
        numbers = pd.Series([meaning.text], dtype="str")
    named = pd.DataFrame({"certificate": numbers.dropna().unique()}).astype("str")
    certificates = named.merge(held.certificates, on="certificate", how="left")
    stamps = set(trace["stamp"]) | set(stock["stamp"])
    cut = steel_register.remnants(held.stock, held.trace)
    cut = cut[cut["stamp"].isin(stamps) | cut["cut_from"].isin(stamps)]
    stops = (
        steel_register.distinct(trace)["gap_text"]
        .dropna()
        .value_counts(sort=False)
        .rename_axis("gap_text")
    )
    return SearchResult(
        trace, _piles(trace), heats, certificates, stock, cut, stops.reset_index(name="pieces")
    )


def quarantine_of(held: Steel, meaning: Match) -> pd.DataFrame:
    """What was recorded of the quarantine of one heat, the newest first."""
    return held.story[_of_meaning(held.story, meaning)].reset_index(drop=True)


def _of_meaning(rows: pd.DataFrame, meaning: Match) -> pd.Series:
    column = {"pile": "pile_id"}.get(meaning.kind, meaning.kind)
    own = rows[column].eq(meaning.text)
    if meaning.kind == "heat":
        own &= steel_register.may_be_one_mill(rows["mill"], meaning.mill)
    return own


def _stock(held: Steel, meaning: Match) -> pd.DataFrame:
    """Deliveries that hold what is meant; of a pile those that its components came with."""
    stock = held.stock
    if meaning.kind in ("stamp", "lot"):
        return stock[stock[meaning.kind].eq(meaning.text)]
    if meaning.kind == "pile":
        rows = held.trace[held.trace["pile_id"].eq(meaning.text)]
    else:
        rows = _pieces_of(held, meaning)
    return stock.merge(rows[DELIVERY].drop_duplicates(), on=DELIVERY)


def _pieces_of(held: Steel, meaning: Match) -> pd.DataFrame:
    """Pieces of a heat; or those that name a certificate, or name none and are of its heats."""
    pieces = held.pieces
    if meaning.kind == "heat":
        return pieces[_of_meaning(pieces, meaning)]
    listed = held.heats.loc[held.heats["certificate"].eq(meaning.text), HEAT]
    of_heat = pieces[HEAT].merge(listed.assign(hit=True), on=HEAT, how="left")["hit"].eq(True)
    open_ = pieces["certificate"].isna() & of_heat.to_numpy()
    return pieces[pieces["certificate"].eq(meaning.text) | open_]


def _pieces(held: Steel, trace: pd.DataFrame, stock: pd.DataFrame, meaning: Match) -> pd.DataFrame:
    """Pieces recorded of the deliveries, those alone that are meant."""
    if meaning.kind in ("heat", "certificate"):
        return _pieces_of(held, meaning)
    pieces = held.pieces.merge(stock[DELIVERY], on=DELIVERY)
    if meaning.kind == "pile":
        return pieces.merge(trace[[*DELIVERY, "piece"]].drop_duplicates(), on=[*DELIVERY, "piece"])
    return pieces


def _heats(held: Steel, trace: pd.DataFrame, pieces: pd.DataFrame, meaning: Match) -> pd.DataFrame:
    """One row per heat and certificate that lists it; no certificate: one row without."""
    own = [trace[HEAT], pieces[HEAT]]
    if meaning.kind == "heat":
        own.append(pd.DataFrame({"mill": [meaning.mill], "heat": [meaning.text]}))
    if meaning.kind == "certificate":
        own = [held.heats.loc[held.heats["certificate"].eq(meaning.text), HEAT], *own]
    keys = pd.concat(own).dropna(subset=["heat"]).drop_duplicates()
    columns = [*HEAT, "certificate", "page", "yield_mpa", "tensile_mpa", "elongation_percent",
               "carbon_percent", "carbon_equivalent_percent", "melted_in"]  # fmt: skip
    listed = keys.merge(held.heats[columns], on=HEAT, how="left")
    types = held.certificates[["certificate", "certificate_type"]]
    placed = trace[trace["latest"]].groupby(HEAT).size().rename("placed").reset_index()
    frame = listed.merge(types, on="certificate", how="left").merge(placed, on=HEAT, how="left")
    return frame.assign(placed=frame["placed"].fillna(0).astype("Int64"))


def _piles(trace: pd.DataFrame) -> pd.DataFrame:
    """One row per pile: its state, pieces and length meant; furthest along in the work first.

    A pile that holds them in an earlier run only has 0 pieces.
    """
    by_pile = trace.groupby("pile_id", sort=False)
    frame = by_pile[["area", "state", "stage"]].first()
    pieces = steel_register.distinct(trace).groupby("pile_id")
    frame["pieces"] = pieces["latest"].sum()
    lengths = steel_register.places(trace).groupby("pile_id")["length_mm"].sum()
    frame["length_mm"] = lengths.reindex(frame.index).astype("Int64").fillna(0)
    frame["gaps"] = pieces["gap_text"].count()
    order = -frame["stage"].map(words.STAGE_ORDER).astype(float).fillna(-1)
    return frame.loc[order.sort_values(kind="stable").index].reset_index()


TWICE = "stamp used twice"
# Of which pieces a finding of a pile speaks; kinds that are not named speak of the whole string.
PIECES_OF = {
    "component not on the register": "off_register",
    "heat traced": "untraced",
    "mill certificate": "uncertified",
    "heat not on the certificate named": "unlisted",
    "type of mill certificate": "low_type",
}
SHOWN = ["kind", "result", "measured", "limit_value", "unit_column", "note", "piles"]


def concerns(
    assessment: Assessment, held: Steel, meaning: Match, hangs: SearchResult
) -> pd.DataFrame:
    """Open findings of steel that concern ``meaning``, worst first, with the ``piles`` of each.

    A pile's are all its own. Of anything else: those on its pieces, on its stamps, and on the
    string of each pile that holds it.
    """
    rows = assessment.findings
    rows = rows[rows["kind"].isin(KINDS) & rows["result"].isin(words.OPEN_RESULTS)]
    stamps = set(hangs.trace["stamp"]) | set(hangs.stock["stamp"])
    of_lot = rows["subject_kind"].eq("lot") & rows["subject"].isin(stamps)
    of_pile = rows["subject_kind"].eq("pile")
    if meaning.kind == "pile":
        of_pile &= rows["subject"].eq(meaning.text)
    else:
        of_pile &= _on_its_pieces(rows, held, hangs.trace[hangs.trace["latest"]])
    placed = held.trace[held.trace["stamp"].isin(rows.loc[of_lot, "subject"])]
    where = places(placed).groupby("stamp")["pile_id"].agg(_joined)
    told = rows.assign(piles=rows["subject"].where(of_pile, rows["subject"].map(where)))
    told["piles"] = told["piles"].fillna("")
    return told.loc[of_lot | of_pile, SHOWN].reset_index(drop=True)


def _on_its_pieces(rows: pd.DataFrame, held: Steel, trace: pd.DataFrame) -> pd.Series:
    again = duplicate_stamps(held.trace)
    twice = trace.merge(again[PLACE].drop_duplicates(), on=PLACE)
    piles = {kind: set(trace.loc[trace[name].eq(True), "pile_id"])
             for kind, name in PIECES_OF.items()}  # fmt: skip
    piles[TWICE] = set(twice["pile_id"])
    whole = set(trace["pile_id"])
    pairs = zip(rows["kind"], rows["subject"], strict=True)
    hit = [subject in piles.get(kind, whole) for kind, subject in pairs]
    return pd.Series(hit, index=rows.index, dtype=bool)


def _joined(piles: pd.Series) -> str:
    return ", ".join(dict.fromkeys(piles))


def similar_heats_of(held: Steel, meaning: Match) -> pd.DataFrame:
    """Heats that look like the one meant: ``mill``, ``heat``, ``pieces`` recorded, ``listed``."""
    return like(held.pieces, held.heats, meaning.text, meaning.mill)


@dataclass(frozen=True)
class StringLayout:
    """One pile along its axis: components and helices by depth, the grout column, and the axis.

    ``parts``: place, component, stamp, length_mm, bottom_mm, top_mm; ``helices``: helix_mm,
    depth_mm; ``column``: from_mm, to_mm, bore_mm. NaN stands for what is not known.
    """

    parts: pd.DataFrame
    helices: pd.DataFrame
    column: pd.DataFrame
    toe_mm: float
    first_disc_mm: float
    disc_mm: float
    cut_off_level_mm: float
    cut_mm: float
    batter_deg: float
    azimuth_deg: float
    shaft_mm: float


def string_placed(assessment: Assessment, pile_id: str) -> pd.DataFrame:
    """The trace of the last string of one pile: one row per piece of steel, from the toe up."""
    trace = assessment.measured.trace
    own = trace[trace["pile_id"].eq(pile_id) & trace["latest"]]
    return own.sort_values("place", kind="stable").reset_index(drop=True)


def string_layout(assessment: Assessment, pile: pd.Series) -> StringLayout:
    """Where the last string of ``pile``, a row of the assessment's piles, lies."""
    trace = string_placed(assessment, pile["pile_id"])
    toe = float(pile["toe_mm"])
    parts = parts_along_axis(trace.drop_duplicates("place"), toe)
    batter = _batter(pile)
    ground = pile["run_ground_level_m"]
    ground = pile["ground_level_m"] if pd.isna(ground) else ground
    return StringLayout(
        parts=parts,
        helices=_helices(assessment, pile, parts),
        column=grout_column(pile),
        toe_mm=toe,
        first_disc_mm=toe - float(pile["first_disc_depth_mm"]),
        disc_mm=float(pile["disc_mm"]),
        cut_off_level_mm=level_depth(ground, pile["cutoff_level_m"], batter),
        cut_mm=float(parts["top_mm"].min(skipna=False)) + float(pile["cut_off_mm"]),
        batter_deg=batter,
        azimuth_deg=float(pile["azimuth_deg"]),
        shaft_mm=float(pile["outside_diameter_mm"]),
    )


def _batter(pile: pd.Series) -> float:
    """The design batter; a pile that is no anchor stands upright when the schedule gives none."""
    upright = pd.isna(pile["batter_deg"]) and pile["element"] != "helical anchor"
    return 0.0 if upright else float(pile["batter_deg"])


def _helices(assessment: Assessment, pile: pd.Series, parts: pd.DataFrame) -> pd.DataFrame:
    """Helices of the lead as its own record names them, else as the type does."""
    sets = assessment.project.tables.helix_sets
    recorded = parts.loc[parts["place"].eq(1), "helix_set"].dropna()
    named = [name for name in (*recorded, pile["helix_set"]) if name in sets]
    if not named:
        return helices_along_axis((), 0.0, float(pile["toe_mm"]))
    held = sets[named[0]]
    return helices_along_axis(held.helix_mm, held.top_helix_above_toe_mm, float(pile["toe_mm"]))
