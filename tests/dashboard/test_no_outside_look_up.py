"""The server of the pages asks nobody but this machine: no look-up, no connection."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import urllib.request
from ipaddress import ip_address
from urllib.parse import urlparse

import pytest

from dashboard.asgi import NOBODY
from tests.dashboard.browsing import serving
from tests.services.small import log, small_project

# Loaded by Python before the server: notes whom any part of it looks up, connects or sends to.
RECORDER = """
import json, os, sys
LOOKED_UP = ("socket.getaddrinfo", "socket.gethostbyname", "socket.gethostbyaddr")
SENT_TO = ("socket.connect", "socket.sendto", "socket.sendmsg")
def note(event, name):
    with open(os.environ["PW_RECORD"], "a") as lines:
        lines.write(json.dumps([event, name]) + chr(10))
def record(event, args):
    if event in LOOKED_UP or event in SENT_TO:
        to = args[0] if event in LOOKED_UP else args[1]
        name = to[0] if isinstance(to, tuple) else to
        note(event, name.decode() if isinstance(name, bytes) else name)
note(" ".join(sys.orig_argv), None)
sys.addaudithook(record)
"""
HANDSHAKE = (
    "GET /_stcore/stream HTTP/1.1\r\nHost: {host}\r\nOrigin: {origin}\r\n"
    "Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
    "Sec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n"
)


@pytest.fixture
def recorded(tmp_path, monkeypatch):
    """Where servers that start from now on record whom they ask; says whom, when called."""
    folder, lines = tmp_path / "recorder", tmp_path / "asked.txt"
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(RECORDER)
    lines.touch()
    before = os.environ.get("PYTHONPATH")
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(filter(None, (str(folder), before))))
    monkeypatch.setenv("PW_RECORD", str(lines))
    return lambda: [json.loads(line) for line in lines.read_text().splitlines()]


def outside(asked):
    """Requests to anything but this machine."""
    return [one for one in asked if not _is_here(one[1])]


def _is_here(name) -> bool:
    if name in (None, "", "localhost"):
        return True
    try:
        return ip_address(name).is_loopback
    except ValueError:
        return str(name).startswith("/")  # a socket in a folder


def knock(root: str, origin: str = "http://pages.example.invalid") -> str:
    """First line of the answer to a page of ``origin`` that wants a websocket."""
    place = urlparse(root)
    with socket.create_connection((place.hostname, place.port), timeout=20) as line:
        line.sendall(HANDSHAKE.format(host=place.netloc, origin=origin).encode())
        return line.recv(200).decode("latin-1").splitlines()[0]


def test_nothing_but_this_machine_is_asked_at_start_or_in_use(tmp_path, recorded):
    folder = small_project(tmp_path, log())
    with serving(folder, tmp_path / "server.log") as root:
        for path in ("/", "/pile?piles=101", "/_stcore/host-config"):
            with urllib.request.urlopen(root + path, timeout=20) as answer:
                assert answer.status == 200
        assert " 403 " in knock(root)
        assert " 101 " in knock(root, root)
    asked = recorded()
    assert any("asgi.py" in event for event, _ in asked)
    assert outside(asked) == []


def test_served_to_the_network_it_asks_nobody_either(tmp_path, recorded):
    folder = small_project(tmp_path)
    with serving(folder, tmp_path / "server.log", "0.0.0.0") as root:
        assert " 403 " in knock(root)
    # A way is chosen, and nothing sent, towards an address that nobody has.
    assert {tuple(one) for one in outside(recorded())} <= {("socket.connect", NOBODY[0])}


def test_the_recorder_sees_a_connection(recorded):
    code = "import socket\nsocket.socket(type=socket.SOCK_DGRAM).connect_ex(('198.51.100.1', 9))"
    subprocess.run([sys.executable, "-W", "ignore", "-c", code], check=True)
    assert outside(recorded()) == [["socket.connect", "198.51.100.1"]]
