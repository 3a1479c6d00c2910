"""Any cell and any archive: a value, a finding or a refusal; never an error of our own, never a lost cell.

The short runs are the same every time. The long run takes new examples for as many seconds as the variable
``INTAKE_FUZZ_SECONDS`` says, 60 if it is not set, from the seed ``INTAKE_FUZZ_SEED`` or a new one; a failure
prints the seed that repeats it.
"""

import os
import random
import socket
import struct
import time
from datetime import date
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import pytest
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from intake.policy.grading_policy import load_grading_policy
from intake.runner.run_batch import ReadBatch, grade_batch, read_batch
from intake.runner.settings import Settings
from intake.runner.write_documents import write_documents
from intake.workbook.marked.write import MarkedCopyRefused, write_marked_copy
from tests.hostile.workbooks import batteries_xml, filled, letters
from tests.simple_workbook import GOOD
from tests.workbook.archives import pack, parts, row_xml, save, sheet_xml, text_cell

POLICY = load_grading_policy()
SETTINGS = Settings(policy=POLICY, today=date(2026, 11, 25), overwrite=True)
SECONDS = float(os.environ.get("INTAKE_FUZZ_SECONDS", "60"))
SEED = int(os.environ.get("INTAKE_FUZZ_SEED") or random.SystemRandom().randrange(10**9))

XML_TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]) | st.sampled_from("\t\n\r"), max_size=40
)
NUMBERS = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False).map(repr),
    st.integers(-(10**25), 10**25).map(str),
    st.sampled_from(["1e999", "-1e999", "-0.0", "1e-320", "0.1e1", "46341", "60", "-1", "NaN", "1_0", "١"]),
)
BOOLEANS, ERRORS = st.sampled_from(["0", "1", "2", ""]), st.sampled_from(["#N/A", "#DIV/0!", "#NEW!", ""])
FORMULAS = st.sampled_from(["", "<f>1+1</f>", "<f/>", '<f t="shared" si="0"/>'])
STYLES = st.sampled_from(["", ' s="1"', ' s="2"', ' s="3"'])
FORMATS = ("yyyy-mm-dd", "[h]:mm", "0.0&quot; Ah&quot;")


@st.composite
def cell_bodies(draw: st.DrawFn) -> tuple[str, str]:
    """Attributes and inside of a cell."""
    kind = draw(st.sampled_from(["n", "str", "b", "e", "s", "d", "inlineStr"]))
    style = draw(STYLES)
    if kind == "inlineStr":
        runs = draw(st.lists(XML_TEXT, max_size=3))
        return f'{style} t="inlineStr"', f"<is>{''.join(f'<r><t>{escape(one)}</t></r>' for one in runs)}</is>"
    by_kind = {
        "n": NUMBERS,
        "str": XML_TEXT,
        "b": BOOLEANS,
        "e": ERRORS,
        "s": st.sampled_from(["0", "1", "9", "-1", ""]),
        "d": st.sampled_from(["2026-11-20", "2026-11-20T10:00:00", "soon", ""]),
    }
    value = escape(draw(by_kind[kind]))
    return f"{style} t={quoteattr(kind)}", f"{draw(FORMULAS)}<v>{value}</v>"


def workbook_of(cells: list[tuple[str, str]]) -> bytes:
    """Return a workbook with one battery whose cells are these, from the second column on."""
    headers = ["Tag", *list(GOOD)[1:], "Mass (kg)", "Made", "Note"]
    head = "".join(text_cell(f"{letters(n)}1", header) for n, header in enumerate(headers))
    body = "".join(
        f'<c r="{letters(n)}2"{attributes}>{inside}</c>'
        for n, (attributes, inside) in enumerate(cells[: len(headers)])
    )
    content = parts(
        {
            "Batch": str(filled()["xl/worksheets/sheet1.xml"]),
            "Batteries": sheet_xml(row_xml(1, head) + row_xml(2, body) + row_xml(3, text_cell("A3", "B-9"))),
        },
        strings="<si><t>flooded</t></si><si><t>sound</t></si>",
        number_formats=FORMATS,
    )
    return pack(content)


def through_everything(path: Path, folder: Path) -> None:
    """Read, check, mark and grade a file; only the refusals that are meant may come out of it."""
    read = read_batch(path, SETTINGS)
    assert all(one.message and one.hint for one in read.findings)
    assert read.batch is not None or any(one.rejects for one in read.findings)
    if read.source_sha256:
        assert "" == marking(path, folder / "marked" / path.name, read)
    if read.batch is not None:
        out = folder / "documents"
        out.mkdir(exist_ok=True)
        write_documents(grade_batch(read, read.batch, SETTINGS), out, policy=POLICY)


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "socket", None)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


CELLS = st.lists(cell_bodies(), min_size=1, max_size=9)
HEALTH = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture, HealthCheck.data_too_large]


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=HEALTH, database=None)
@given(cells=CELLS)
def test_any_cells_come_through_everything(cells: list[tuple[str, str]], folder: Path) -> None:
    through_everything(save(folder, workbook_of(cells)), folder)


