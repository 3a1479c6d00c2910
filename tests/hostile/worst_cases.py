"""Workbooks at the limits of ``intake/workbook/reading/limits.py``, just inside and just outside.

``python -m tests.hostile.worst_cases`` measures ``intake check`` on each and prints the table of the guide.
"""

import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

from intake.policy.dictionary import load_dictionary
from tests.external.random_batch import random_batteries, write_workbook
from tests.hostile.workbooks import batteries_xml, filled, grid_xml, letters
from tests.simple_workbook import GOOD
from tests.workbook.archives import pack, parts, row_xml, sheet_xml, text_cell

Parts = Mapping[str, str | bytes]
ROOT = Path(__file__).resolve().parents[2]
ONE = batteries_xml([GOOD])
HEADERS = [column.header for column in load_dictionary().sheets["batteries"].columns]


def book(rows: str, *, headers: list[str] | None = None, strings: str | None = None, **around: str) -> Parts:
    """Return a workbook whose Batteries sheet has these rows, below a header row if there are headers."""
    head = grid_xml([headers]) if headers else ""
    batch = str(filled()["xl/worksheets/sheet1.xml"])
    return parts({"Batch": batch, "Batteries": sheet_xml(head + rows, **around)}, strings=strings)


def rows(count: int, columns: int, cell: Callable[[str, int], str]) -> str:
    """Return rows from 2 on: a tag, and in each further column what ``cell`` makes of its name and row."""
    names = [letters(column) for column in range(1, columns)]
    return "".join(
        row_xml(n, text_cell(f"A{n}", f"B-{n}") + "".join(cell(f"{name}{n}", n) for name in names))
        for n in range(2, count + 2)
    )


def figure(ref: str, row: int) -> str:
    return f'<c r="{ref}"><v>1{row % 9}.{row}</v></c>'


def word(ref: str, row: int) -> str:
    return f'<c r="{ref}" t="inlineStr"><is><t>{ref}</t></is></c>'


def pointer(ref: str, row: int) -> str:
    return f'<c r="{ref}" t="s"><v>0</v></c>'


def merge(row: int) -> str:
    return f'<mergeCell ref="A{row}:B{row}"/>'


def styled(pieces: str) -> Parts:
    whole = dict(book(ONE))
    whole["xl/styles.xml"] = str(whole["xl/styles.xml"]).replace("<cellXfs>", f"<cellXfs>{pieces}")
    return whole


