"""Documents stand while everything computes to the same; one changed byte and they do not."""

import json
import re
import shutil
import zipfile
import zlib
from datetime import date
from pathlib import Path

import pytest

from intake import __version__
from intake.cli.main import main
from intake.policy.grading_policy import load_grading_policy
from intake.runner.settings import Settings
from intake.runner.verify import verify_batches as module
from intake.runner.verify.compare_documents import Standing, compare
from intake.runner.verify.find_batches import find_batches
from intake.runner.verify.verify_batches import verify_batches
from intake.runner.workers.processes import processes
from tests.changed import replace
from tests.simple_workbook import BATCH, CRACKED, FLAT, GOOD, write_workbook

SETTINGS = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))


@pytest.fixture(scope="module")
def graded_once(tmp_path_factory) -> Path:
    root = tmp_path_factory.mktemp("graded")
    workbook = write_workbook(root / "pallet.xlsx", [GOOD, FLAT, CRACKED])
    assert 0 == main(["grade", str(workbook), "--out", str(root / "out"), "--paper", "letter", "--quiet"])
    return root


@pytest.fixture
def graded(graded_once, tmp_path) -> Path:
    return Path(shutil.copytree(graded_once, tmp_path / "copy"))


def standings(
    graded: Path, *, settings: Settings = SETTINGS, workbooks: Path | None = None
) -> dict[str, tuple[str, str]]:
    (one,) = verify_batches(find_batches(graded / "out"), settings, workbooks=workbooks)
    return {document.name: (document.standing.value, document.remark) for document in one.documents}


def change_results(graded: Path, change) -> None:
    file = graded / "out" / "T-1" / "T-1-results.json"
    document = json.loads(file.read_bytes())
    change(document)
    file.write_text(json.dumps(document), encoding="utf-8")


def test_untouched_documents_stand_whatever_paper_they_are_on(graded):
    assert {"stands"} == {standing for standing, _ in standings(graded).values()}


def test_every_document_is_looked_at(graded):
    names = {entry.name for entry in (graded / "out" / "T-1").iterdir()}

    assert names == set(standings(graded))


@pytest.mark.parametrize("share", [0.0001, 0.1, 0.5, 0.9, 0.98, 0.9999])
def test_a_single_changed_byte_is_found_and_named_in_any_document(graded, share):
    for name in sorted(standings(graded)):
        file = graded / "out" / "T-1" / name
        whole = file.read_bytes()
        place = int(len(whole) * share)
        file.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])

        fallen = {other for other, (standing, _) in standings(graded).items() if standing == "differs"}

        file.write_bytes(whole)
        assert name in fallen
        assert fallen == {name} or name.endswith(".json")


def test_a_missing_document_no_longer_stands(graded):
    (graded / "out" / "T-1" / "T-1-manifest.pdf").unlink()

    assert ("differs", "the file is missing") == standings(graded)["T-1-manifest.pdf"]


def test_a_foreign_file_is_named_and_is_no_difference(graded):
    (graded / "out" / "T-1" / "photo.jpg").write_bytes(b"x")

    assert "cannot be checked" == standings(graded)["photo.jpg"][0]


def test_a_changed_grade_is_named_with_its_place(graded):
    change_results(graded, lambda document: document["batteries"][1].update(grade="resale-after-charge"))

    standing, remark = standings(graded)["T-1-results.json"]
    assert "differs" == standing
    assert 'batteries/B-2/grade: "resale-after-charge" instead of "reconditionable"' in remark


def test_a_changed_workbook_fells_every_document(graded):
    write_workbook(graded / "pallet.xlsx", [GOOD, FLAT])

    found = standings(graded)
    assert {"differs"} == {standing for standing, _ in found.values()}
    assert "is not the one that was graded" in found["T-1-manifest.pdf"][1]


@pytest.fixture
def second(graded) -> Path:
    """Graded twice, the second time from a workbook of the same name in another folder."""
    (graded / "rev").mkdir()
    book = write_workbook(graded / "rev" / "pallet.xlsx", [{**GOOD, "Note": "read again"}, FLAT, CRACKED])
    again = ["--out", str(graded / "out"), "--reason", "second readings", "--quiet"]
    assert 0 == main(["grade", str(book), *again])
    return graded


