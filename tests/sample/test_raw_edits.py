"""No pile looks better for what a raw file no longer holds, or holds against it."""

import shutil

import pytest

from core import services
from tests.conftest import SAMPLE
from tests.sample.raw_edits import EDITS, IN_THE_GROUND

GOOD = ("criteria met", "accepted", "accepted with concession")


@pytest.fixture(scope="module")
def edited(tmp_path_factory):
    """The assessment of the sample built with all edits of one group, nothing signed off."""
    known = {}

    def build(group):
        if group not in known:
            folder = tmp_path_factory.mktemp(group)
            sample = folder / "sample"
            shutil.copytree(SAMPLE, sample)
            (sample / "sign_offs.csv").write_text("pile,by,note\n", encoding="utf-8")
            for edit in (IN_THE_GROUND, *EDITS):
                if edit.group == group:
                    edit.make(sample)
            report = services.build_sample(sample, folder / "project")
            known[group] = services.assess(folder / "project"), report
        return known[group]

    return build


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit.name)
def test_an_edit_of_a_raw_file_lets_no_pile_pass(edit, edited):
    assessment, _ = edited(edit.group)
    piles = assessment.piles.dropna(subset=["pile_id"]).set_index("pile_id")
    states = piles["state"].reindex(edit.piles)
    assert not set(states) & set(GOOD)
    if edit.finding is not None:
        found = assessment.findings
        found = found[found["pile_id"].isin(edit.piles) | found["pile_id"].isna()]
        assert edit.finding in set(zip(found["kind"], found["result"], strict=True))


def test_edits_made_together_concern_different_piles():
    for group in {edit.group for edit in EDITS}:
        piles = [pile for edit in EDITS if edit.group == group for pile in edit.piles]
        assert len(piles) == len(set(piles)), group


def test_before_the_edits_these_piles_are_good_or_planted(sample_assessment):
    piles = sample_assessment.piles.dropna(subset=["pile_id"]).set_index("pile_id")
    named = {pile for edit in EDITS for pile in edit.piles}
    states = piles["state"].reindex(sorted(named))
    planted = {"W-09", "W-14", "P-107", "B07-2", "P-117"}
    assert set(states.index[~states.isin(GOOD)]) <= planted


def test_a_run_left_open_with_nothing_after_it_is_an_item_for_the_foreman(edited):
    assessment, _ = edited("files")
    (pile,) = IN_THE_GROUND.piles
    states = assessment.piles.set_index("pile_id")["state"]
    assert states[pile] == "in progress"
    items = assessment.attention
    own = items[items["subject"].eq(pile) & items["kind"].eq("run not closed")]
    assert own[["result", "responsible"]].values.tolist() == [["noted", "FM"]]


SIGNED = {
    "load doubled under the printed torque": "compression load 115.0 → 230.0 kN",
    "tension added to a compression pile": "tension load added: 90.0 kN",
    "spin-out just above the final window": "spin-out",
    "coupling failure far above the toe": "coupling failure",
    "refusal at the toe": "refusal",
    "toe left blank": "run not closed",
}


def test_a_sign_off_drops_when_the_edited_file_arrives_after_it(
    own_sample, sample_assessment, tmp_path
):
    before = sample_assessment.piles.dropna(subset=["pile_id"]).set_index("pile_id")
    edits = [edit for edit in EDITS if edit.name in SIGNED]
    assert [before["state"][edit.piles[0]] for edit in edits] == ["accepted"] * len(SIGNED)
    shutil.copytree(SAMPLE, tmp_path / "sample")
    for edit in edits:
        edit.make(tmp_path / "sample")
    raw = tmp_path / "sample" / "raw"
    changed = [path for path in sorted(raw.iterdir()) if not same_as_sample(path)]
    choice = services.ImportChoice(skip_bad_rows=True)
    report = services.import_files(own_sample, changed, by="Fay Sample", choice=choice)
    assert not report.refused
    after = services.assess(own_sample).piles.dropna(subset=["pile_id"]).set_index("pile_id")
    for edit in edits:
        pile = edit.piles[0]
        assert after["state"][pile] not in GOOD
        assert SIGNED[edit.name] in after["sign_off_note"][pile]


def same_as_sample(path):
    own = SAMPLE / "raw" / path.name
    return own.is_file() and own.read_bytes() == path.read_bytes()
