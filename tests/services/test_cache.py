"""What is kept between assessments: never out of date, never written to, no longer read twice."""

import inspect
import shutil

import numpy as np
import pandas as pd
import pytest

from core import records, selection, services
from core.assessment import cache, evaluation
from core.ledger import Reader
from tests.services.small import log, take_in
from tests.services.steel_job import HEATS, PIECES, steel_job
from tests.services.test_quarantine import states

FRAMES = ("piles", "positions", "findings", "attention")
MEASURED = ("profile", "trace")


def settings_changed(folder):
    path = folder / "project.toml"
    path.write_text(path.read_text().replace("rated_torque_nm = 12000", "rated_torque_nm = 6000"))


# Each act moves something else: another kind, a correction, a withdrawal, settings, the paper.
ACTS = {
    "a sign-off": lambda job: services.accept(job, ["101"], "Ada Invented", "seen"),
    "a log": lambda job: take_in(job, ("log_102.csv", log("102"))),
    "a corrected log": lambda job: take_in(job, ("log.csv", log(torques=[2.0] * 10)), replace=True),
    "a withdrawal": lambda job: services.withdraw(
        job, services.assess(job).entry, "Ada Invented", "why"
    ),
    "a quarantine": lambda job: services.put_in_quarantine(
        job, "9K0001", "Bo Invented", "called back"
    ),
    "a heat": lambda job: take_in(job, ("heats.csv", HEATS.replace(",2\n", ",9\n")), replace=True),
    "other pieces": lambda job: take_in(
        job, ("pieces.csv", PIECES.replace("9K0001", "9K0002")), replace=True
    ),
    "other settings": settings_changed,
}


@pytest.fixture
def job(tmp_path):
    cache.forget()
    return steel_job(tmp_path)


def same(one, other):
    for name in FRAMES:
        pd.testing.assert_frame_equal(getattr(one, name), getattr(other, name), obj=name)
    for name in MEASURED:
        own, others = getattr(one.measured, name), getattr(other.measured, name)
        pd.testing.assert_frame_equal(own, others, obj=name)
    pd.testing.assert_frame_equal(one.evidence(), other.evidence())


def test_after_every_act_the_answer_is_that_of_a_fresh_reading(job, tmp_path):
    for number, (name, act) in enumerate(ACTS.items()):
        services.assess(job)
        act(job)
        here = services.assess(job)
        copy = tmp_path / f"copy {number}"
        shutil.copytree(job, copy)
        same(here, services.assess(copy))
        assert here.entry == services.assess(copy).entry, name
    for entry in range(1, here.entry + 1):
        same(services.assess(job, entry), services.assess(copy, entry))


def test_another_ledger_under_the_same_name_and_numbers_is_noticed(job, tmp_path):
    other = steel_job(tmp_path / "other", log=log(torques=[2.0] * 10))
    before, wanted = states(job), states(other)
    assert services.assess(job).entry == services.assess(other).entry
    shutil.rmtree(job)
    shutil.copytree(other, job)
    assert before["101"] != wanted["101"] == states(job)["101"]


def test_only_what_moved_is_read_again(job, monkeypatch):
    services.assess(job)
    asked = []
    current = Reader.current
    monkeypatch.setattr(
        Reader,
        "current",
        lambda self, kind, as_of: asked.append(kind) or current(self, kind, as_of),
    )
    services.assess(job)
    assert asked == []
    services.accept(job, ["101"], "Ada Invented", "seen")
    asked.clear()
    services.assess(job)
    assert asked == ["sign_off"]


def test_after_a_sign_off_nothing_is_evaluated_again_and_after_a_log_it_is(job, monkeypatch):
    services.assess(job)
    again = []
    whole = evaluation.evaluated
    monkeypatch.setattr(evaluation, "evaluated", lambda known: again.append(1) or whole(known))
    services.accept(job, ["101"], "Ada Invented", "seen")
    assert states(job)["101"] == "accepted"
    assert again == []
    take_in(job, ("log_102.csv", log("102")))
    assert states(job)["101"] == "accepted"
    assert again == [1]


def test_no_assessment_writes_to_what_is_kept(job):
    services.assess(job)
    shelf = cache._shelf(job)
    held = {name: made for name, (_, made) in shelf._held.items() if name != "evaluation"}
    frames = {name: made.frame() for name, made in held.items()}
    found = shelf._held["evaluation"][1]
    for part in (vars(found), vars(found.numbers), vars(found.numbers.steel)):
        frames |= {name: made for name, made in part.items() if isinstance(made, pd.DataFrame)}
    before = {name: made.copy() for name, made in frames.items()}
    services.accept(job, ["101"], "Ada Invented", "seen")
    services.assess(job)
    services.steel_of(services.assess(job))
    services.worksheet(services.assess(job), "101")
    services.what_if(job, ["loads x 1.1"])
    for name, made in frames.items():
        pd.testing.assert_frame_equal(made, before[name], obj=name)


def test_a_selection_is_kept_under_the_kinds_that_its_parameters_name(job):
    """A parameter that names no kind would leave an answer in place when its rows change."""
    chosen = [one for one in vars(selection).values() if takes(one)]
    assert len(chosen) > 10
    for one in chosen:
        assert takes(one) <= {*records.KIND, "on"}, one.__name__


def test_two_selections_of_one_name_do_not_answer_for_each_other(job):
    def made(keep):
        def chosen(run):
            return run.where(np.full(len(run), keep))

        return chosen

    snapshot = services.assess(job).snapshot
    every, none = made(True), made(False)
    assert not snapshot.select(every).empty
    assert snapshot.select(none).empty
    assert not snapshot.with_rows(none, snapshot.frame("pile")).select(every).empty


def takes(one: object) -> set[str]:
    """Parameters of a selection, none of anything else."""
    if not inspect.isfunction(one) or one.__annotations__.get("return") != "CurrentRows":
        return set()
    if one.__module__ != selection.__name__ or one.__name__.startswith("_"):
        return set()
    return set(inspect.signature(one).parameters) - {"rows", "kind"}