def test_the_workbook_of_an_earlier_revision_is_no_difference(second, capsys):
    found = standings(second)
    assert ("stands", "by its digests and its place in the chain") == found.pop("earlier/1")
    assert {"cannot be checked"} == {standing for standing, _ in found.values()}
    remark = found["T-1-manifest.pdf"][1]
    assert remark.startswith("its workbook (pallet.xlsx) is not found; ")
    assert "is the one of revision 1; say where the later one is with --workbooks FOLDER" in remark
    assert 6 == main(["verify", str(second / "out")])
    assert "Do not rely" not in capsys.readouterr().out
    assert 0 == main(["verify", str(second / "out"), "--workbooks", str(second / "rev")])


def test_named_with_workbooks_that_of_an_earlier_revision_differs(second):
    found = standings(second, workbooks=second / "pallet.xlsx")
    assert ("differs", "not the one that was graded") == (
        found["T-1-manifest.pdf"][0],
        found["T-1-manifest.pdf"][1].partition("is ")[2],
    )


def test_a_workbook_of_no_revision_differs(second):
    write_workbook(second / "pallet.xlsx", [GOOD])
    standing, remark = standings(second)["T-1-manifest.pdf"]
    assert "differs" == standing
    assert remark.endswith("; if that one lies elsewhere, say where with --workbooks FOLDER")


def test_a_changed_document_is_found_though_the_workbook_is_an_earlier_one(second):
    file = second / "out" / "T-1" / "T-1-labels.pdf"
    file.write_bytes(file.read_bytes() + b"\n")
    assert "differs" == standings(second)["T-1-labels.pdf"][0]
    assert 5 == main(["verify", str(second / "out"), "--quiet"])


def test_without_its_workbook_nothing_can_be_checked(graded):
    (graded / "pallet.xlsx").unlink()

    assert {"cannot be checked"} == {standing for standing, _ in standings(graded).values()}


def test_without_record_and_workbook_the_record_differs_and_the_rest_can_not_be_checked(graded):
    (graded / "pallet.xlsx").unlink()
    record = graded / "out" / "T-1" / "T-1-results.json"
    record.write_bytes(record.read_bytes()[:-40])

    found = standings(graded)
    assert "damaged" in found.pop("T-1-results.json")[1]
    assert {"cannot be checked"} == {standing for standing, _ in found.values()}


def test_a_renamed_workbook_is_found(graded):
    (graded / "pallet.xlsx").rename(graded / "pallet-moved.xlsx")

    assert {"stands"} == {standing for standing, _ in standings(graded).values()}


def test_the_workbook_is_found_where_it_is_said_to_be(graded, tmp_path):
    kept = tmp_path / "kept" / "2026"
    kept.mkdir(parents=True)
    (graded / "pallet.xlsx").rename(kept / "pallet.xlsx")

    assert {"stands"} == {standing for standing, _ in standings(graded, workbooks=tmp_path / "kept").values()}


def test_another_policy_can_not_check(graded, tmp_path, capsys):
    main(["policy"])
    (tmp_path / "site.json").write_text(capsys.readouterr().out + " ", encoding="utf-8")

    assert 6 == main(["verify", str(graded / "out"), "--policy", str(tmp_path / "site.json")])
    assert "give it with --policy" in capsys.readouterr().out


@pytest.mark.parametrize(
    "change",
    [
        lambda document: document.pop("source"),
        lambda document: document.update(version=1),
        lambda document: document.update(version="0.0.9"),
        lambda document: document["source"].update(name="../secret.xlsx"),
        lambda document: document["source"].update(name="pallot.xlsx"),
        lambda document: document["source"].update(sha256="0" * 64),
        lambda document: document["policy"].update(sha256="0" * 64),
        lambda document: document["run"].update(paper="papyrus"),
    ],
)
def test_a_changed_record_is_named_alone_whatever_was_changed(graded, change):
    change_results(graded, change)

    found = standings(graded)
    assert "differs" == found.pop("T-1-results.json")[0]
    assert {"stands"} == {standing for standing, _ in found.values()}


