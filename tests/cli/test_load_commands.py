"""What leaves the yard, from the command line: listed, written, never twice, found again by its tag."""

import json
from pathlib import Path

import openpyxl
import pytest

from intake.cli.main import main
from intake.policy.waste_streams import stream_titles
from intake.runner.loads.graded_stock import read_stock
from intake.runner.loads.read_loads import written_loads
from tests.cli.loads import fill_in, tags_in
from tests.report.read_pdf import flat, texts
from tests.simple_workbook import GOOD, write_workbook

EXAMPLES = Path(__file__).parents[2] / "example_batches"


@pytest.fixture(scope="module")
def yard(tmp_path_factory):
    """Return a folder with two graded batches."""
    folder = tmp_path_factory.mktemp("yard")
    books = [str(EXAMPLES / name / f"{name}.xlsx") for name in ("storm_damaged_16", "powersports_20")]
    assert main(["grade", *books, "--out", str(folder), "--quiet"]) in (0, 1)
    return folder


@pytest.fixture
def listed(yard, tmp_path):
    """Return a load workbook that lists what may leave."""
    path = tmp_path / "load.xlsx"
    assert 0 == main(["load", "new", str(yard), "--out", str(path)])
    return path


def graded(yard):
    return [
        (document["batch"]["batch"], one)
        for path in sorted(yard.glob("*/*-results.json"))
        for document in [json.loads(path.read_text(encoding="utf-8"))]
        for one in document["batteries"]
    ]


def write(path, out, *options):
    return main(["load", "write", str(path), "--out", str(out), *options])


def test_every_battery_to_recycle_and_every_unidentified_one_is_offered(yard, listed):
    wanted = [
        one["tag"]
        for _, one in graded(yard)
        if one["grade"] == "recycle"
        or (one["grade"] == "unresolved" and one["chemistry"] in ("other", "unknown"))
    ]
    assert sorted(wanted) == sorted(tags_in(listed))


def test_a_sale_offers_what_is_graded_for_resale(yard, tmp_path):
    path = tmp_path / "sale.xlsx"
    assert 0 == main(["load", "new", str(yard), "--out", str(path), "--kind", "sale"])
    assert sorted(tags_in(path)) == sorted(
        one["tag"] for _, one in graded(yard) if one["grade"] == "resale-after-charge"
    )


def test_streams_can_be_chosen(yard, tmp_path):
    path = tmp_path / "wet.xlsx"
    assert 0 == main(["load", "new", str(yard), "--out", str(path), "--streams", "lead-acid-damaged"])
    assert tags_in(path) == [one["tag"] for _, one in graded(yard) if one["stream"] == "lead-acid-damaged"]


def test_a_note_of_damage_leaves_with_the_battery_as_its_handling(yard, listed, tmp_path):
    """SD-11 gets warm at one end while charging, as its note says; its case was called sound."""
    ((_, recorded),) = [pair for pair in graded(yard) if pair[1]["tag"] == "SD-11"]
    assert "intact" == recorded["handling"]
    filled = fill_in(listed, tmp_path / "filled.xlsx", tags=["SD-11"])
    book = openpyxl.load_workbook(filled)
    for row in book["Batteries"].iter_rows():
        for cell in row:
            cell.value = None if str(cell.value).startswith("Set apart") else cell.value
    book.save(filled)

    assert 0 == write(filled, tmp_path / "loads")
    document = json.loads((tmp_path / "loads" / "L-1" / "L-1-load.json").read_text(encoding="utf-8"))
    assert ["suspect"] == [one["handling"] for one in document["batteries"]]
    printed = " ".join(texts(tmp_path / "loads" / "L-1" / "L-1-load.pdf"))
    assert "SD-11 flooded sealed suspect" in flat(printed)


