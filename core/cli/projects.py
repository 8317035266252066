"""Commands that make and open projects: demo, new, open."""

from __future__ import annotations

import errno
import importlib.util
import os
import shlex
import socket
import subprocess
import sys
from ipaddress import ip_address
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import Progress

from core import services
from core.cli.shared import Folder, one_line, progress_text
from core.errors import NoProject, Refused, WrongUse
from core.settings import PROJECT_FILE, load_project

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_project"
Port = Annotated[int, typer.Option("--port", help="Port of the dashboard on this machine.")]
MOST_LINES = 30
LOOPBACK = "127.0.0.1"
Address = Annotated[
    str,
    typer.Option(
        "--address",
        help="Address to answer on; 0.0.0.0 accepts connections from the whole network.",
    ),
]


def add_commands(app: typer.Typer) -> None:
    """Add the project commands to ``app``."""
    app.command()(demo)
    app.command()(new)
    app.command(name="open")(open_)


def demo(
    folder: Annotated[
        Path, typer.Option("--folder", help="Where the sample is built.", metavar="DIR")
    ] = ROOT / ".demo",
    port: Port = 8501,
    load_only: Annotated[
        bool, typer.Option("--load-only", help="Build the sample project and do not serve it.")
    ] = False,
) -> None:
    """Build the invented sample project from its raw files, then serve it."""
    if not (folder / PROJECT_FILE).exists():
        with Progress(console=Console(stderr=True), transient=True) as bar:
            task = bar.add_task("reading the sample", total=None)
            report = services.build_sample(
                SAMPLE, folder, lambda step: bar.update(task, description=progress_text(step))
            )
        print(f"Built the sample project (an invented job) in {folder}.")
        _print_skipped(report, folder)
    else:
        print(f"Using the project that is already in {folder}.")
    if not load_only:
        serve(folder, port)


def _print_skipped(report: services.ImportReport, folder: Path) -> None:
    """Rows of the raw files that did not go in, each with its reason."""
    left = [services.problem_sentence(row) for row in report.problems.to_dict("records")]
    left += [services.conflict_sentence(row) for row in report.conflicts.to_dict("records")]
    if not left:
        return
    print(f"Skipped {report.rows['skipped']} rows, for {len(left)} reasons:")
    for line in left[:MOST_LINES]:
        print(f"  {one_line(line)}")
    if len(left) > MOST_LINES:
        print(f"  … and {len(left) - MOST_LINES} more")
    person = load_project(folder).tables.people[-1].name
    words = ["pilewright", "import", str(folder), str(SAMPLE / "raw"), "--by", person]
    print(f"details: {shlex.join([*words, '--dry-run', '--skip-bad-rows'])}")


def new(folder: Folder) -> None:
    """Make a project folder with an empty ledger and a project.toml to fill in."""
    services.new_project(folder)
    print(f"Made {folder}. Next: fill in {folder / PROJECT_FILE}, then pilewright import {folder}")


def open_(folder: Folder, port: Port = 8501, address: Address = LOOPBACK) -> None:
    """Serve the dashboard of a project: on this machine alone, or to tablets on the network."""
    if not (folder / PROJECT_FILE).is_file():
        raise NoProject(f"{folder} holds no {PROJECT_FILE}. Make one: pilewright new {folder}")
    serve(folder, port, address)


def serve(folder: Path, port: int, address: str = LOOPBACK) -> None:
    """Run the dashboard until it is stopped.

    Raises WrongUse when the program has none or the address is not this machine's, Refused when
    another program answers on the port.
    """
    spec = importlib.util.find_spec("dashboard")
    if spec is None or not spec.submodule_search_locations:
        raise WrongUse("The dashboard is not installed beside this program.")
    app = Path(spec.submodule_search_locations[0]) / "asgi.py"
    _refuse_busy_port(address, port)
    command = [sys.executable, "-m", "streamlit", "run", str(app)]
    command += ["--server.port", str(port), "--server.address", address]
    command += ["--", str(folder.resolve())]
    shown = f"[{address}]" if ":" in address else address
    print(f"The dashboard opens at http://{shown}:{port} (stop it with Ctrl+C).")
    if not _is_loopback(address):
        print(
            "Caution: whoever reaches this machine over the network can open this project and "
            "write to it; there is no password. Stop it when it is no longer needed.",
            file=sys.stderr,
        )
    _replace_process(command)


def _refuse_busy_port(address: str, port: int) -> None:
    """Another program on the port would show its pages under the address that is printed."""
    try:
        places = socket.getaddrinfo(address, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise WrongUse(f"{address} is no address of this machine.") from error
    for family, kind, protocol, _, place in places:
        with socket.socket(family, kind, protocol) as tried:
            if os.name == "posix":  # where it means: not held by a connection that is closing
                tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                tried.bind(place)
            except OSError as error:
                if error.errno != errno.EADDRINUSE:
                    raise WrongUse(f"Cannot answer on {address}, port {port}: {error}.") from error
                raise Refused(
                    f"Port {port} is in use by another program, perhaps with another project. "
                    f"Choose another one, such as --port {port + 1}."
                ) from error


def _is_loopback(address: str) -> bool:
    try:
        return ip_address(address).is_loopback
    except ValueError:
        return address == "localhost"


def _replace_process(command: list[str]) -> None:
    """Become ``command``, so that what stops this program stops the dashboard."""
    sys.stdout.flush()
    if os.name == "nt":  # there, exec returns to the shell at once
        raise typer.Exit(subprocess.run(command, check=False).returncode)
    os.execv(command[0], command)
