"""One grouted pile from its files, against arithmetic done by hand."""

import pytest

from core import services
from tests.published import published
from tests.services.grout_job import grouted_project, placed, whole_files

# By hand, from CSV to ratios. Disc 200 mm, shaft 88.9 mm outside, first disc enters at 0.5 m.
#   hole    3.14159265 x 100.00 mm x 100.00 mm = 31 415.93 mm2
#   shaft   3.14159265 x  44.45 mm x  44.45 mm =  6 207.17 mm2
#   annulus 25 208.76 mm2, that is 25.2088 L per metre of column
# lift 1, toe 0.5 to 1.5 m: column 0 to 1.0 m, void 25.209 L; net 36 - 3 - 1 - 2 = 30 L
# lift 2, toe 1.5 to 2.5 m: column 1.0 to 2.0 m, void 25.209 L; net 32 - 0 - 2 - 0 = 30 L
# lift 3, toe 2.5 to 3.0 m: column 2.0 to 2.5 m, void 12.604 L; net 18 - 2 - 0 - 0 = 16 L
# whole: net 76 L over 2.5 m x 25.2088 L/m = 63.022 L


@pytest.fixture(scope="module")
def assessed(tmp_path_factory):
    folder = grouted_project(tmp_path_factory.mktemp("grout"), *whole_files())
    return services.assess(folder)


def test_void_and_net_of_each_lift_are_those_of_the_hand_calculation(assessed):
    lifts = assessed.measured.lifts
    assert lifts["lift_no"].tolist() == ["1", "2", "3"]
    assert lifts["net_l"].tolist() == [30, 30, 16]
    assert lifts["void_l"].tolist() == [published(text) for text in ("25.209", "25.209", "12.604")]
    # 30 / 25.2088 = 1.1901; 16 / 12.6044 = 1.2694
    assert lifts["take_ratio"].tolist() == [published(t) for t in ("1.190", "1.190", "1.269")]


def test_cumulative_ratios_are_those_of_the_hand_calculation(assessed):
    lifts = assessed.measured.lifts
    assert lifts["cumulative_net_l"].tolist() == [30, 60, 76]
    assert lifts["cumulative_void_l"].tolist() == [
        published(text) for text in ("25.209", "50.418", "63.022")
    ]
    # 60 / 50.4175 = 1.1901; 76 / 63.0219 = 1.2059
    assert lifts["cumulative_ratio"].tolist() == [published(t) for t in ("1.190", "1.190", "1.206")]


def test_measures_of_the_pile_are_those_of_the_hand_calculation(assessed):
    pile = assessed.piles.set_index("pile_id").loc["101"]
    assert pile["net_grout_l"] == 76
    assert pile["void_l"] == published("63.022")
    assert pile["take_ratio"] == published("1.206")
    assert pile["min_cumulative_ratio"] == published("1.190")
    assert pile["min_lift_ratio"] == published("1.190")


def test_a_toe_deeper_than_the_last_lift_adds_its_void(tmp_path):
    # Lifts end at 2.5 m, the toe at 3.0 m: 60 L over 63.022 L is 0.952.
    two = placed().splitlines(keepends=True)
    files = whole_files(placements="".join(two[:3]))
    pile = services.assess(grouted_project(tmp_path, *files)).piles.set_index("pile_id").loc["101"]
    assert pile["take_ratio"] == published("0.952")
    assert pile["min_cumulative_ratio"] == published("0.952")


def test_specimens_name_their_piles_and_the_day_of_their_age(assessed):
    specimens = assessed.measured.specimens.set_index("specimen_id")
    assert specimens["piles"].tolist() == [1, 1, 1]
    assert specimens.loc["S2", "pile_ids"] == "101"
    assert specimens.loc["S2", "due_on"].date().isoformat() == "2026-03-30"
    assert specimens.loc["S1", "tested_age_days"] == 7
    assert assessed.measured.sampled["pile_id"].tolist() == ["101"]