def test_a_load_is_written_whole(yard, listed, tmp_path, capsys):
    filled = fill_in(listed, tmp_path / "filled.xlsx")
    assert 0 == write(filled, tmp_path / "loads")
    folder = tmp_path / "loads" / "L-1"
    assert {"L-1-load.json", "L-1-load.xlsx", "L-1-load.pdf"} <= {one.name for one in folder.iterdir()}
    document = json.loads((folder / "L-1-load.json").read_text(encoding="utf-8"))
    assert len(tags_in(listed)) == len(document["batteries"]) == document["totals"]["all"]["count"]
    net = sum(one.get("mass_kg", 0) for one in document["batteries"])
    assert document["totals"]["all"]["net_kg"] == pytest.approx(net)
    assert "documents in" in capsys.readouterr().out
    assert set(document["totals"]["by_stream"]) <= set(stream_titles())
    book = openpyxl.load_workbook(folder / "L-1-load.xlsx")
    shown = {book["Batteries"].cell(row, 4).value for row in range(2, book["Batteries"].max_row + 1)}
    sums = {book["Streams"].cell(row, 1).value for row in range(2, book["Streams"].max_row + 1)}
    assert {stream_titles()[key] for key in document["totals"]["by_stream"]} == shown == sums
    assert "$L$" in book["Batteries"].print_area
    assert "Note" == book["Batteries"]["L1"].value


@pytest.mark.parametrize(("paper", "number"), [("a4", 9), ("letter", 1)])
def test_a_load_workbook_is_for_the_paper_chosen(yard, tmp_path, paper, number):
    target = tmp_path / "new.xlsx"
    assert 0 == main(["load", "new", str(yard), "--out", str(target), "--paper", paper])
    assert {number} == {int(one.page_setup.paperSize) for one in openpyxl.load_workbook(target).worksheets}


def test_the_same_workbook_gives_the_same_bytes(listed, tmp_path):
    filled = fill_in(listed, tmp_path / "filled.xlsx")
    for out in ("one", "two"):
        assert 0 == write(filled, tmp_path / out)
    for one in sorted((tmp_path / "one" / "L-1").iterdir()):
        assert one.read_bytes() == (tmp_path / "two" / "L-1" / one.name).read_bytes()


def test_what_left_is_not_offered_again_and_cannot_leave_twice(yard, listed, tmp_path, capsys):
    loads = tmp_path / "loads"
    first, *others = tags_in(listed)
    assert 0 == write(fill_in(listed, tmp_path / "one.xlsx", tags=[first]), loads)
    again = fill_in(listed, tmp_path / "two.xlsx", tags=[first], head={"Load": "L-2"})
    capsys.readouterr()
    assert 3 == write(again, loads)
    assert "left already, in load L-1" in capsys.readouterr().out
    assert not (loads / "L-2").exists()
    assert 0 == main(["load", "new", str(yard), str(loads), "--out", str(tmp_path / "rest.xlsx")])
    assert others == tags_in(tmp_path / "rest.xlsx")


def test_a_load_is_written_again_with_its_receipt(listed, tmp_path):
    loads = tmp_path / "loads"
    assert 0 == write(fill_in(listed, tmp_path / "one.xlsx"), loads)
    received = fill_in(listed, tmp_path / "two.xlsx", **{"Received on": "2026-06-12", "Weight (kg)": 300})
    assert 4 == write(received, loads)
    assert 0 == write(received, loads, "--overwrite")
    document = json.loads((loads / "L-1" / "L-1-load.json").read_text(encoding="utf-8"))
    assert {"received_on": "2026-06-12", "weight_kg": 300} == document["receipt"]


def test_a_load_that_cannot_be_read_stops_the_next_one(listed, tmp_path, capsys):
    loads = tmp_path / "loads"
    (loads / "L-0").mkdir(parents=True)
    (loads / "L-0" / "L-0-load.json").write_text("{", encoding="utf-8")
    assert 3 == write(fill_in(listed, tmp_path / "one.xlsx"), loads)
    assert "what has left already is not known" in capsys.readouterr().out


def test_a_marked_copy_shows_what_rejects(listed, tmp_path):
    filled = fill_in(listed, tmp_path / "one.xlsx", head={"Prepared by": None})
    assert 3 == write(filled, tmp_path / "loads", "--marked", str(tmp_path / "marked"))
    assert [".xlsx"] == [one.suffix for one in (tmp_path / "marked").iterdir()]


