"""What if: only the piles that a hand calculation names change, and nothing is stored."""

import numpy as np
import pytest

from core import services
from core.errors import WrongUse
from core.selection import calibration_points
from core.services.what_if import FORMS, supposition
from tests.services.small import SCHEDULE, ledger, log, small_project, take_in

GAUGE = "gauge GS-11 read 12 % high from 2026-09-14 to 2026-09-20"


@pytest.fixture(scope="module")
def sample(built_sample):
    return built_sample[0]


def moved(answer):
    return {row.pile_id: (row.state, row.state_then) for row in answer.moved.itertuples()}


def supposed_torque(row, points):
    """Torque of one reading by hand: pressures of GS-11 on those days over 1.12."""
    days = "2026-09-14" <= f"{row.read_on:%Y-%m-%d}" <= "2026-09-20"
    if row.instrument_id != "GS-11" or not days:
        return row.torque_nm
    curve = points[points["certificate"].eq(row.certificate)]
    curve = curve[curve["gear"].fillna("").eq(row.gear if isinstance(row.gear, str) else "")]
    pressure, torque = (
        curve[name].astype(float) for name in ("point_pressure_kpa", "point_torque_nm")
    )
    return np.interp(row.pressure_kpa / 1.12, pressure, torque)


def test_a_gauge_that_read_high_moves_the_piles_of_a_hand_calculation(sample):
    # By hand, apart from the judging: mean, last reading and mean without the maximum of each
    # window against the required torque.
    assessment = services.assess(sample)
    points = assessment.snapshot.select(calibration_points)
    piles = assessment.piles.set_index("pile_id")
    short = set()
    for pile, rows in assessment.measured.profile[assessment.measured.profile["in_window"]].groupby(
        "pile_id"
    ):
        ordered = rows.sort_values("depth_mm").itertuples()
        torque = [supposed_torque(row, points) for row in ordered]
        rest = sorted(torque)[:-1]
        lowest = min(np.mean(torque), torque[-1], np.mean(rest) if rest else np.inf)
        if lowest < piles.loc[pile, "required_torque_nm"]:
            short.add(pile)
    sound = set(piles.index[~piles["state"].isin(["engineer review", "replaced"])])
    answer = services.what_if(sample, [GAUGE])
    assert set(moved(answer)) == short & sound == {"B10-1", "B11-2"}
    assert moved(answer)["B10-1"] == ("accepted", "engineer review")
    assert "not met (9.84 kN·m, minimum 10.00 kN·m)" in answer.moved["why"].iloc[0]
    said = "548 readings of GS-11 are taken as what it showed, divided by 1.12."
    assert answer.notes == (said,)


@pytest.fixture
def folder(tmp_path):
    """Pile 101 with a final torque of 6.4 kN·m where 5.0 is printed."""
    return small_project(tmp_path, log())


def test_other_loads_raise_what_is_required_in_proportion(folder):
    # 5.0 · 1.25 = 6.25 and 5.0 · 1.29 = 6.45 kN·m against a final torque of 6.4; the mean without
    # the maximum reading is 6.3.
    assert moved(services.what_if(folder, ["loads x 1.25"])) == {}
    answer = services.what_if(folder, ["loads x 1.29"])
    assert moved(answer) == {"101": ("criteria met", "engineer review")}
    why = answer.moved["why"].item()
    assert "required torque: met → not met (6.40 kN·m, minimum 6.45 kN·m)" in why
    assert answer.counts["criteria met"] == answer.counts_then["engineer review"] == 1


def test_a_smaller_torque_factor_asks_for_more_torque(folder):
    # 5.0 · 23/19 = 6.05 and 5.0 · 23/18 = 6.39 kN·m against 6.3 without the maximum reading.
    assert moved(services.what_if(folder, ["torque factor TF1 = 19 1/m"])) == {}
    answer = services.what_if(folder, ["torque factor TF1 = 18 1/m"])
    assert moved(answer) == {"101": ("criteria met", "engineer review")}
    feet = services.what_if(folder, ["torque factor TF1 = 5.4864 1/ft"])  # 18 1/m
    assert feet.moved["why"].item() == answer.moved["why"].item()


def test_several_suppositions_go_together(folder):
    # Without the maximum reading 6.3 / 1.15 = 5.48 kN·m: enough for 5.0, short of 5.5.
    gauge = "gauge TI-1 read 15 % high from 2026-03-02 to 2026-03-02"
    assert moved(services.what_if(folder, [gauge])) == {}
    assert set(moved(services.what_if(folder, ["loads x 1.1", gauge]))) == {"101"}
    other_days = gauge.replace("2026-03-02", "2026-03-03")
    assert moved(services.what_if(folder, ["loads x 1.1", other_days])) == {}


def test_another_revision_judges_as_if_it_were_in_force(folder):
    head, row = SCHEDULE.splitlines()[:2]
    row = row.replace(",A,2026-02-01,for construction,", ",P1,2026-03-20,preliminary,")
    taken = take_in(folder, ("p1.csv", f"{head}\n{row.replace('5.0,2.4', '7.0,2.4')}\n"))
    assert not taken.refused, taken.problems
    answer = services.what_if(folder, ["revision P1 in force"])
    assert moved(answer) == {"101": ("criteria met", "engineer review")}
    assert answer.notes == ("1 position is as in revision P1, the others as in force.",)
    assert moved(services.what_if(folder, ["revision A in force"])) == {}


def test_nothing_is_stored(folder):
    before = ledger(folder)
    services.what_if(folder, ["loads x 2"])
    assert ledger(folder) == before
    assert services.assess(folder).counts["criteria met"] == 1


@pytest.mark.parametrize("form", FORMS)
def test_every_form_is_understood(form):
    assert supposition(form)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("loads up", r"not recognised\. Use one of: torque factor"),
        ("loads x 0", "above zero"),
        ("gauge G read 100 % low from 2026-03-02 to 2026-03-03", "100 % low or more"),
        ("gauge G read 4 % low from 2026-03-32 to 2026-04-03", "write days like"),
        ("gauge G read 4 % low from 2026-03-05 to 2026-03-03", "before the first"),
    ],
)
def test_what_makes_no_sense_is_refused(text, words):
    with pytest.raises(WrongUse, match=words):
        supposition(text)


def test_what_the_project_does_not_have_is_refused_with_what_it_has(folder):
    for text, words in (
        ("gauge G-9 read 4 % low from 2026-03-01 to 2026-03-03", "There are: TI-1"),
        ("torque factor TF9 = 20 1/m", r"no torque factor TF9\. There are: TF1"),
        ("revision Z in force", r"no revision Z\. There are: A"),
    ):
        with pytest.raises(WrongUse, match=words):
            services.what_if(folder, [text])