def mutated(chance: random.Random, whole: dict[str, str | bytes]) -> bytes:
    """Return an archive broken in one of the ways that files break or are made to."""
    content = {name: text.encode() if isinstance(text, str) else text for name, text in whole.items()}
    way = chance.randrange(5)
    if way == 0:
        return _bits_turned(chance, pack(content))
    name = chance.choice(list(content))
    if way == 1:
        content[name] = _bits_turned(chance, content[name])
    elif way == 2:
        content[name] = _pieces_moved(chance, content[name])
    elif way == 3:
        content[name] = content[chance.choice(list(content))]
    else:
        del content[name]
    return pack(content)


def _bits_turned(chance: random.Random, content: bytes) -> bytes:
    turned = bytearray(content)
    for _ in range(chance.choice((1, 1, 3, 20))):
        place = chance.randrange(len(turned))
        turned[place] = chance.choice((turned[place] ^ 1 << chance.randrange(8), chance.randrange(256)))
    if chance.random() < 0.1:
        struct.pack_into("<L", turned, chance.randrange(max(1, len(turned) - 4)), chance.getrandbits(32))
    return bytes(turned)


def _pieces_moved(chance: random.Random, content: bytes) -> bytes:
    """Cut, double or exchange tags and attributes, so that what comes out often is still XML."""
    pieces = content.replace(b"><", b">\x00<").replace(b'" ', b'"\x00 ').split(b"\x00")
    for _ in range(chance.choice((1, 2, 5))):
        first, second = chance.randrange(len(pieces)), chance.randrange(len(pieces))
        way = chance.randrange(3)
        if way == 0:
            pieces[first] = b""
        elif way == 1:
            pieces[first] += pieces[second]
        else:
            pieces[first], pieces[second] = pieces[second], pieces[first]
    return b"".join(pieces)


def sources() -> list[dict[str, str | bytes]]:
    odd = [{**GOOD, "Note": "a < b"}, {**GOOD, "Tag": "B-2", "Rest voltage (V)": "12,4"}]
    with_more = filled(
        odd,
        before='<dimension ref="A1:G3"/><cols><col min="1" max="2" width="9"/></cols>',
        after='<autoFilter ref="A1:G3"/><mergeCells count="1"><mergeCell ref="A9:B9"/></mergeCells>',
    )
    strings = parts(
        {
            "Batch": str(filled()["xl/worksheets/sheet1.xml"]),
            "Batteries": sheet_xml(batteries_xml([GOOD])),
        },
        strings="<si><t>one</t></si><si><r><t>two</t></r></si>",
        number_formats=FORMATS,
    )
    return [filled(), with_more, strings]


def break_and_read(number: int, folder: Path) -> bool:
    """Break one archive; return whether it was read all the same."""
    chance = random.Random(number)
    path = save(folder, mutated(chance, chance.choice(sources())))
    read = read_batch(path, SETTINGS)
    if read.source_sha256:
        refusal = marking(path, folder / "m" / "b.xlsx", read)
        assert refusal.endswith(".") or not refusal, number
    if read.batch is not None:
        grade_batch(read, read.batch, SETTINGS)
    return bool(read.source_sha256)


def marking(path: Path, target: Path, read: ReadBatch) -> str:
    """Mark a workbook and check the copy; return the sentence that says why none can be made."""
    try:
        write_marked_copy(path, target, read.findings, sha256=read.source_sha256, overwrite=True)
    except MarkedCopyRefused as refusal:
        return str(refusal)
    again = read_batch(target, SETTINGS)
    assert told(read) == told(again)
    return ""


def told(read: ReadBatch) -> list[tuple[str, str]]:
    return [(one.place, one.message) for one in read.findings]


@pytest.mark.parametrize("block", range(4))
def test_any_broken_archive_is_read_or_refused(block: int, folder: Path) -> None:
    survived = sum(break_and_read(number, folder) for number in range(block * 150, block * 150 + 150))
    assert 5 < survived < 145


@pytest.mark.long
def test_new_broken_archives_and_new_cells_for_as_long_as_asked(folder: Path) -> None:
    ends, archives, read, cells = time.monotonic() + SECONDS, 0, 0, 0
    while time.monotonic() < ends:
        for _ in range(200):
            archives += 1
            try:
                read += break_and_read(SEED + archives, folder)
            except Exception as fault:
                raise AssertionError(f"break_and_read({SEED + archives}) fails: {fault!r}") from fault
        cells += _new_cells(SEED + archives, folder)
    print(f"seed {SEED}: {archives} broken archives, {read} of them read; {cells} workbooks of any cells")


def _new_cells(first: int, folder: Path) -> int:
    tried = 0

    @seed(first)
    @settings(max_examples=100, deadline=None, suppress_health_check=HEALTH, database=None)
    @given(cells=CELLS)
    def any_cells(cells: list[tuple[str, str]]) -> None:
        nonlocal tried
        tried += 1
        through_everything(save(folder, workbook_of(cells)), folder)

    any_cells()
    return tried


def test_the_fuzz_reaches_beyond_the_guard(folder: Path) -> None:
    """A fuzz whose every file is refused at the door tests the door only."""
    read = 0
    for number in range(100):
        chance = random.Random(number)
        path = save(folder, mutated(chance, chance.choice(sources())))
        read += read_batch(path, SETTINGS).batch is not None
    assert 10 < read