@pytest.mark.parametrize("loss", [Path.unlink, lambda record: record.write_bytes(record.read_bytes()[:-40])])
def test_a_lost_or_broken_record_is_named_alone(graded, loss):
    loss(graded / "out" / "T-1" / "T-1-results.json")

    found = standings(graded)
    assert "differs" == found.pop("T-1-results.json")[0]
    assert {"stands"} == {standing for standing, _ in found.values()}


def test_without_record_nothing_is_said_of_documents_of_another_run(graded, tmp_path):
    (graded / "out" / "T-1" / "T-1-results.json").unlink()
    site = replace(SETTINGS, policy=replace(SETTINGS.policy, sha256="0" * 64))

    found = standings(graded, settings=site)
    assert ("differs", "the file is missing") == found.pop("T-1-results.json")
    assert {"cannot be checked"} == {standing for standing, _ in found.values()}


@pytest.fixture
def another_version(monkeypatch):
    """The same judgements, written by a later version."""
    for name in ("run_batch", "verify.verify_batches"):
        monkeypatch.setattr(f"intake.runner.{name}.__version__", "99.0")


def test_a_batch_of_another_version_is_judged_by_its_grades(graded, another_version):
    found = standings(graded)
    by = f"written by version {__version__}"
    ground = "unchanged by SHA256SUMS and SEASON-SHA256SUMS"
    judged = f"{by}; every grade and total is the same today; {ground}"
    assert ("stands", judged) == found.pop("T-1-results.json")
    assert {("stands", f"{by}; {ground}")} == set(found.values())


@pytest.mark.parametrize("loss", ["SEASON-SHA256SUMS", "T-1/SHA256SUMS"])
def test_without_its_digests_a_batch_of_another_version_can_not_be_checked_further(
    graded, another_version, loss
):
    (graded / "out" / loss).unlink()
    found = standings(graded)
    assert "stands" == found.pop("T-1-results.json")[0]
    found.pop("SHA256SUMS")
    assert {"cannot be checked"} == {standing for standing, _ in found.values()}


@pytest.mark.parametrize("name", ["manifest.pdf", "results.json", "labels.pdf"])
def test_a_changed_byte_in_a_batch_of_another_version_is_found(graded, another_version, name):
    file = graded / "out" / "T-1" / f"T-1-{name}"
    file.write_bytes(file.read_bytes() + b"\n")
    found = standings(graded)
    assert ("differs", "SHA256SUMS gives another digest of it") == found[f"T-1-{name}"]


def test_without_its_workbook_a_changed_byte_is_found_all_the_same(graded):
    (graded / "pallet.xlsx").unlink()
    file = graded / "out" / "T-1" / "T-1-labels.pdf"
    file.write_bytes(file.read_bytes() + b"\n")
    found = standings(graded)
    assert "differs" == found.pop("T-1-labels.pdf")[0]
    assert {"cannot be checked"} == {standing for standing, _ in found.values()}


def test_code_6_where_nothing_could_be_checked(graded, capsys):
    (graded / "pallet.xlsx").unlink()
    assert 6 == main(["verify", str(graded / "out")])
    assert "is not found; say where with --workbooks" in capsys.readouterr().out


def test_code_6_where_one_of_two_batches_could_not_be_checked(graded):
    other = write_workbook(graded / "other.xlsx", [GOOD], batch={**BATCH, "Batch": "T-2"})
    assert 0 == main(["grade", str(other), "--out", str(graded / "out"), "--quiet"])
    assert 0 == main(["verify", str(graded / "out")])
    other.unlink()
    assert 6 == main(["verify", str(graded / "out")])


