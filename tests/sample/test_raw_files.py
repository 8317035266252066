"""The raw files: made by the seed alone, of the promised size, clean where nothing is planted."""

from __future__ import annotations

import itertools
import subprocess
import sys

import pytest

from core.settings import load_project
from core.subjects.registry import FINDING_KIND, kinds_of
from tests.sample import raw

AGAIN = "import sys, pathlib; sys.path.insert(0, sys.argv[1]); import make; "
AGAIN += "make.main(pathlib.Path(sys.argv[2]))"
MADE = ("*.csv", "raw/*", "layouts/*")


def test_making_the_files_again_gives_the_same_bytes(tmp_path):
    subprocess.run([sys.executable, "-c", AGAIN, str(raw.SAMPLE), str(tmp_path)], check=True)
    made = {path.relative_to(tmp_path) for path in tmp_path.rglob("*") if path.is_file()}
    kept = [path for part in MADE for path in sorted(raw.SAMPLE.glob(part))]
    assert made == {path.relative_to(raw.SAMPLE) for path in kept}
    for name in made:
        assert (tmp_path / name).read_bytes() == (raw.SAMPLE / name).read_bytes(), name


def test_about_two_thirds_of_about_190_positions_are_driven():
    positions = set(raw.schedule().index)
    driven = {pile for pile in raw.readings()["Pile"] if pile in positions}
    assert 185 <= len(positions) <= 200
    assert 0.65 <= len(driven) / len(positions) <= 0.71


def test_the_project_file_reads_and_says_that_all_is_invented():
    settings = load_project(raw.SAMPLE).tables.project
    assert settings.assessed_on is not None
    assert "invented" in settings.note
    assert "invented" in (raw.SAMPLE / "README.md").read_text(encoding="utf-8")


def test_planted_findings_use_the_words_of_the_program():
    planted = raw.planted()
    assert set(planted["kind"]) <= set(FINDING_KIND)
    assert set(planted["result"]) <= {"not met", "no evidence", "noted", "waiting"}
    assert not planted.duplicated(["subject", "kind"]).any()
    assert planted["why"].ne("").all()


def test_planted_problems_are_of_many_kinds_each_with_its_reason():
    listed = raw.planted_problems()
    assert listed["kind"].nunique() >= 20
    assert listed["why"].ne("").all()
    assert set(listed["file"]) <= {path.name for path in raw.RAW.iterdir()}


def test_planted_faults_are_spread_over_the_structures():
    first = raw.planted()["subject"].str[0].value_counts()
    assert {"B", "P", "W", "F"} <= set(first.index)


@pytest.fixture(scope="module")
def clean():
    """Piles without a planted finding of torque or depth and with a toe, position and window."""
    planted = raw.planted()
    named = set(planted.loc[~planted["kind"].isin(OF_WORKS), "subject"])
    served = {row["Pile"]: row["Position served"] for row in raw.instructed()}
    design, found = raw.schedule(), []
    for pile, rows in raw.readings().groupby("Pile"):
        if pile in named or rows["toe_mm"].isna().any() or pile in UNFINISHED:
            continue
        toe = rows["toe_mm"].max()
        asked = design.loc[served.get(pile, pile)]
        window_mm = 1200 if asked["Type"] == "W1" else 900
        found.append((pile, asked, rows, rows[rows["depth_mm"] > toe - window_mm + 10]))
    return found


OF_WORKS = {kind.word for subject in ("grout", "survey", "steel") for kind in kinds_of(subject)}
UNFINISHED = ("W-20",)  # its shift ended before the ground held


def test_every_clean_pile_holds_its_required_torque_over_the_whole_window(clean):
    assert len(clean) > 90
    for pile, asked, _, window in clean:
        required_nm = 1000 * float(asked["Required torque (kN·m)"])
        assert window["torque_nm"].min() >= required_nm, pile


def test_no_clean_pile_sees_its_rated_torque(clean):
    for pile, asked, rows, _ in clean:
        assert rows["torque_nm"].max() < 1000 * float(asked["Torque rating (kN·m)"]), pile


def test_no_clean_pile_has_a_gap(clean):
    for pile, _, rows, _ in clean:
        depths = [0, *sorted(rows["depth_mm"].unique()), rows["toe_mm"].max()]
        steps = [below - above for above, below in itertools.pairwise(depths)]
        assert max(steps) <= 310, pile


def test_window_of_every_clean_pile_has_the_readings_it_should(clean):
    assert {len(window) for _, asked, _, window in clean if asked["Type"] == "W1"} == {4}
    assert {len(window) for _, asked, _, window in clean if asked["Type"] != "W1"} == {3}
