"""Seconds to read the cells of a log without quotation marks, with one, with all cells in them."""

from __future__ import annotations

import argparse
import time

from core.readers import csv_text
from core.readers.problems import Problems
from core.readers.recognise import recognised

HEADINGS = ["Pile", "Run", "Rig", "Instrument", "Toe depth (m)", "Depth (m)", "Torque (kN·m)"]


def logs(rows: int) -> dict[str, bytes]:
    """The same log written in several ways."""
    cells = [
        [f"P{at // 60}", "1", "rig 1", "dial 3", "18.3", f"{at % 60 * 0.3:.1f}", f"{at % 977 / 50}"]
        for at in range(rows)
    ]
    plain = [",".join(HEADINGS), *(",".join(row) for row in cells)]
    quoted = [",".join(f'"{cell}"' for cell in row) for row in (HEADINGS, *cells)]
    one = [*plain[:9], plain[9].replace("rig 1", '"rig 1"'), *plain[10:]]
    inches = [line.replace("dial 3", '6" dial') for line in plain]
    breaks = [*plain[:9], plain[9].replace("rig 1", '"rig\n1"'), *plain[10:]]
    ways = {"no mark": plain, "one mark": one, "all cells": quoted, "6 inches": inches}
    ways["one line break"] = breaks
    return {way: "\n".join(lines).encode() for way, lines in ways.items()}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=300_000)
    parser.add_argument("--times", type=int, default=3)
    asked = parser.parse_args()
    for way, content in logs(asked.rows).items():
        seconds = []
        for _ in range(asked.times):
            start = time.process_time()
            found = csv_text.read(content, recognised, Problems("log.csv"))
            seconds.append(time.process_time() - start)
        assert found is not None
        print(f"{way:16}{min(seconds):6.2f} s of the processor, {len(found.grid.row_no):,} lines")


if __name__ == "__main__":
    main()
