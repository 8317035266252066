"""Who waits for whom, across threads and processes, and what a killed writer leaves behind."""

from __future__ import annotations

import multiprocessing
import os
import signal
import time
from concurrent.futures import ThreadPoolExecutor

import duckdb
import pytest

from core.errors import StoreBusy
from core.ledger import Ledger, NewEntry, verify
from tests.ledger.invented import runs, take, toes

APART = multiprocessing.get_context("spawn")


def hold(folder, how: str, ready, done) -> None:
    with getattr(Ledger(folder), how)():
        ready.set()
        done.wait(30)


def write_and_hang(folder, ready) -> None:
    with Ledger(folder).write() as writer:
        writer.append(NewEntry("Ann", "file", "runs.csv"), {"run": runs(("P1", 1), ("P2", 2))})
        ready.set()
        time.sleep(60)


def write_many(folder, name: str, count: int) -> None:
    for number in range(count):
        take(Ledger(folder), "run", runs((f"{name}-{number}", number)), f"{name}.csv")


def hold_without_lock(store, ready, done) -> None:
    with duckdb.connect(str(store)):
        ready.set()
        done.wait(30)


class Elsewhere:
    """Something that another process does until told to stop."""

    def __init__(self, target, *given) -> None:
        self.ready, self.done = APART.Event(), APART.Event()
        self.process = APART.Process(target=target, args=(*given, self.ready, self.done))

    def __enter__(self) -> Elsewhere:
        self.process.start()
        assert self.ready.wait(30)
        return self

    def __exit__(self, *_) -> None:
        self.done.set()
        self.process.join(30)


def test_writer_waits_for_a_reader_only_as_long_as_told(ledger):
    with (
        Elsewhere(hold, ledger.folder, "read"),
        pytest.raises(StoreBusy, match=r"busy for 0\.2 s.*Nothing was written"),
        ledger.write(timeout_s=0.2),
    ):
        pass


def test_reader_waits_for_a_writer_only_as_long_as_told(ledger):
    with (
        Elsewhere(hold, ledger.folder, "write"),
        pytest.raises(StoreBusy),
        ledger.read(timeout_s=0.2),
    ):
        pass


def test_readers_do_not_wait_for_each_other(ledger):
    with Elsewhere(hold, ledger.folder, "read"), ledger.read(timeout_s=2) as reader:
        assert reader.last_entry() == 0


def test_writer_in_another_thread_is_waited_for(ledger):
    with ThreadPoolExecutor(1) as pool, ledger.write() as writer:
        waiting = pool.submit(toes, ledger, 1)
        time.sleep(0.1)
        assert not waiting.done()
        writer.append(NewEntry("Ann", "file", "runs.csv"), {"run": runs(("P1", 9000))})
    assert waiting.result() == {"P1": 9000}


def test_threads_read_and_write_at_once_and_nothing_is_lost(ledger):
    def write(number: int) -> None:
        take(ledger, "run", runs((f"P{number}", number)), "runs.csv")

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda n: write(n) if n % 2 else toes(ledger, 99), range(12)))
    assert toes(ledger, 99) == {f"P{number}": number for number in range(1, 12, 2)}
    assert verify(ledger.folder) == []


def test_two_processes_write_at_once_and_nothing_is_lost(ledger):
    writers = [APART.Process(target=write_many, args=(ledger.folder, n, 4)) for n in ("a", "b")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
    assert [writer.exitcode for writer in writers] == [0, 0]
    assert len(toes(ledger, 99)) == 8
    assert verify(ledger.folder) == []


def test_killed_writer_leaves_nothing_half_written(ledger):
    take(ledger, "run", runs(("P0", 0)), "first.csv")
    ready = APART.Event()
    writer = APART.Process(target=write_and_hang, args=(ledger.folder, ready))
    writer.start()
    assert ready.wait(30)
    os.kill(writer.pid, getattr(signal, "SIGKILL", signal.SIGTERM))
    writer.join(30)
    assert toes(ledger, 99) == {"P0": 0}
    assert verify(ledger.folder) == []
    take(ledger, "run", runs(("P1", 1)), "runs.csv")
    assert toes(ledger, 99) == {"P0": 0, "P1": 1}


def test_program_that_ignores_the_locks_is_named(ledger):
    with (
        Elsewhere(hold_without_lock, ledger.store) as other,
        pytest.raises(StoreBusy, match=f"process {other.process.pid}"),
        ledger.write(timeout_s=0.2),
    ):
        pass


def test_no_connection_stays_open_after_a_lease(ledger):
    take(ledger, "run", runs(("P1", 9000)), "runs.csv")
    toes(ledger, 1)
    assert not ledger.store.with_name(ledger.store.name + ".wal").exists()
    with duckdb.connect(str(ledger.store), config={"threads": 1}) as con:  # another configuration
        assert con.execute("select count(*) from run").fetchall() == [(1,)]