@pytest.mark.parametrize("rejected", [True, False])
def test_a_marked_copy_that_cannot_be_written_is_code_4(listed, tmp_path, capsys, rejected):
    """The load itself is written all the same where nothing rejects it, as `check` goes on."""
    filled = fill_in(listed, tmp_path / "l.xlsx", head={"Prepared by": None} if rejected else None)
    (tmp_path / "marked").write_text("a file where the folder should be")
    assert 4 == write(filled, tmp_path / "loads", "--marked", str(tmp_path / "marked"))
    assert "l.xlsx could not be written" in capsys.readouterr().err
    assert rejected is not (tmp_path / "loads" / "L-1" / "L-1-load.pdf").exists()


def test_a_marked_copy_that_is_there_already_is_kept_and_code_4(listed, tmp_path, capsys):
    filled = fill_in(listed, tmp_path / "l.xlsx")
    assert 0 == write(filled, tmp_path / "loads", "--marked", str(tmp_path / "marked"))
    assert 4 == write(filled, tmp_path / "more", "--marked", str(tmp_path / "marked"))
    assert "Add --overwrite" in capsys.readouterr().err
    assert 0 == write(filled, tmp_path / "yet", "--marked", str(tmp_path / "marked"), "--overwrite")


def test_an_intake_workbook_is_no_load(tmp_path, capsys):
    book = EXAMPLES / "powersports_20" / "powersports_20.xlsx"
    assert 3 == write(book, tmp_path / "loads")
    assert 'The sheet "Load" is missing.' in capsys.readouterr().out


@pytest.mark.parametrize(
    ("name", "code"), [("load.txt", 2), ("missing/load.xlsx", 4)], ids=["another kind of file", "no folder"]
)
def test_a_load_workbook_goes_where_it_can(yard, tmp_path, name, code):
    assert code == main(["load", "new", str(yard), "--out", str(tmp_path / name)])


def test_a_load_workbook_is_never_written_over(yard, listed):
    before = listed.read_bytes()
    assert 4 == main(["load", "new", str(yard), "--out", str(listed)])
    assert before == listed.read_bytes()


@pytest.mark.parametrize("command", [["load", "new"], ["custody", "B-1"]])
def test_a_folder_that_is_not_there_is_named(tmp_path, command, capsys):
    where = str(tmp_path / "nowhere")
    options = ["--out", str(tmp_path / "load.xlsx")] if command[0] == "load" else []
    assert 2 == main([*command, where, *options])
    assert "is no folder" in capsys.readouterr().err


def test_a_folder_without_a_graded_batch_is_named(tmp_path, capsys):
    assert 2 == main(["load", "new", str(tmp_path), "--out", str(tmp_path / "load.xlsx")])
    assert "No graded batch" in capsys.readouterr().err


def test_custody_tells_the_way_of_one_battery_in_order(yard, listed, tmp_path, capsys):
    tag = tags_in(listed)[0]
    loads = tmp_path / "loads"
    receipt = {"Received on": "2026-06-12", "Received by": "Gate 1"}
    assert 0 == write(fill_in(listed, tmp_path / "one.xlsx", **receipt), loads)
    capsys.readouterr()
    assert 0 == main(["custody", tag.lower(), str(yard), str(loads), "--json"])
    events = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert ["received", "read", "graded", "left", "received by the consignee"] == [
        one["what"] for one in events
    ]
    assert sorted(one["day"] for one in events) == [one["day"] for one in events]
    assert "Gate 1" in events[-1]["text"]


def test_custody_of_an_unknown_tag_says_so(yard, capsys):
    assert 2 == main(["custody", "nobody", str(yard)])
    assert "No battery with the tag nobody" in capsys.readouterr().err


