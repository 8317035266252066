"""Where the string of one pile lies, from the files to the drawing's frames, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from core import services
from tests.services.whole_job import run_log, whole_project


def layout(folder, pile="101"):
    """The layout of one pile's string."""
    assessment = services.assess(folder)
    piles = assessment.piles
    return services.string_layout(assessment, piles[piles["position_id"].eq(pile)].iloc[0])


def test_a_string_is_laid_out_from_its_toe_up(tmp_path):
    held = layout(whole_project(tmp_path))
    # Toe at 3.0 m: the lead of 2.1 m ends at 0.9 m, the extension of 1.5 m at 0.6 m above ground.
    assert held.parts["bottom_mm"].tolist() == [3000, 900]
    assert held.parts["top_mm"].tolist() == [900, -600]
    assert held.parts["stamp"].tolist() == ["L-1", "E-7"]
    # 0.5 m is cut off; the head is then 0.1 m over ground, and so is cut-off level (2.1 - 2.0 m).
    assert held.cut_mm == pytest.approx(-100)
    assert held.cut_off_level_mm == pytest.approx(-100)


def test_helix_disc_and_column_lie_where_the_settings_and_the_run_say(tmp_path):
    held = layout(whole_project(tmp_path))
    assert held.helices.to_dict("list") == {"helix_mm": [350], "depth_mm": [3000]}
    # The first disc entered with the toe at 0.5 m, so it ends 0.5 m over the toe.
    assert held.first_disc_mm == 2500
    assert held.column.values.tolist() == [[0, 2500, 200]]
    assert (held.batter_deg, held.shaft_mm) == (0.0, 88.9)


def test_of_two_strings_the_last_is_laid_out(tmp_path):
    placed = (
        "Pile,Run,Place in string,Stamp,Used length (m),Bolts\n"
        "101,1,1,L-1,,none needed\n101,1,2,E-7,,fitted and tight\n"
        "101,2,1,L-2,,none needed\n"
    )
    second = run_log().replace("\n101,1,2026-03-02", "\n101,2,2026-03-03")
    second = second.replace("2026-03-02 0", "2026-03-03 0")
    logs = run_log() + "\n".join(second.splitlines()[1:]) + "\n"
    held = layout(whole_project(tmp_path, placed=placed, log=logs))
    assert held.parts["stamp"].tolist() == ["L-2"]


def test_a_pile_without_a_string_has_no_parts_and_still_its_helix(tmp_path):
    held = layout(whole_project(tmp_path, placed=""))
    assert held.parts.empty
    assert np.isnan(held.cut_mm)
    assert len(held.helices) == 1
