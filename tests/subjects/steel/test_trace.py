"""Every piece placed with its delivery, mill, heat and certificate, and where its trace stops."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.assessment.measuring import QUALITIES
from core.subjects.steel.measures import Steel
from tests.subjects.steel.rows import (
    CERTIFICATES,
    COMPONENTS,
    DAY,
    HEATS,
    KINDS,
    PIECES,
    PLACED,
    piles,
    recorded,
    steel,
)


def changed(rows, place, **values):
    """``rows`` with other values in one of them."""
    return tuple({**row, **values} if at == place else row for at, row in enumerate(rows))


def without(rows, place):
    """``rows`` without one of them."""
    return (*rows[:place], *rows[place + 1 :])


def stopped(**rows):
    """Where the trace of each piece placed stops, '' where it does not."""
    return steel(**rows).pieces.gap_text.array().tolist()


def test_every_piece_leads_to_its_mill_heat_and_certificate():
    pieces = steel().pieces
    told = [
        pieces.text(name).array().tolist()
        for name in ("stamp", "piece", "mill", "heat", "certificate", "certificate_type")
    ]
    assert list(zip(*told, strict=True)) == [
        ("L-1", "helix", "Mill Y", "H2", "MC-6", "3.1"),
        ("L-1", "shaft", "Mill X", "H1", "MC-5", "3.1"),
        ("E-7", "whole", "Mill X", "H3", "MC-5", "3.1"),
    ]
    assert stopped() == ["", "", ""]
    assert not any(mask.any() for name, mask in pieces.faults.items() if "with" not in name)


WAYS = [
    ({"component": COMPONENTS[1:]}, "stamp L-1 is on no delivery", "off_register"),
    ({"placed": changed(PLACED, 0, delivery_id="DN-9")}, "stamp L-1 is not on delivery DN-9",
     "off_register"),
    ({"component": (*COMPONENTS, {**COMPONENTS[0], "delivery_id": "DN-2"})},
     "stamp L-1 is on several deliveries: DN-1, DN-2", "untraced"),
    ({"piece": PIECES[2:]}, "no piece of steel is recorded for stamp L-1", "untraced"),
    ({"piece": changed(PIECES, 0, heat=None)}, "no heat is recorded for this piece", "untraced"),
    ({"piece": changed(PIECES, 0, mill=None, certificate=None),
      "heat_on_certificate": (*HEATS, {**HEATS[2], "mill": "Mill Z"})},
     "heat H2 is known of several mills: Mill Y, Mill Z", "untraced"),
    ({"piece": changed(PIECES, 0, certificate="MC-9")}, "certificate MC-9 is not on the register",
     "uncertified"),
    ({"piece": changed(PIECES, 0, certificate="MC-5")},
     "certificate MC-5 does not list heat H2 of Mill Y", "unlisted"),
    ({"piece": changed(PIECES, 0, certificate=None), "heat_on_certificate": HEATS[:2]},
     "no certificate lists heat H2 of Mill Y", "uncertified"),
    ({"certificate": changed(CERTIFICATES, 1, certificate_type="2.2")},
     "certificate type 2.2 where 3.1 is required", "low_type"),
    ({"component_kinds": KINDS[1:]}, "no component kind lead is in project.toml", "untraced"),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "words", "fault"), WAYS)
def test_a_trace_stops_where_the_record_does_and_is_one_fault(rows, words, fault):
    tables = steel(**rows)
    assert stopped(**rows)[0] == words
    faults = {name for name, mask in tables.pieces.faults.items()
              if not name.startswith("with") and mask[0]}  # fmt: skip
    assert faults == {fault}


def test_a_lot_outside_its_days_of_use_is_told_and_a_day_on_the_limit_is_within():
    rows = {"component": changed(COMPONENTS, 1, lot="LOT-9")}
    for first, words in (("2026-03-02", ""), ("2026-03-03", "lot LOT-9 is not in use on the day "
                                              "of the run")):  # fmt: skip
        assert stopped(**rows, lot=({"lot": "LOT-9", "used_from_on": first},))[2] == words


def test_a_piece_of_a_lot_of_several_heats_counts_once_and_is_of_no_one_heat():
    shared = [{**PIECES[2], "piece": f"part {n}", "heat": f"H{n}", "of_this_heat": 2}
              for n in (3, 4)]  # fmt: skip
    pieces = steel(piece=(*PIECES[:2], *shared)).pieces
    assert pieces.counts.tolist() == [True, True, True, False]
    assert pieces.possible_heats.tolist() == [1, 1, 2, 2]
    assert pieces.gap_text.array()[2] == (
        "lot E-7 is of the heats H3, H4; which of them this one is of is not recorded"
    )


def test_of_two_certificates_of_one_heat_the_higher_type_is_taken_whatever_the_order():
    heats = (*HEATS, {"certificate": "MC-1", "mill": "Mill X", "heat": "H1"})
    for low in (("MC-1", "2.2"), ("MC-1", "3.2")):
        rows = (*CERTIFICATES, dict(zip(("certificate", "certificate_type"), low, strict=True)))
        pieces = steel(certificate=rows, heat_on_certificate=heats).pieces
        wanted = "MC-1" if low[1] == "3.2" else "MC-5"
        assert pieces.text("certificate").array()[1] == wanted


def test_a_component_kind_that_asks_a_lot_per_period_needs_a_delivery_or_a_lot():
    kinds = changed(KINDS, 0, traceability="lot per period", certificate_type=None)
    bare = steel(component_kinds=kinds, piece=PIECES[2:])
    assert not bare.pieces.faults["untraced"].any()
    unnamed = changed(COMPONENTS, 0, delivery_id="")
    lost = steel(component_kinds=kinds, piece=PIECES[2:], component=unnamed)
    assert lost.pieces.faults["untraced"].tolist() == [True, False]


def test_a_quarantine_holds_its_heat_and_where_no_mill_is_named_every_mill():
    named = {"quarantine_status": "in quarantine", "reason": "r", "person": "p",
             "decided_on": "2026-03-09"}  # fmt: skip
    for mill, held in (("Mill X", [False, True, False]), ("Mill Y", [False] * 3),
                       ("", [False, True, False])):  # fmt: skip
        tables = steel(quarantine=({"mill": mill, "heat": "H1", **named},))
        assert tables.pieces.quarantined.tolist() == held


CELLS = [("piece", "heat"), ("piece", "certificate"), ("component", "length_mm")]
ROWS = ("component", "certificate", "heat_on_certificate", "piece")
GAP = st.one_of(
    st.tuples(st.sampled_from(CELLS), st.integers(0, 2)),
    st.tuples(st.tuples(st.sampled_from(ROWS), st.just("")), st.integers(0, 2)),
)


def with_gaps(records, gaps):
    """``records`` without some cells, and without some rows where no column is named."""
    found = {}
    for kind in ROWS:
        rows = getattr(records, kind)
        kept = np.ones(len(rows), dtype=bool)
        for (of, name), at in gaps:
            if of == kind and at < len(rows):
                if not name:
                    kept[at] = False
                elif rows.contains_text(name):
                    codes = rows.codes(name).copy()
                    codes[at] = -1
                    rows = rows.with_text(name, codes, rows.texts(name))
                else:
                    values = rows.values(name).astype(float)
                    values[at] = np.nan
                    known = ~np.isnan(values)
                    rows = rows.with_integer(name, np.nan_to_num(values).astype(int), known)
        found[kind] = rows.where(kept)
    return replace(records, **found)


def how_well(tables):
    """Per place how many pieces are traced to the end, how many lack nothing; what is known."""
    pieces = tables.pieces
    lacks = np.logical_or.reduce(
        [pieces.faults[name] for name in ("off_register", "untraced", "uncertified", "unlisted")]
    )
    place, size = pieces.trace.place, len(tables.places)
    return [np.bincount(place, weights=mask, minlength=size)
            for mask in (pieces.stop < 0, pieces.listed, ~lacks & pieces.listed)] + [
        tables.places.length_mm.known.astype(float)
    ]  # fmt: skip


@settings(deadline=None)
@given(st.lists(GAP, max_size=4), st.lists(GAP, max_size=3))
def test_what_is_missing_never_makes_a_piece_better_traced_or_a_length_known(some, more):
    records = recorded()
    before = Steel(with_gaps(records, some), QUALITIES)
    after = Steel(with_gaps(records, [*some, *more]), QUALITIES)
    for one, other in zip(how_well(before), how_well(after), strict=True):
        assert (other <= one).all()
    ends = [piles(tables) for tables in (before, after)]
    known = [pile.length_difference_mm.known[0] for pile in ends]
    assert known[0] or not known[1]


def test_every_column_of_no_rows_is_empty():
    nothing = dict.fromkeys(
        ("component", "piece", "certificate", "heat_on_certificate", "placed"), ()
    )
    tables = steel(**nothing)
    for table in (tables.components, tables.places, tables.pieces, tables.lots, tables.again):
        for name, values in table.columns():
            assert len(values) == 0, name
    assert np.array_equal(tables.pieces.stop, [])


def test_words_of_many_pieces_are_those_of_each_by_itself():
    kinds = tuple({**kind, "zinc_lot_asked": True, "zinc_um_asked": 80.0, "origin_asked": "Canada"}
                  for kind in KINDS)  # fmt: skip
    leads = tuple({**COMPONENTS[0], "stamp": f"L-{n}", "delivery_id": f"DN-{n}"} for n in (1, 2))
    parts = tuple(
        {**piece, "stamp": lead["stamp"], "delivery_id": lead["delivery_id"]}
        for lead in leads for piece in PIECES[:2]
    )  # fmt: skip
    tables = steel(
        component_kinds=kinds,
        component=(leads[0], {**leads[1], "zinc_lot": "Z-1"}),
        delivery=({"delivery_id": "DN-1", "delivered_on": DAY + pd.Timedelta("1D")},
                  {"delivery_id": "DN-2", "delivered_on": DAY + pd.Timedelta("2D")}),
        piece=parts,
        placed=tuple({"pile_id": f"P{n}", "stamp": f"L-{n}", "place": 1} for n in (1, 2)),
        heat_on_certificate=changed(HEATS, 0, melted_in="Norway"),
        quarantine=({"mill": "Mill Y", "heat": "H2", "person": "Ann", "reason": "bent",
                     "decided_on": DAY},),
    )  # fmt: skip
    pieces = tables.pieces
    told = {}
    for name, mask in pieces.marks.items():
        if not name.startswith("with_"):
            rows = np.flatnonzero(mask)
            alone = [pieces.words(name, rows[[at]]).at(0) for at in range(len(rows))]
            assert pieces.words(name, rows).array().tolist() == alone
            told[name] = len(set(alone))
    given = {name: number for name, number in told.items() if number}
    assert given == {"early": 4, "unproven": 4, "no_zinc": 2, "foreign": 4, "quarantined": 2}
