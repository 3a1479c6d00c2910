"""The manifest as a file: read back with other libraries."""

import json
from dataclasses import replace
from datetime import date

import jsonschema
import pytest
from pypdf import PdfReader

from intake.model.battery import Chemistry
from intake.model.paper import Paper
from intake.policy.resources import resource_text
from intake.report.json.results import results_parts
from intake.report.manifest.write import write_manifest
from tests.report.builders import (
    CYRILLIC,
    GREEK,
    LIMITS,
    LONG_NOTE,
    LONG_TAG,
    MARKUP,
    battery,
    held,
    many_batteries,
    mixed_batteries,
    mixed_result,
    result_of,
)
from tests.report.priced import priced_result
from tests.report.read_pdf import flat, fonts, outside, overlapping, texts, words_by_page

BOTH = pytest.mark.parametrize("paper", list(Paper))
ONE = (battery(1, rest_voltage_v=12.7),)


def manifest(folder, result, *, paper=Paper.A4, limits=LIMITS):
    path, results_json = folder / "m.pdf", folder / f"{result.batch.batch}-results.json"
    results_json.write_bytes(b"".join(results_parts(result)))
    write_manifest(result, path, paper=paper, results_json=results_json, plot_limits=limits)
    return path


@pytest.fixture(scope="module")
def mixed(tmp_path_factory):
    return {
        paper: manifest(tmp_path_factory.mktemp(paper.value), mixed_result(), paper=paper) for paper in Paper
    }


@BOTH
def test_every_page_has_its_furniture(mixed, paper):
    pages = texts(mixed[paper])
    for number, text in enumerate(pages, start=1):
        assert flat(text).startswith(f"Batch 2026-W47-P03 Graded manifest page {number} of {len(pages)} ")
        assert "workbook 0123456789ab · policy fedcba987654, bench default" in flat(text)
        assert flat(text).endswith("· intake 9.9.9")


@BOTH
def test_no_word_leaves_the_page_and_none_lies_on_another(mixed, paper):
    for size, words in words_by_page(mixed[paper]):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


@BOTH
@pytest.mark.parametrize(
    "batch",
    [
        {
            "batch": "W" * 40,
            "site": GREEK * 6,
            "consignee": CYRILLIC * 3,
            "note": LONG_NOTE,
            "meter_accuracy_percent": None,
            "meter_accuracy_volts": None,
            "calibration_due": date(2026, 10, 1),
        },
        {"received_from": None, "consignee": None, "ship_date": None, "meter": None, "note": None},
    ],
    ids=["long", "bare"],
)
def test_long_and_missing_batch_fields_fit(tmp_path, paper, batch):
    path = manifest(tmp_path, result_of(mixed_batteries()[:3], batch=batch), paper=paper)

    for size, words in words_by_page(path):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


def test_a_policy_with_a_long_name_fits_at_the_foot(tmp_path):
    result = replace(result_of(ONE), policy_name="A policy of many words " * 6)
    for size, words in words_by_page(manifest(tmp_path, result)):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


def test_paper_sizes_are_those_of_the_sheets(mixed):
    a4, letter = (PdfReader(mixed[paper]).pages[0].mediabox for paper in (Paper.A4, Paper.LETTER))

    assert (595.28, 841.89) == pytest.approx((a4.width, a4.height), abs=0.01)
    assert (612, 792) == pytest.approx((letter.width, letter.height), abs=0.01)


def test_fonts_are_embedded_and_subset(mixed):
    found = fonts(mixed[Paper.A4])

    assert found
    for name in found:
        assert name.endswith(" embedded")
        assert name[6] == "+"


def test_the_file_describes_itself(mixed):
    reader = PdfReader(mixed[Paper.A4])
    described = reader.metadata

    assert "Graded manifest, batch 2026-W47-P03" == described.title
    assert "48 used 12 V batteries by grade" == described.subject
    assert "intake" == described.author
    assert "intake 9.9.9" == described.creator
    assert date(2026, 11, 20) == described.creation_date.date()
    assert "en" == reader.trailer["/Root"]["/Lang"]


def test_bookmarks_lead_to_every_section(mixed):
    reader = PdfReader(mixed[Paper.A4])
    titles = [entry.title for entry in reader.outline if not isinstance(entry, list)]

    assert [
        "What this pallet is",
        "Resale after charge (23)",
        "Reconditionable (12)",
        "Recycle (7)",
        "Unresolved (6)",
        "What a grade can not show",
        "Before this pallet is moved or loaded",
        "Handling",
        "Findings of the check (3)",
        "Cautions",
        "Sign-off",
    ] == titles
    entries = [entry for entry in reader.outline if not isinstance(entry, list)]
    pages = [reader.get_destination_page_number(entry) for entry in entries]
    assert [0, 1] == pages[:2]
    for entry, page in zip(entries[1:], pages[1:], strict=True):
        assert entry.title.split(" (")[0] in reader.pages[page].extract_text()


