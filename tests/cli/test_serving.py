"""Serving a project: on a port of its own, for this machine alone unless asked, until stopped."""

import http.client
import os
import signal
import socket
import subprocess
import sys
import time

import pytest

from core.cli import projects
from core.errors import Refused, WrongUse
from tests.services.small import small_project


@pytest.fixture
def handed_over(monkeypatch):
    """The commands that would have become this process."""
    commands = []
    monkeypatch.setattr(projects, "_replace_process", commands.append)
    return commands


def free_port():
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


def test_a_port_that_another_program_answers_on_is_refused(tmp_path, handed_over, capsys):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(Refused, match=f"Port {port} is in use .*--port {port + 1}"):
            projects.serve(tmp_path, port)
    assert handed_over == []
    assert "opens at" not in capsys.readouterr().out


def test_the_address_printed_is_the_one_that_is_answered_on(tmp_path, handed_over, capsys):
    port = free_port()
    projects.serve(tmp_path, port)
    printed = capsys.readouterr()
    assert f"http://127.0.0.1:{port}" in printed.out
    assert printed.err == ""
    (command,) = handed_over
    at = command.index("--server.address")
    assert command[at + 1] == "127.0.0.1"
    assert command[command.index("--server.port") + 1] == str(port)


def test_an_address_beyond_this_machine_is_warned_of(tmp_path, handed_over, capsys):
    projects.serve(tmp_path, free_port(), "0.0.0.0")
    assert "write to it; there is no password" in capsys.readouterr().err
    assert len(handed_over) == 1


def test_an_address_of_another_machine_is_refused(tmp_path, handed_over):
    with pytest.raises(WrongUse):
        projects.serve(tmp_path, free_port(), "192.0.2.7")  # RFC 5737: for documentation alone
    assert handed_over == []


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGTERM to catch")
def test_a_terminated_command_leaves_no_server_behind(tmp_path):
    job, port = small_project(tmp_path), free_port()
    code = f"import sys; sys.argv = ['pilewright', 'open', {str(job)!r}, '--port', '{port}']; "
    command = [sys.executable, "-c", f"{code}from core.cli import main; main()"]
    with (tmp_path / "log").open("w") as log:
        server = subprocess.Popen(command, stdout=log, stderr=log, start_new_session=True)
        try:
            wait_until(lambda: answers(port), 120)
            server.send_signal(signal.SIGTERM)
            server.wait(60)
            wait_until(lambda: not answers(port), 30)
        finally:
            try:
                os.killpg(server.pid, signal.SIGKILL)
                left = True
            except ProcessLookupError:
                left = False
    assert not left, "a process of the command was still there"


def answers(port):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request("GET", "/_stcore/health")
        return connection.getresponse().status == 200
    except OSError:
        return False
    finally:
        connection.close()


def wait_until(holds, seconds):
    ends = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < ends
        time.sleep(0.2)