def test_a_folder_that_can_not_be_opened_is_named_and_stops_nothing(graded, monkeypatch, capsys):
    (graded / "out" / "closed").mkdir()
    iterdir = Path.iterdir

    def refuse(self: Path):
        if self.name == "closed":
            raise PermissionError(13, "Permission denied")
        return iterdir(self)

    monkeypatch.setattr(Path, "iterdir", refuse)
    assert 6 == main(["verify", str(graded / "out")])
    printed = capsys.readouterr().out
    assert "closed cannot be checked: the folder cannot be opened: permission denied" in printed
    assert "T-1-manifest.pdf stands" in printed


def test_another_grade_in_a_batch_of_another_version_is_found(graded, another_version):
    change_results(graded, lambda document: document["batteries"][1].update(grade="resale-after-charge"))

    standing, remark = standings(graded)["T-1-results.json"]
    assert "differs" == standing
    assert remark.endswith("judged otherwise today: B-2 (row 3)")


def test_a_battery_too_many_in_a_batch_of_another_version_is_found(graded, another_version):
    change_results(graded, lambda document: document["batteries"].append({"tag": "B-9", "row": 9}))

    standing, remark = standings(graded)["T-1-results.json"]
    assert "differs" == standing
    assert remark.endswith("judged otherwise today: B-9 (row 9)")


def test_a_workbook_that_is_rejected_today_fells_its_batch(graded_once, tmp_path):
    root = Path(shutil.copytree(graded_once, tmp_path / "copy"))
    write_workbook(root / "pallet.xlsx", [GOOD], batch={**BATCH, "Jurisdiction": "?"})

    assert "differs" in {standing for standing, _ in standings(root).values()}


def test_the_day_on_which_it_is_checked_changes_nothing(graded):
    before = replace(SETTINGS, today=date(2001, 1, 1))

    assert {"stands"} == {standing for standing, _ in standings(graded, settings=before).values()}


def test_the_command_gives_code_5_when_one_no_longer_stands(graded, capsys):
    assert 0 == main(["verify", str(graded / "out")])
    change_results(graded, lambda document: document["totals"].update(mass_estimated_kg=1.5))

    assert 5 == main(["verify", str(graded / "out"), "--quiet"])
    assert "totals/mass_estimated_kg" in capsys.readouterr().out


def test_one_graded_folder_can_be_named_itself(graded):
    assert 0 == main(["verify", str(graded / "out" / "T-1"), "--quiet"])


def test_a_folder_without_graded_batches_is_wrong_usage(tmp_path, capsys):
    assert 2 == main(["verify", str(tmp_path)])
    assert "holds no graded batch" in capsys.readouterr().err


def test_several_batches_are_told_apart(graded, capsys):
    other = write_workbook(graded / "other.xlsx", [GOOD], batch={**BATCH, "Batch": "T-2"})
    assert 0 == main(["grade", str(other), "--out", str(graded / "out"), "--quiet"])
    (graded / "out" / "T-2" / "T-2-manifest.pdf").write_bytes(b"%PDF-")

    assert 5 == main(["verify", str(graded / "out"), "--quiet"])
    printed = capsys.readouterr().out
    assert "T-2-manifest.pdf differs" in printed
    assert "T-1-manifest" not in printed


def repacked(document: bytes, change=lambda content: content) -> bytes:
    """Pack every stream of a PDF as another library might, perhaps with another content."""
    again, places, at, packed = b"", {}, 0, 0
    head = rb"<<(?:(?!endobj).)*?/FlateDecode(?:(?!endobj).)*?/Length "
    pattern = rb"(\d+) 0 obj\n(%s)(\d+)(.*?>>\nstream\n)|(\d+) 0 obj\n" % head
    while found := re.compile(pattern, re.DOTALL).search(document, at):
        again += document[at : found.start()]
        places[int(found[1] or found[5])] = len(again)
        at = found.end()
        if not found[1]:
            again += found[0]
            continue
        stream = zlib.compress(change(zlib.decompress(document[at : at + int(found[3])])), 1)
        again += b"%s 0 obj\n%s%d%s%s" % (found[1], found[2], len(stream), found[4], stream)
        at += int(found[3])
        packed += 1
    table = document.index(b"xref\n0", at)
    again += document[at:table]
    numbers = iter(sorted(places))
    rest = re.sub(rb"\d{10} 00000 n", lambda _: b"%010d 00000 n" % places[next(numbers)], document[table:])
    assert packed == document.count(b"/FlateDecode") > 1
    return again + re.sub(rb"startxref\n\d+", b"startxref\n%d" % len(again), rest)