def test_the_attachment_reads_back_whole_and_valid(mixed):
    attached = PdfReader(mixed[Paper.A4]).attachments

    assert ["2026-W47-P03-results.json"] == list(attached)
    content = attached["2026-W47-P03-results.json"][0]
    assert b"".join(results_parts(mixed_result())) == content
    schema = json.loads(resource_text("schemas", "results.schema.json"))
    jsonschema.Draft202012Validator(schema).validate(json.loads(content))


def test_the_same_result_gives_the_same_bytes(tmp_path):
    first = manifest(tmp_path, mixed_result()).read_bytes()

    assert first == manifest(tmp_path, mixed_result()).read_bytes()


def test_grades_come_in_order_and_their_batteries_in_workbook_order(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])[1:]))
    heads = ("Resale after charge 23", "Reconditionable 12", "Recycle 7", "Unresolved 6")
    places = [text.index(head) for head in heads]

    assert sorted(places) == places
    for tags in (("B-001", LONG_TAG, "B-012", "B-023"), ("B-007", "B-008", "B-009", "B-015")):
        found = [text.index(f"{tag} position") for tag in tags]
        assert sorted(found) == found


def test_every_battery_is_listed_once(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))

    for one in mixed_batteries():
        assert 1 == text.count(f" {one.tag} position ")


def test_an_entry_says_all_of_one_battery(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))
    start = text.index("B-013 position")
    entry = text[start : text.index("B-014 position")]

    for words in (
        "position B2 · AGM · 60 Ah rated · made: not given · 17.0 kg",
        "case sound · terminals sound · evidence: hold under 12 h",
        "rest 12.2 24 20",
        "hold 13.318 0.5 21",
        "hold 13.283 1 21",
        "100 to 100 %",
        "= 1.000.",
        "Next: Charge it; a reading at twelve hours or later would make a long hold of it.",
    ):
        assert words in entry


def test_a_limit_from_memory_is_told_beside_the_battery_it_decides(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))
    decided = text[text.index("B-015 position") : text.index("B-019 position")]
    opened = text[text.index("B-012 position") : text.index("B-013 position")]

    assert "Limit from memory: Drop beyond the settling" in decided
    assert "from memory" not in opened


def test_a_battery_that_is_worth_less_reconditioned_than_as_scrap_says_so_and_no_other_does(tmp_path):
    text = flat(" ".join(texts(manifest(tmp_path, priced_result()))))
    told = "Value: Not worth reconditioning: EUR 6.00 if it passes, EUR 10.00 as scrap."
    assert 1 == text.count("Value: ") == text.count(told)
    assert text.index("B-004") < text.index(told) < text.index("B-006")


def test_handling_is_told_beside_the_batteries_that_need_it(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))

    assert text[text.index("B-008 position") : text.index("B-009 position")].count("Handle as damaged") == 1
    assert text[text.index("B-010 position") : text.index("B-017 position")].count("Handle as suspect") == 1
    assert "Handle as" not in text[text.index("B-012 position") : text.index("B-013 position")]


def test_text_of_a_cell_is_text_whatever_it_looks_like(mixed):
    assert f"Marking: {MARKUP}" in flat("\n".join(texts(mixed[Paper.A4])))


def test_greek_and_cyrillic_print(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))

    assert f"Marking: {GREEK}" in text
    assert f"Marking: {CYRILLIC}" in text


def test_signs_that_can_not_be_printed_are_shown_as_boxes_and_counted_once(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))

    assert "Note: Label reads □□ and then nothing more" in text
    assert 1 == text.count("2 characters could not be printed; shown as □.")


def test_where_every_sign_prints_nothing_is_said_of_it(tmp_path):
    assert "could not be printed" not in "\n".join(texts(manifest(tmp_path, result_of(ONE))))


def test_a_long_note_is_whole(mixed):
    assert flat(LONG_NOTE) in flat("\n".join(texts(mixed[Paper.A4])))


def test_a_note_of_several_pages_is_divided_by_lines_and_whole(tmp_path):
    words = [f"word{number}" for number in range(3000)]
    path = manifest(tmp_path, result_of([battery(1, rest_voltage_v=12.7, note=" ".join(words))]))
    found = [
        word for word in "\n".join(texts(path)).split() if word.startswith("word") and word[4:].isdigit()
    ]

    assert words == found
    for size, placed in words_by_page(path):
        assert [] == outside(placed, size, margin=20)
        assert [] == overlapping(placed)


def test_empty_grades_say_so(tmp_path):
    text = "\n".join(texts(manifest(tmp_path, result_of(ONE))))

    assert 3 == text.count("No battery of this batch has this grade.")
    assert 1 == text.count("1 battery, 15.0 kg, 15.0 kg of it estimated")


def test_a_batch_without_any_voltage_says_that_there_is_nothing_to_plot(tmp_path):
    nothing = battery(1, "LFP", case="swollen", rest_voltage_v=None)

    assert "No battery has a voltage to plot." in "\n".join(texts(manifest(tmp_path, result_of([nothing]))))


