"""Full disks, missing rights, garbage: one sentence each, and nothing half-written."""

import os
import stat
import subprocess
import sys
import textwrap

import pytest

from core import services
from tests.services.small import SETTINGS, log, small_project, write
from tests.services.small import ledger as state_of

# Root passes over modes; without these two capabilities it is asked like anybody.
ASKED = ["setpriv", "--bounding-set", "-dac_override,-dac_read_search"]
COMMAND = """
import sys
from core.cli import main

def run(*words):
    sys.argv = ["pilewright", *words]
    try:
        main()
    except SystemExit as done:
        return done.code or 0
    return 0
"""


def outcome(*lines, **environment):
    """Exit code and what was printed, of a process of its own that runs these lines."""
    code = COMMAND + "\n".join(textwrap.dedent(line) for line in lines)
    environment = {**os.environ, **environment}
    command = [*(ASKED if os.geteuid() == 0 else []), sys.executable, "-c", code]
    done = subprocess.run(command, capture_output=True, env=environment, check=False, timeout=250)
    return done.returncode, done.stdout.decode(), done.stderr.decode()


@pytest.fixture
def job(tmp_path):
    return small_project(tmp_path, log())


@pytest.fixture(autouse=True)
def rights_given_back(tmp_path):
    """So that what a test closed can be deleted after it."""
    yield
    for path in (tmp_path, *tmp_path.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)


def closed(folder, of_files=0o444, of_folders=0o555):
    for path in (folder, *folder.rglob("*")):
        path.chmod(of_folders if path.is_dir() else of_files)


def test_a_ledger_that_may_only_be_read_answers_and_is_not_written(job, tmp_path):
    file = write(tmp_path, "more.csv", log("102"))
    before = state_of(job)
    closed(job)
    code, out, err = outcome(f"sys.exit(run('assess', {str(job)!r}))")
    assert (code, err) == (0, "")
    assert "1  criteria met" in out
    words = f"'import', {str(job)!r}, {str(file)!r}, '--by', 'Bo Invented'"
    code, _, err = outcome(f"sys.exit(run({words}))")
    assert code == 1
    assert "can be read but not written" in err
    assert len(err.strip().splitlines()) == 1
    assert state_of(job) == before


def test_a_store_alone_that_may_only_be_read_is_called_that(job, tmp_path):
    file = write(tmp_path, "more.csv", log("102"))
    closed(job, 0o444, 0o755)
    for lock in (job / ".locks").iterdir():
        lock.chmod(0o644)
    words = f"'import', {str(job)!r}, {str(file)!r}, '--by', 'Bo Invented'"
    code, _, err = outcome(f"sys.exit(run({words}))")
    assert code == 1
    assert "can be read but not written" in err


def test_settings_that_may_not_be_read_are_called_that(job):
    (job / "project.toml").chmod(0)
    code, _, err = outcome(f"sys.exit(run('assess', {str(job)!r}))")
    assert code == 1
    assert "project.toml cannot be read: permission denied." in err
    assert len(err.strip().splitlines()) == 1


def test_targets_that_may_not_be_written_are_refused_in_a_sentence(job, tmp_path):
    shut = tmp_path / "shut"
    shut.mkdir()
    shut.chmod(0o555)
    commands = [
        ["new", str(shut / "a")],
        ["templates", str(shut / "b")],
        ["backup", str(job), str(shut / "c")],
        ["outstanding", str(job), "--out", str(shut / "items.xlsx")],
    ]
    runs = "\n".join(f"codes.append(run(*{command!r}))" for command in commands)
    code, _, err = outcome("codes = []", runs, "sys.exit(codes != [1] * len(codes))")
    assert code == 0, err
    assert [("permission denied" in line) for line in err.strip().splitlines()] == [True] * len(
        commands
    )
    assert list(shut.iterdir()) == []