def uneven(piece: str, count: int) -> str:
    """Return a piece many times over, with enough noise between for an honest ratio."""
    chance = random.Random(1)
    return "".join(piece * 2_000 + f"<!--{chance.randbytes(100).hex()}-->" for _ in range(count // 2_000))


def random_48000() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "random.xlsx"
        write_workbook(path, random_batteries(seed=1, count=48_000), meter=(0.1, 0.01))
        return path.read_bytes()


READ: dict[str, Callable[[], Parts | bytes]] = {
    "48,000 random batteries": random_48000,
    "48,000 rows, 43 columns of figures": lambda: book(rows(48_000, 43, figure), headers=HEADERS),
    "45,000 rows, 43 columns, each cell a text of its own": lambda: book(
        rows(45_000, 43, word), headers=HEADERS
    ),
    "95,000 rows, 30 columns": lambda: book(rows(95_000, 30, figure), headers=HEADERS),
    "5,500 rows, 512 columns": lambda: book(rows(5_500, 512, figure), headers=HEADERS),
    "340,000 shared texts": lambda: book(
        ONE, strings="".join(f"<si><t>text {n}</t></si>" for n in range(340_000))
    ),
    "64,000 cell styles": lambda: styled("".join(f'<xf numFmtId="{n}"/>' for n in range(64_000))),
    "249,000 merges": lambda: book(
        ONE, after="".join(["<mergeCells>", *map(merge, range(9, 249_000)), "</mergeCells>"])
    ),
    "a million rows, formatted and empty": lambda: book(
        ONE + "".join(f'<row r="{n}" s="0" customFormat="1"/>' for n in range(3, 1_048_577))
    ),
    "a declared size of the whole sheet": lambda: filled(before='<dimension ref="A1:XFD1048576"/>'),
    "2,990 parts": lambda: {**filled(), **{f"xl/x{n}.xml": "<a/>" for n in range(2_990)}},
    "90,000 batteries of one tag": lambda: book(
        rows(90_000, 4, pointer).replace("B-", "B-1<!--").replace("</t>", "--></t>"),
        headers=list(GOOD)[:4],
        strings="<si><t>sound</t></si>",
    ),
}
"""Read or told what is wrong in them; each is under ``ANY_MB_MOST``."""

REFUSED: dict[str, Callable[[], Parts | bytes]] = {
    "33 MiB": lambda: b"PK\x03\x04" + bytes(33 * 1024 * 1024),
    "32 MiB of noise": lambda: b"PK\x03\x04" + random.Random(1).randbytes(32 * 1024 * 1024 - 4),
    "20,000 parts": lambda: pack({f"x{n}": b"" for n in range(20_000)}),
    "ratio bomb": lambda: {**filled(), "xl/theme/theme1.xml": f"<a>{' ' * 60_000_000}</a>"},
    "over 12 million tags": lambda: book(f"<!-- -->{uneven('<row/>', 12_100_000)}"),
    "over 150,000 styles": lambda: styled(uneven("<xf/>", 152_000)),
    "over 700,000 pieces of text": lambda: book(ONE, strings=uneven("<si><t>x</t></si>", 360_000)),
    "one text of a million pieces": lambda: book(ONE, strings=f"<si>{uneven('<r/>', 1_000_000)}</si>"),
    "one row of 60 MiB": lambda: book(
        ONE + row_xml(3, f"<c r='A3'><f>{random.Random(1).randbytes(15_000_000).hex()}</f><v>1</v></c>")
    ),
    "over 250,000 merges": lambda: book(ONE, after=uneven("<mergeCell ref='A1:B1'/>", 260_000)),
    "100,000 column descriptions": lambda: book(ONE, before=f"<cols>{uneven('<col/>', 100_000)}</cols>"),
    "nested 100,000 deep": lambda: book(ONE, after="<a>" * 100_000 + "</a>" * 100_000),
    "a value in the last cell": lambda: book(ONE + row_xml(1_048_576, figure("XFD1048576", 1))),
    "a value in 130,000 rows": lambda: book(
        "".join(row_xml(n, f'<c r="A{n}"><f/></c>', more=' hidden="1"') for n in range(1, 130_001))
    ),
    "one long text in 9,000 cells": lambda: book(
        rows(9_000, 2, pointer), headers=HEADERS, strings=f"<si><t>{'long ' * 6_000}</t></si>"
    ),
}
"""Refused; each is under ``REFUSED_MB_MOST``."""


def written(content: Parts | bytes, path: Path) -> Path:
    """Write one of them, packed quickly."""
    if isinstance(content, bytes):
        path.write_bytes(content)
        return path
    target = BytesIO()
    with ZipFile(target, "w", ZIP_DEFLATED, compresslevel=1) as archive:
        for name, data in content.items():
            archive.writestr(name, data)
    path.write_bytes(target.getvalue())
    return path


_WATCHED = """
import sys, time
from intake.cli.main import main
code = main()
with open("/proc/self/status") as status:
    peak = next(line.split()[1] for line in status if line.startswith("VmHWM"))
print(int(code), time.process_time(), peak, file=sys.stderr)
"""
"""The system's own figure for a child begins with what its parent held, so the child says it itself."""


def measured(path: Path) -> tuple[int, float, float]:
    """Return code, processor seconds and peak megabytes of ``intake check``."""
    command = [sys.executable, "-c", _WATCHED, "check", "--quiet", str(path)]
    done = subprocess.run(
        command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=True
    )
    code, seconds, peak_kb = done.stderr.split()
    return int(code), float(seconds), int(peak_kb) / 1024


def main() -> None:
    """Measure all of them, and how fast this machine counts, to compare with."""
    begun = time.process_time()
    for _ in range(10_000_000):
        pass
    print(f"ten million empty turns of a loop: {time.process_time() - begun:.2f} s\n")
    print("| workbook | code | processor time | peak memory |\n|---|---|---|---|")
    with tempfile.TemporaryDirectory() as folder:
        for name, content in (READ | REFUSED).items():
            code, seconds, peak_mb = measured(written(content(), Path(folder) / "worst.xlsx"))
            print(f"| {name} | {code} | {seconds:.1f} s | {peak_mb:.0f} MB |", flush=True)


if __name__ == "__main__":
    main()