def test_a_chemistry_without_limits_is_named_instead_of_plotted(mixed):
    assert "No limit is set for chemistry other: 7.90 V" in texts(mixed[Paper.A4])[0]


def test_the_first_page_says_what_the_pallet_is(mixed):
    text = flat(texts(mixed[Paper.A4])[0])

    for words in (
        "2026-W47-P03: 48 batteries, graded",
        "Site North quay intake hall",
        "Resale after charge 23 360.0 154.0",
        "Lead-acid, damaged or leaking 1 14.9 0.0",
        "All 48 700.4 413.8",
        "2 batteries have no mass and are missing from the kilograms.",
        "flooded ± 3.0",
        "reading + 0.010 V 0.07 0.32",
        "reading + 0.001 V 0.00 0.24",
        "flooded: 10 with a voltage",
        "hold 80 % 12.47",
        "below the scale: 0.32 V",
    ):
        assert words in text


def test_an_assumed_meter_and_an_overdue_calibration_are_told(tmp_path):
    batch = {
        "meter_accuracy_percent": None,
        "meter_accuracy_volts": None,
        "calibration_due": date(2026, 11, 19),
    }
    pages = texts(manifest(tmp_path, result_of(ONE, batch=batch)))

    assert "0.5 % of reading + 0.020 V (% of reading and V assumed)" in flat(pages[0])
    assert "2026-11-19, overdue at Received" in flat(pages[0])
    for text in pages:
        assert "Meter calibration was due 2026-11-19: check its readings" in text


def test_a_calibration_due_on_the_day_is_not_overdue(tmp_path):
    pages = texts(manifest(tmp_path, result_of(ONE, batch={"calibration_due": date(2026, 11, 20)})))

    assert "overdue" not in "\n".join(pages)
    assert "calibration was due" not in "\n".join(pages)


def test_closing_sections_hold_limits_warnings_notes_findings_cautions_and_lines_to_sign(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))

    for words in (
        "A rest voltage is no evidence of capacity.",
        "leaves about 12.5 V at the posts",
        "from 32 to 71 %",
        "Lithium not diagnosed Here 2 LFP (B-010, B-011).",
        "Lithium iron phosphate, damaged For: 2 LFP, damaged",
        "error Batteries!C10, B-006",
        "Write the figure, like 60.",
        *mixed_result().compliance.cautions,
    ):
        assert words in text
    assert "Graded by Date Signature" in text[text.index("Sign-off") :]


def test_a_clean_workbook_is_said_to_be_one(tmp_path):
    assert "The workbook was read without a remark." in "\n".join(texts(manifest(tmp_path, result_of(ONE))))


def test_all_400_batteries_are_listed_and_nothing_overlaps(tmp_path):
    batteries = many_batteries(400)
    path = manifest(tmp_path, result_of(batteries))
    text = flat("\n".join(texts(path)))

    assert [1] * 400 == [text.count(f" {one.tag} position ") for one in batteries]
    for size, words in words_by_page(path):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


def test_a_heading_never_stands_alone_at_the_foot(tmp_path):
    """Every page on which a grade begins also holds its first battery, wherever the heading falls."""
    for count in range(4, 12):
        good = [battery(number, rest_voltage_v=12.7) for number in range(count)]
        path = manifest(tmp_path, result_of([*good, battery(50, rest_voltage_v=12.1)]))
        page = next(text for text in map(flat, texts(path)) if "Reconditionable 1 battery" in text)
        assert " B-050 position " in page


def test_a_list_that_goes_on_repeats_its_grade_and_heads(tmp_path):
    path = manifest(tmp_path, result_of([battery(number, rest_voltage_v=12.7) for number in range(30)]))
    goes_on = [
        text for text in map(flat, texts(path)) if "Resale after charge, continued Reading V h °C" in text
    ]

    assert len(goes_on) >= 2


def test_a_file_that_can_not_be_written_is_an_os_error(tmp_path):
    with pytest.raises(OSError, match="nowhere"):
        manifest(tmp_path / "nowhere", result_of(ONE))


def test_no_chemistry_is_left_out_of_the_plot(tmp_path):
    kinds = ("flooded", "flooded sealed", "EFB", "AGM", "gel", "LFP")
    batteries = [held(number, kind, (24.0, 13.4)) for number, kind in enumerate(kinds)]
    text = texts(manifest(tmp_path, result_of(batteries)))[0]

    assert {Chemistry(kind) for kind in kinds} == set(LIMITS)
    for kind in kinds:
        assert f"{kind}: 1 with a voltage" in text


def test_a_cell_that_may_be_down_is_told_in_a_sentence_and_no_rule_by_its_code(tmp_path):
    path = manifest(tmp_path, result_of([battery(1, rest_voltage_v=10.5, terminals="loose")]))
    text = flat(" ".join(texts(path)))

    assert "from 10.2 to 10.9 V one cell may be down." in text
    assert "Also: needs recovery" in text