def test_the_register_closes_over_results_and_loads(yard, listed, tmp_path, capsys):
    loads = tmp_path / "loads"
    assert 0 == write(fill_in(listed, tmp_path / "one.xlsx"), loads)
    capsys.readouterr()
    period = ["--from", "2026-01-01", "--to", "2026-12-31", "--out", str(tmp_path / "reg")]
    assert 0 == main(["summarise", str(yard), "--loads", str(loads), *period])
    (path,) = (tmp_path / "reg").glob("*/register.json")
    account = json.loads(path.read_text(encoding="utf-8"))["account"]
    whole = account["whole"]
    gone = len(tags_in(listed))
    assert (36, gone, 36 - gone, 0) == tuple(
        whole[part]["count"] for part in ("came_in", "shipped", "on_hand", "difference")
    )
    assert 0 == whole["difference"]["mass_kg"]
    assert 36 - gone == len(account["on_hand"])
    assert "difference 0" in capsys.readouterr().out
    keys = set(stream_titles()) - {"unidentified"}
    told = flat(" ".join(texts(path.with_suffix(".pdf"))))
    assert [] == [key for key in keys if key in told]
    for sheet in openpyxl.load_workbook(path.with_suffix(".xlsx")).worksheets:
        cells = {str(cell) for row in sheet.iter_rows(values_only=True) for cell in row}
        assert not cells & keys, sheet.title


@pytest.mark.parametrize(
    ("currency", "taken"), [("EUR", "EUR"), ("eur", "EUR"), ("Euro", None), ("=1+", None)]
)
def test_a_load_that_was_written_can_be_read_again_whatever_its_currency(listed, tmp_path, currency, taken):
    filled = fill_in(listed, tmp_path / "filled.xlsx", head={"Currency": currency})

    assert 0 == write(filled, tmp_path / "loads")

    read, left_out = written_loads([tmp_path / "loads"], recursive=False)
    assert [] == left_out
    assert [taken] == [one.document["load"].get("currency") for one in read]


def test_a_recall_goes_with_the_battery_into_the_load(tmp_path):
    rows = [
        {**GOOD, "Under recall": "yes"},
        {**GOOD, "Tag": "B-2", "Under recall": "yes", "Note": "smells burnt"},
        {**GOOD, "Tag": "B-3", "Under recall": "no"},
    ]
    path = write_workbook(tmp_path / "recalled.xlsx", rows)
    assert 0 == main(["grade", str(path), "--out", str(tmp_path / "yard"), "--quiet"])
    (results,) = (tmp_path / "yard").glob("*/*-results.json")

    recalled, doubtful, sound = (one.note for one in read_stock(results).batteries)
    assert "Under recall: follow the recall notice." == recalled
    assert doubtful.startswith("Under recall: follow the recall notice. Set apart, look again first: ")
    assert sound is None


def test_a_note_and_what_was_seen_on_the_case_go_with_the_battery_into_the_load(tmp_path):
    rows = [
        {**GOOD, "Chemistry": "AGM", "Non-spillable mark": "yes", "Case plastic": "PP"},
        {**GOOD, "Tag": "B-2", "Case": "leaking", "Note": "acid leaks out of the corner"},
        {**GOOD, "Tag": "B-3", "Note": "smells burnt " * 60},
    ]
    path = write_workbook(tmp_path / "noted.xlsx", rows)
    assert 0 == main(["grade", str(path), "--out", str(tmp_path / "yard"), "--quiet"])
    (results,) = (tmp_path / "yard").glob("*/*-results.json")

    marked, leaking, told = read_stock(results).batteries
    assert (True, "PP", None) == (marked.non_spillable_mark, marked.case_plastic, marked.note)
    assert (False, "unknown") == (leaking.non_spillable_mark, leaking.case_plastic)
    assert "acid leaks out of the corner" == leaking.note
    assert told.note is not None
    assert told.note.startswith("Set apart, look again first: ")
    assert told.note.endswith(" …")
    assert 480 < len(told.note) <= 500


def test_a_remark_stands_beside_another_on_the_sheet(tmp_path):
    rows = [{**GOOD, "Case": "leaking", "Note": "acid leaks out of the corner", "Rated capacity (Ah)": 60}]
    path = write_workbook(tmp_path / "noted.xlsx", rows)
    assert 0 == main(["grade", str(path), "--out", str(tmp_path / "yard"), "--quiet"])
    listed = tmp_path / "load.xlsx"
    assert 0 == main(["load", "new", str(tmp_path / "yard"), "--out", str(listed)])
    assert 0 == write(fill_in(listed, tmp_path / "filled.xlsx"), tmp_path / "loads")
    told = " ".join(" ".join(texts(tmp_path / "loads" / "L-1" / "L-1-load.pdf")).split())
    assert "mass estimated; acid leaks out of the corner" in told