def test_a_full_disk_is_called_that_and_the_ledger_is_as_it_was(job, tmp_path):
    pytest.importorskip("resource")  # Windows has no limit of this kind
    rows = [f"P{n}|,1,2026-03-02,Rig 1,TI-1,3.0,instructed,3.0,{n % 7}" for n in range(60_000)]
    head = log().splitlines()[0]
    file = write(tmp_path, "big.csv", head + "\n" + "\n".join(rows).replace("|", "") + "\n")
    before = state_of(job)
    limit = """
    import resource, signal
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (ROOM, ROOM))
    """
    words = f"'import', {str(job)!r}, {str(file)!r}, '--by', 'Bo Invented'"
    met = set()
    # First the attachment does not fit, then the rows of the ledger do not.
    for room in (file.stat().st_size // 2, file.stat().st_size + 4096):
        text = limit.replace("ROOM", str(room))
        code, _, err = outcome(text, f"sys.exit(run({words}))")
        assert code == 1, err
        met.add("is full. Nothing was written" in err)
        assert len(err.strip().splitlines()) == 1
        assert state_of(job)[:3] == before[:3]
        assert set(before[3]) <= set(state_of(job)[3])  # a file that no entry names does no harm
        assert list(job.rglob("*.part")) == []
    assert met == {True}


def test_garbage_in_a_lock_is_a_sentence_that_says_what_to_delete(job):
    (job / ".locks" / "lease").write_bytes(b"garbage " * 100)
    code, _, err = outcome(f"sys.exit(run('assess', {str(job)!r}))")
    assert code == 1
    assert ".locks cannot be used" in err
    assert "delete that folder" in err
    assert len(err.strip().splitlines()) == 1
    for lock in (job / ".locks").iterdir():
        lock.unlink()
    (job / ".locks").rmdir()
    assert services.assess(job).current_positions == 3


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a = " + "[" * 100_000, "nests tables or lists too deeply"),
        (SETTINGS.replace("rated_torque_nm = 12000", "rated_torque_nm = inf"),
         "sections.round 89.rated_torque_nm"),
        (SETTINGS.replace("max_share = 0.2", "max_share = nan"),
         "criteria.all.drop_at_end.max_share"),
    ],
)  # fmt: skip
def test_settings_without_end_are_faults_of_the_settings(job, text, words):
    (job / "project.toml").write_text(text, encoding="utf-8")
    code, _, err = outcome(f"sys.exit(run('assess', {str(job)!r}))")
    assert code == 1
    assert words in err
    assert "Traceback" not in err


def test_a_terminal_that_knows_only_ascii_gets_its_answer(job):
    plain = {"PYTHONIOENCODING": "ascii", "LANG": "C", "PYTHONUTF8": "0"}
    text = (job / "project.toml").read_text(encoding="utf-8")
    text = text.replace('name = "Area A"', 'name = "Åreal A ≥"').replace("Ada", "Ådå")
    (job / "project.toml").write_text(text, encoding="utf-8")
    note = "'--note', 'x'"
    code, out, err = outcome(
        f"run('accept', {str(job)!r}, '101', '--by', 'Ådå Invented', {note})",
        f"run('history', {str(job)!r})",
        f"sys.exit(run('assess', {str(job)!r}))",
        **plain,
    )
    assert code == 0, err
    assert r"\xc5d\xe5 Invented" in out
    assert "Traceback" not in err


def test_what_is_made_in_a_shared_folder_may_be_written_by_whoever_may_write_there(tmp_path):
    (tmp_path / "shared").mkdir()
    (tmp_path / "shared").chmod(0o2775)
    before = os.umask(0o077)
    try:
        job = small_project(tmp_path / "shared", log())
        services.new_project(tmp_path / "shared" / "other")
        write(tmp_path, "log.csv", log("102"))
        services.import_files(job, [tmp_path / "log.csv"], by="Bo Invented")
        services.backup(job, tmp_path / "shared" / "copy")
    finally:
        os.umask(before)
    made = [tmp_path / "shared" / "other", tmp_path / "shared" / "copy"]
    for path in [*made, *(inner for folder in made for inner in folder.rglob("*"))]:
        mode = stat.S_IMODE(path.stat().st_mode)
        assert mode == (0o2775 if path.is_dir() else 0o664), path
