"""Steel followed both ways, over twenty thousand pieces, and what is asked wrongly."""

import pytest

from core import services
from core.errors import WrongUse
from tests.services.small import LOG_HEAD, SCHEDULE, empty_project, take_in
from tests.services.steel_job import KINDS, settings, steel_job

KEYS = ["pile", "run", "place", "component", "piece", "stamp", "kind", "length_mm", "lot", "mill",
        "heat", "certificate", "certificate_type", "gap"]  # fmt: skip
PILES, PLACES = 200, 50  # two pieces each: 20,000 pieces of steel


def many(parent):
    """Piles whose components have a shaft and a helix of 402 invented heats at three mills."""
    folder = empty_project(parent)
    (folder / "project.toml").write_text(settings(KINDS), encoding="utf-8")
    position = SCHEDULE.splitlines()[1].partition(",")[2]
    texts = {name: [] for name in ("schedule", "log", "components", "pieces", "placed", "heats")}
    for pile in range(1, PILES + 1):
        texts["schedule"].append(f"P{pile},{position}")
        texts["log"].append(f"P{pile},1,2026-03-02,Rig 1,TI-1,3.0,instructed,0.3,1.0")
        for place in range(1, PLACES + 1):
            number = pile * PLACES + place
            texts["components"].append(f"S{number},lead,1,0.5")
            texts["placed"].append(f"P{pile},1,{place},S{number}")
            for part, piece in enumerate(("shaft", "helix")):
                heat, mill = (7 * number + part) % 134, (number + part) % 3
                texts["pieces"].append(f"S{number},{piece},Mill {mill},H{heat}")
                texts["heats"].append(f"MC-{mill},Mill {mill},H{heat}")
    heads = {
        "schedule": SCHEDULE.splitlines()[0],
        "log": LOG_HEAD.strip(),
        "components": "Stamp,Kind,Quantity,Length (m)",
        "pieces": "Stamp,Piece,Mill,Heat",
        "placed": "Pile,Run,Place in string,Stamp",
        "certificates": "Mill certificate,Certificate type",
        "heats": "Mill certificate,Mill,Heat",
    }
    texts["heats"] = list(dict.fromkeys(texts["heats"]))
    texts["certificates"] = [f"MC-{mill},3.1" for mill in range(3)]
    files = ((f"{name}.csv", "\n".join([head, *texts[name]])) for name, head in heads.items())
    report = take_in(folder, *files)
    assert not report.refused, report
    return folder


def steel(frame):
    return set(zip(frame["pile"], frame["stamp"], frame["piece"], frame["heat"], strict=True))


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """A job in order, assessed."""
    return services.assess(steel_job(tmp_path_factory.mktemp("steel")))


def test_heats_to_piles_and_piles_to_heats_give_the_same_steel(tmp_path):
    assessment = services.assess(many(tmp_path))
    trace = assessment.measured.trace
    by_pile, by_heat = set(), set()
    for pile in trace["pile_id"].unique():
        by_pile |= steel(services.trace(assessment, "pile", pile).placed)
    for heat, mill in trace[["heat", "mill"]].drop_duplicates().itertuples(index=False):
        by_heat |= steel(services.trace(assessment, "heat", heat, mill).placed)
    assert len(by_pile) == 2 * PILES * PLACES
    assert by_heat == by_pile
    assert assessment.measured.trace["gap_text"].isna().all()


def test_a_trace_counts_piles_pieces_and_metres_and_names_its_columns(whole):
    found = services.trace(whole, "pile", "101")
    assert list(found.placed.columns) == KEYS
    assert (found.piles, found.pieces, found.length_mm) == (1, 3, 3600)


def test_what_is_not_in_a_pile_is_told_beside_it(whole):
    lot = services.trace(whole, "lot", "E-7").store
    assert lot[["stamp", "in_store"]].to_numpy().tolist() == [["E-7", 3]]
    heat = services.trace(whole, "heat", "7Q1803", "Mill X")
    assert list(heat.placed["stamp"]) == ["L-1"]
    assert list(heat.store["stamp"]) == ["L-2"]
    assert services.trace(whole, "stamp", "L-2").placed.empty


@pytest.mark.parametrize(
    ("by", "value", "words"),
    [
        ("heat", "7Q18O3", "There is no heat 7Q18O3. Nearest known: 7Q1803, one character apart"),
        ("stamp", "L-11", "There is no stamp L-11. Nearest known: L-1, one character apart"),
        ("lot", "zzz", "There is no lot zzz. Known are 2."),
        ("heat", "7Q1803", "of several mills: Mill X, Mill Y. Name one: --mill M."),
    ],
)
def test_what_nobody_knows_is_answered_with_what_is_known(whole, by, value, words):
    with pytest.raises(WrongUse, match=words.replace(".", r"\.")):
        services.trace(whole, by, value)


def test_a_mill_that_never_made_the_heat_is_refused(whole):
    with pytest.raises(WrongUse, match=r"not of mill Mill Z\. It is of: Mill X, Mill Y\."):
        services.trace(whole, "heat", "7Q1803", "Mill Z")


def test_a_job_without_steel_says_so(tmp_path):
    with pytest.raises(WrongUse, match="no heat is recorded yet"):
        services.trace(services.assess(empty_project(tmp_path)), "heat", "7Q1803")


def test_a_certificate_leads_to_the_steel_that_it_covers(whole):
    found = services.trace(whole, "certificate", "MC-5").placed
    assert sorted(found["stamp"]) == ["E-7", "L-1"]
    assert set(found["certificate"]) == {"MC-5"}
