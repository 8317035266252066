"""A job whose every name and text means something to a page: links, pictures, formulas, icons."""

from __future__ import annotations

import json
import re
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from core import services
from tests.services import grout_job, small, whole_job
from tests.services.steel_job import COMPONENTS, HEATS, MILL_CERTIFICATES, PIECES, PLACED
from tests.services.test_certificate_files import pdf

LOG_HEAD = "Event at depth,Remarks"


@contextmanager
def listening():
    """A server that answers everything; yields its place and the list of requests."""
    asked: list[str] = []

    class Answer(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_response(200)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Answer) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"127.0.0.1:{server.server_port}", asked
        server.shutdown()


class Words:
    """Names and texts of the job, each with every sign that might make a browser call ``host``."""

    def __init__(self, host: str) -> None:
        self.signs = (
            f"![x](http://{host}/leak.png) <img src=http://{host}/tag.png> "
            f"[click](http://{host}/link) $\\href{{http://{host}}}{{x}}$ :material/home: :red[x] "
            f"<a href=http://{host}/a>y</a> %{{x}}"
        )

    def __call__(self, name: str) -> str:
        return f"{name} {self.signs}"

    def into(self, text: str, *names: str) -> str:
        """``text`` of a CSV with the cells ``names`` made hostile."""
        for name in names:
            cell = re.escape(name)
            text = re.sub(rf"(?m)(?<![^,\n]){cell}(?=,|$)", lambda _, n=name: self(n), text)
        return text


def file_name(name: str) -> str:
    """A hostile name that a file can have."""
    return f"{name} ![x](leak.png) <img src=leak.png> [y](leak) $x^2$ :red[x] %{{x}}.csv"


def settings(words: Words) -> str:
    """Settings of the whole job, every name in them hostile."""
    text = whole_job.settings()
    for name in ("Invented footbridge", "Ada Invented", "Bo Invented", "Area A", "round 89 mm",
                 "lead section", "invented data sheet 1", "round 89", "invented"):  # fmt: skip
        text = text.replace(f'"{name}"', json.dumps(words(name)))
    for name in ("areas.A", "types.T1"):
        table, key = name.split(".")
        text = text.replace(f"[{name}]", f"[{table}.{json.dumps(words(key))}]")
    return re.sub(
        r'clause = "([\d.]+)"', lambda found: f"clause = {json.dumps(words(found[1]))}", text
    )


def files(words: Words) -> dict[str, str]:
    """The files of the whole job, every text in them hostile."""
    log = whole_job.run_log()
    second = grout_job.run_log("102").splitlines()
    second = "\n".join(
        [
            f"{second[0]},{LOG_HEAD}",
            *(f"{row},{words('seen')},{words('noted')}" for row in second[1:]),
        ]
    )
    supplied = [
        f"{line},{'Supplier' if n == 0 else 'Supplier S'}"
        for n, line in enumerate(COMPONENTS.splitlines())
    ]
    texts = {
        "schedule": whole_job.LEVELS, "instruments": small.INSTRUMENTS,
        "calibrations": small.CERTIFICATES, "log": log, "log two": second + "\n",
        "batches": grout_job.BATCHES, "placements": grout_job.placed(),
        "specimens": grout_job.SPECIMENS, "members": grout_job.MEMBERS,
        "components": "\n".join(supplied) + "\n", "pieces": PIECES, "placed": PLACED,
        "certificates": MILL_CERTIFICATES, "heats": HEATS, "surveys": whole_job.SURVEYS,
    }  # fmt: skip
    names = (
        "101", "102", "103", "A", "T1", "TI-1", "Rig 1", "C-1", "L-1", "L-2", "E-7", "DN-1",
        "LOT-1", "Mill X", "Mill Y", "7Q1803", "9K0001", "MC-5", "MC-6", "B1", "B2", "S1", "S2",
        "S3", "G1", "L-1", "Invented Lab", "Invented Surveys", "Ada Invented", "Supplier S",
        "round 89", "data sheet 3",
    )  # fmt: skip
    return {name: words.into(text, *names) for name, text in texts.items()}


def project(parent: Path, words: Words) -> Path:
    """The job in a folder: signed off, a heat called back, a certificate shown by a file."""
    folder = parent / "project"
    services.new_project(folder)
    (folder / "project.toml").write_text(settings(words), encoding="utf-8")
    held = [(file_name(name), text.encode()) for name, text in files(words).items()]
    report = services.import_contents(folder, held, by=words("Bo Invented"))
    assert not report.refused, [
        services.problem_sentence(row) for row in report.problems.to_dict("records")
    ]
    services.accept(folder, [words("101")], words("Ada Invented"), words("sees all"))
    services.put_in_quarantine(folder, words("9K0001"), words("Bo Invented"), words("called back"))
    services.attach_certificate(
        folder,
        words("MC-5"),
        file_name("MC-5").replace(".csv", ".pdf"),
        pdf(),
        words("Bo Invented"),
    )
    return folder
