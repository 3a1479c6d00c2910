"""A record, policy or rule file that was made to hurt: plain sentences, whichever command reads it."""

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from intake.cli.main import main
from intake.runner.watch.ledger import Ledger
from tests.cli.loads import fill_in
from tests.simple_workbook import CRACKED, GOOD, write_workbook

ROOT = Path(__file__).resolve().parents[2]
DEEP, DIGITS = b"[" * 100_000, b"9" * 1_000_000


def inside(value: bytes) -> Callable[[bytes], bytes]:
    """Return a change that puts a value into the first place of a document."""
    return lambda whole: b'{"one": ' + value + b", " + whole[1:]


KINDS: dict[str, Callable[[bytes], bytes]] = {
    "nested deep": lambda whole: DEEP,
    "nested deep inside": inside(DEEP + b"]" * 100_000),
    "objects nested deep": lambda whole: b'{"a":' * 100_000 + b"1" + b"}" * 100_000,
    "NaN": inside(b"NaN"),
    "infinity": inside(b"-Infinity"),
    "1e999": inside(b"1e999"),
    "a million digits": inside(DIGITS),
    "a million digits behind the point": inside(b"0." + DIGITS),
    "a key twice": lambda whole: b'{"schema": 1, ' + whole[1:],
    "half of a pair": inside(b'"\\ud800"'),
    "a list": lambda whole: b"[]",
    "a number": lambda whole: b"7",
    "a text": lambda whole: b'"results"',
    "null": lambda whole: b"null",
    "an empty object": lambda whole: b"{}",
    "every value a list": lambda whole: json.dumps({key: [[]] for key in json.loads(whole)}).encode(),
    "every value a number": lambda whole: json.dumps(dict.fromkeys(json.loads(whole), 7)).encode(),
    "every value null": lambda whole: json.dumps(dict.fromkeys(json.loads(whole))).encode(),
    "another encoding": lambda whole: whole.decode().encode("utf-16"),
    "cut off": lambda whole: whole[: len(whole) // 2],
    "empty": lambda whole: b"",
}
NO_FILES: dict[str, Callable[[Path], object]] = {
    "a pipe": os.mkfifo,
    "a folder": Path.mkdir,
    "an endless device": lambda path: path.symlink_to("/dev/zero"),
    "a link to itself": lambda path: path.symlink_to(path),
    "a link to nowhere": lambda path: path.symlink_to(path.with_name("nowhere")),
}


@pytest.fixture(scope="module")
def yard_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with documents of each kind, a policy and rule data."""
    root = tmp_path_factory.mktemp("yard")
    book = write_workbook(root / "T-1.xlsx", [GOOD, CRACKED])
    assert 0 == main(["grade", str(book), "--out", str(root / "out"), "--quiet"])
    assert 0 == main(["load", "new", str(root / "out"), "--out", str(root / "listed.xlsx")])
    load = fill_in(root / "listed.xlsx", root / "load.xlsx")
    assert 0 == main(["load", "write", str(load), "--out", str(root / "out")])
    period = ["--from", "2026-06-01", "--to", "2026-06-30"]
    assert 0 == main(["summarise", str(root / "out"), *period, "--quiet"])
    shutil.copy(ROOT / "templates" / "grading-policy.json", root / "policy.json")
    (root / "rules").mkdir()
    shutil.copy(ROOT / "templates" / "jurisdictions" / "eu.json", root / "rules")
    return root


@pytest.fixture
def yard(yard_once: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(yard_once, tmp_path / "yard"))


RESULTS, LOAD = "out/T-1/T-1-results.json", "out/L-1/L-1-load.json"
REGISTER = "out/register-2026-06-01-to-2026-06-30/register.json"
PERIOD = "--from 2026-06-01 --to 2026-06-30 --out new"
READERS: dict[str, tuple[str, str, tuple[int, ...]]] = {
    "verify a record": (RESULTS, "verify out --workbooks .", (5,)),
    "grade where a record stands": (RESULTS, "grade T-1.xlsx --out out", (4,)),
    "summarise a record": (RESULTS, f"summarise out {PERIOD}", (3,)),
    "custody over a record": (RESULTS, "custody B-1 out", (2,)),
    "a load over a record": (RESULTS, "load new out --out l.xlsx", (2,)),
    "verify a load": (LOAD, "verify out --workbooks .", (5,)),
    "summarise a load": (LOAD, f"summarise out {PERIOD}", (3,)),
    "custody over a load": (LOAD, "custody B-3 out", (3,)),
    "verify a register": (REGISTER, "verify out --workbooks .", (5,)),
    "policy --check": ("policy.json", "policy --check policy.json", (3,)),
    "grade --policy": ("policy.json", "grade T-1.xlsx --out new --policy policy.json", (2,)),
    "verify --policy": ("policy.json", "verify out --policy policy.json", (2,)),
    "grade --rules": ("rules/eu.json", "grade T-1.xlsx --out new --rules rules", (2,)),
    "summarise --rules": ("rules/eu.json", f"summarise out {PERIOD} --rules rules", (2,)),
}


def told_by(
    yard: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, reader: str
) -> str:
    _, command, codes = READERS[reader]
    monkeypatch.chdir(yard)
    capsys.readouterr()
    code = main(command.split())
    told = capsys.readouterr()
    text = told.out + told.err
    assert code in codes, text[:2000]
    assert "defect" not in text, text[:2000]
    assert "itself failed" not in text, text[:2000]
    assert all(len(line) < 1000 for line in text.splitlines()), text[:2000]
    return text


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("reader", READERS)
def test_each_reader_refuses_each_kind_in_words(
    yard: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, reader: str, kind: str
) -> None:
    path = yard / READERS[reader][0]
    path.write_bytes(KINDS[kind](path.read_bytes()))
    assert path.name in told_by(yard, capsys, monkeypatch, reader)


@pytest.mark.parametrize("kind", NO_FILES)
@pytest.mark.parametrize("reader", READERS)
def test_no_reader_waits_for_what_is_no_file(
    yard: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, reader: str, kind: str
) -> None:
    path = yard / READERS[reader][0]
    path.unlink()
    NO_FILES[kind](path)
    assert path.name.split("-results")[0] in told_by(yard, capsys, monkeypatch, reader)


@pytest.mark.parametrize("kind", KINDS)
def test_the_record_of_a_watch_is_read_as_far_as_it_makes_sense(tmp_path: Path, kind: str) -> None:
    good = b'{"sha256": "ab", "batch": "T-1", "origin": "t-1", "ours": false}'
    (tmp_path / ".intake-watch.jsonl").write_bytes(KINDS[kind](good) + b"\n" + good + b"\n")
    assert Ledger(tmp_path).knows("ab") or kind in ("another encoding", "cut off")