class TestPackedDifferently:
    """Another compression library packs the same content into other bytes."""

    def test_a_workbook_packed_differently_stands_and_says_so(self, graded, tmp_path):
        written = graded / "out" / "T-1" / "T-1-results.xlsx"
        again = tmp_path / "T-1-results.xlsx"
        with zipfile.ZipFile(written) as old, zipfile.ZipFile(again, "w") as new:
            for member in old.infolist():
                new.writestr(member, old.read(member), compress_type=zipfile.ZIP_DEFLATED, compresslevel=1)

        found = compare(again, written)
        assert Standing.STANDS is found.standing
        assert "packed differently" in found.remark

    @pytest.mark.parametrize("name", ["manifest", "disposal", "resale", "labels"])
    def test_a_document_packed_differently_stands_and_a_changed_byte_in_it_is_found(
        self, graded, tmp_path, name
    ):
        written = graded / "out" / "T-1" / f"T-1-{name}.pdf"
        again = tmp_path / written.name
        again.write_bytes(repacked(written.read_bytes()))

        found = compare(again, written)
        assert (Standing.STANDS, True) == (found.standing, "packed differently" in found.remark)

        again.write_bytes(repacked(written.read_bytes(), lambda content: content[:-1] + b" "))
        assert Standing.DIFFERS is compare(again, written).standing

    def test_a_changed_byte_is_found_in_the_stream_that_holds_it(self, graded, tmp_path):
        written = graded / "out" / "T-1" / "T-1-manifest.pdf"
        again = tmp_path / written.name
        content = bytearray(written.read_bytes())
        place = content.index(b"stream\n") + 40
        content[place] ^= 1
        again.write_bytes(content)

        assert "object 4 of" in compare(again, written).remark


def test_many_batches_are_verified_on_two_processes_as_on_one(tmp_path):
    kept = tmp_path / "kept"
    kept.mkdir()
    for name in ("a", "b", "c"):
        write_workbook(kept / f"{name}.xlsx", [GOOD], batch={**BATCH, "Batch": name})
    assert 0 == main(["grade", str(kept), "--out", str(tmp_path / "out"), "--quiet"])
    labels = tmp_path / "out" / "b" / "b-labels.pdf"
    labels.write_bytes(labels.read_bytes() + b" ")

    one, two = (
        list(verify_batches(find_batches(tmp_path / "out"), SETTINGS, workbooks=kept, at=processes(jobs)))
        for jobs in (1, 2)
    )
    assert one == two
    assert [True, False, True] == [batch.stands for batch in one]


def test_a_workbook_named_by_itself_is_taken_whatever_it_is_called_now(graded):
    kept = (graded / "pallet.xlsx").rename(graded / "renamed.xlsx")
    assert {"stands"} == {standing for standing, _ in standings(graded, workbooks=kept).values()}


@pytest.mark.parametrize(
    ("fault", "says"),
    [(OSError(28, "No space left on device"), "no space left"), (KeyError("x"), "itself failed")],
)
def test_what_goes_wrong_with_one_batch_stops_no_other(graded, monkeypatch, capsys, fault, says):
    other = write_workbook(graded / "other.xlsx", [GOOD], batch={**BATCH, "Batch": "T-2"})
    assert 0 == main(["grade", str(other), "--out", str(graded / "out"), "--quiet"])
    grade = module.grade_batch

    def failing(read, batch, settings):
        if batch.batch == "T-1":
            raise fault
        return grade(read, batch, settings)

    monkeypatch.setattr(module, "grade_batch", failing)
    assert 6 == main(["verify", str(graded / "out")])
    printed = capsys.readouterr().out
    assert says in printed
    assert "T-2-manifest.pdf stands" in printed
