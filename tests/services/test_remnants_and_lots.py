"""Remnants followed by length, lots of several heats, and lots by their days of use."""

import pytest

from core import services
from tests.services.steel_job import COMPONENTS, PIECES, PLACED, settings, steel_job
from tests.services.test_steel_quality import open_findings

REMNANT = "R-1,DN-1,extension,,1,{length},round 89,,11,data sheet 3,{parent}\n"


def cut(length, parent):
    head, *rows = COMPONENTS.splitlines()
    lines = [head + ",Cut from", *(row + "," for row in rows)]
    return "\n".join(lines) + "\n" + REMNANT.format(length=length, parent=parent)


@pytest.mark.parametrize(
    ("length", "parent", "placed", "noted"),
    [
        # 4 × 1.5 m delivered; one placed with 200 mm off its top: 1.3 m of 6 m in the ground.
        ("0.2", "E-7", "E-7,,fitted and tight", None),
        ("4.7", "E-7", "E-7,,fitted and tight", None),
        ("4.71", "E-7", "E-7,,fitted and tight", "what is in the ground and what is cut"),
        ("0.2", "E-9", "E-7,,fitted and tight", "R-1 is cut from it, and no delivery brought it"),
    ],
)
def test_a_remnant_is_followed_to_what_it_is_cut_from(tmp_path, length, parent, placed, noted):
    assert placed in PLACED
    assessment = services.assess(steel_job(tmp_path, components=cut(length, parent)))
    found = open_findings(assessment)
    assert list(found) == (["remnant not tracked"] if noted else [])
    if noted:
        assert found["remnant not tracked"][0] == "noted"
        assert noted in found["remnant not tracked"][1]


SHARED = PIECES.replace("E-7,DN-1,whole,,9K0001,", "E-7,DN-1,whole,Mill X,9K0001,,2").replace(
    "Certificate\n", "Certificate,Of this heat\n"
)


def mixed(piece="E-7,DN-1,whole 2,Mill X,7Q1803,,2\n"):
    lines = [row if row.count(",") == 6 else row + "," for row in SHARED.splitlines()]
    return "\n".join(lines) + "\n" + piece


def test_a_component_of_a_lot_of_two_heats_is_called_back_with_either(tmp_path):
    assessment = services.assess(steel_job(tmp_path, pieces=mixed()))
    trace = assessment.measured.trace[assessment.measured.trace["stamp"].eq("E-7")]
    assert sorted(trace["heat"]) == ["7Q1803", "9K0001"]
    assert set(trace["gap_text"]) == {
        "lot E-7 is of the heats 9K0001, 7Q1803; which of them this one is of is not recorded"
    }
    assert open_findings(assessment) == {}  # a heat or a lot per pile is what the contract asks
    assert services.trace(assessment, "pile", "101").pieces == 3
    assert services.trace(assessment, "heat", "9K0001").pieces == 1
    assert (
        services.trace(assessment, "heat", "7Q1803", "Mill X").pieces == 2
    )  # the lead's shaft, too
    held = services.steel_of(assessment)
    (meaning,) = services.matches(held, "E-7", ["101"])
    totals = services.search(held, meaning).totals
    assert (totals["pieces"], totals["gaps"]) == (1, 1)
    covered = services.coverage(services.steel_of(assessment)).iloc[-1]
    assert (covered["pieces"], covered["pieces_traced"]) == (3, 3)


def test_a_kind_traced_by_the_piece_needs_one_heat(tmp_path):
    toml = settings().replace('traceability = "heat or lot per pile"', 'traceability = "piece"')
    found = open_findings(services.assess(steel_job(tmp_path, toml, pieces=mixed())))
    assert found["heat traced"][0] == "no evidence"


@pytest.mark.parametrize(("to", "met"), [("2026-03-02", True), ("2026-03-01", False)])
def test_a_lot_by_the_period_is_traced_between_its_days(tmp_path, to, met):
    toml = settings().replace("heat or lot per pile", "lot per period")
    lots = f"Lot no,Used from,Used to\nE-7,2026-02-01,{to}\n"
    pieces = PIECES.replace("E-7,DN-1,whole,,9K0001,\n", "")
    toml = toml.replace('certificate_type = "3.1"\nclause = "6.1"\n[component_kinds.bolt]',
                        'clause = "6.1"\n[component_kinds.bolt]')  # fmt: skip
    found = open_findings(services.assess(steel_job(tmp_path, toml, pieces=pieces, lots=lots)))
    assert list(found) == ([] if met else ["heat traced"])
