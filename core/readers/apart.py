"""A file read in a process of its own, so that no file can take the machine or this process down.

Run as a program, this module is that process: it limits itself before it looks at a byte.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import asdict
from importlib import import_module
from pathlib import Path
from types import ModuleType

if __name__ == "__main__":
    # The packages as plain folders: to import them takes a second, most of it for data frames.
    for package, folder in (("core", 1), ("core.readers", 0)):
        sys.modules[package] = ModuleType(package)
        sys.modules[package].__path__ = [str(Path(__file__).resolve().parents[folder])]

from core.readers.book_limits import Limits, Unreadable

_NO_MEMORY = (b"memory allocation", b"capacity overflow", b"MemoryError", b"out of memory")
_KILLED, _CPU_TIME = -9, -24  # signals by which a system ends a process without memory, or time


def answer_of(program: str, content: bytes, limits: Limits) -> bytes:
    """What ``answer(content, limits)`` of the module ``core.readers.<program>`` yields.

    Raises Unreadable when that takes more memory or time than ``limits``, or ends the process.
    """
    command = [sys.executable, "-P", __file__, program, json.dumps(asdict(limits))]
    try:
        done = subprocess.run(
            command, input=content, capture_output=True, timeout=limits.seconds, check=False
        )
    except subprocess.TimeoutExpired as error:
        raise Unreadable("seconds") from error
    if done.returncode == 0:
        return done.stdout
    if done.returncode == _CPU_TIME:
        raise Unreadable("cpu_seconds")
    if done.returncode == _KILLED or any(mark in done.stderr for mark in _NO_MEMORY):
        raise Unreadable("memory_bytes")
    raise Unreadable("damaged")


def _limit(limits: Limits) -> None:
    """Limit this process's memory and time, where the system can."""
    try:
        import resource
    except ImportError:  # Windows: sizes, cells and the parent's clock are the limits there
        return
    wanted = (
        (resource.RLIMIT_AS, limits.memory_bytes),
        (resource.RLIMIT_CPU, limits.cpu_seconds),  # at the limit above it the signal is _KILLED
        (resource.RLIMIT_CORE, 0),
    )
    for kind, most in wanted:
        hard = resource.getrlimit(kind)[1]
        soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
        try:
            resource.setrlimit(kind, (soft, hard))
        except (OSError, ValueError):  # macOS knows the first by name only
            continue


def _main(program: str, limits: Limits) -> None:
    _limit(limits)
    lines: Iterable[bytes] = import_module(f"core.readers.{program}").answer(
        sys.stdin.buffer.read(), limits
    )
    for line in lines:
        sys.stdout.buffer.write(line)


if __name__ == "__main__":
    _main(sys.argv[1], Limits(**json.loads(sys.argv[2])))
