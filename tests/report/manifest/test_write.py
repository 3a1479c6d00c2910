"""The manifest as a file: read back with other libraries."""

import json
from datetime import date

import jsonschema
import pytest
from pypdf import PdfReader

from intake.model.battery import Chemistry
from intake.model.paper import Paper
from intake.model.revision import GRADE, Change, Revision
from intake.policy.resources import resource_text
from intake.report.json.results import results_parts
from intake.report.manifest.write import write_manifest
from tests.changed import replace
from tests.report.builders import (
    CYRILLIC,
    GREEK,
    LIMITS,
    LONG_NOTE,
    LONG_TAG,
    MARKUP,
    UNPRINTABLE,
    battery,
    held,
    many_batteries,
    mixed_batteries,
    mixed_result,
    result_of,
)
from tests.report.read_pdf import flat, fonts, outside, overlapping, smallest_size, texts, words_by_page

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
        head = (
            f"Batch 2026-W47-P03 page {number} of {len(pages)} Graded manifest, read 2026-11-20, revision 1 "
        )
        assert flat(text).startswith(head)
        assert "workbook 0123456789ab · policy fedcba987654 · rules " in flat(text)


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
    assert date(2026, 11, 27) == described.creation_date.date()
    assert "en-GB" == reader.trailer["/Root"]["/Lang"]


def test_bookmarks_lead_to_every_section(mixed):
    reader = PdfReader(mixed[Paper.A4])
    entries = [entry for entry in reader.outline if not isinstance(entry, list)]
    titles = [entry.title.split(" (")[0] for entry in entries]

    assert [
        "2026-W47-P03: 48 batteries, in the order of work",
        "What a grade cannot show",
        "The list",
        "In full",
        "Voltages",
        "Findings",
        "Handling",
        "Cautions",
        "Sources",
    ] == titles
    pages = [reader.get_destination_page_number(entry) for entry in entries]
    assert [0, 1] == [pages[0], pages[2]]
    for title, page in zip(titles, pages, strict=True):
        assert title in flat(reader.pages[page].extract_text())


def test_what_a_grade_cannot_show_names_itself_again_where_it_goes_on(mixed):
    first, second, *_ = (flat(text) for text in texts(mixed[Paper.LETTER]))
    assert "A rest voltage is no evidence" in first
    assert second.index("What a grade cannot show, continued") < second.index("The meter in use")


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


def test_where_every_sign_prints_nothing_is_said_of_it(tmp_path):
    assert "could not be printed" not in "\n".join(texts(manifest(tmp_path, result_of(ONE))))


def test_a_note_of_several_pages_is_divided_by_lines_and_whole(tmp_path):
    words = [f"word{number}" for number in range(3000)]
    path = manifest(tmp_path, result_of([battery(1, rest_voltage_v=None, note=" ".join(words))]))
    found = [
        word for word in "\n".join(texts(path)).split() if word.startswith("word") and word[4:].isdigit()
    ]

    assert words == found
    for size, placed in words_by_page(path):
        assert [] == outside(placed, size, margin=20)
        assert [] == overlapping(placed)


def test_a_batch_without_any_voltage_says_that_there_is_nothing_to_plot(tmp_path):
    nothing = battery(1, "LFP", case="swollen", rest_voltage_v=None)

    assert "No battery has a voltage to plot." in "\n".join(texts(manifest(tmp_path, result_of([nothing]))))


def test_a_calibration_due_on_the_day_is_not_overdue(tmp_path):
    pages = texts(manifest(tmp_path, result_of(ONE, batch={"calibration_due": date(2026, 11, 20)})))

    assert "overdue" not in "\n".join(pages)
    assert "calibration was due" not in "\n".join(pages)


def test_a_file_that_can_not_be_written_is_an_os_error(tmp_path):
    with pytest.raises(OSError, match="nowhere"):
        manifest(tmp_path / "nowhere", result_of(ONE))


def test_no_chemistry_is_left_out_of_the_plot(tmp_path):
    kinds = ("flooded", "flooded sealed", "EFB", "AGM", "gel", "LFP")
    batteries = [held(number, kind, (24.0, 13.4)) for number, kind in enumerate(kinds)]
    text = flat("\n".join(texts(manifest(tmp_path, result_of(batteries)))))

    assert {Chemistry(kind) for kind in kinds} == set(LIMITS)
    for kind in kinds:
        assert f"{kind}: 1 with a voltage" in text


def test_the_first_page_says_what_to_do_with_which_batteries(mixed):
    text = flat(texts(mixed[Paper.A4])[0])

    for words in (
        "2026-W47-P03: 48 batteries, in the order of work",
        "Site North quay intake hall",
        "Set apart now",
        "Mend the row Correct the cells named under Findings, then grade the workbook again.",
        "B-008 damaged: case swollen",
        "Lead-acid, wet, case whole",
        "All 48 700.4 413.8",
        "2 batteries have no mass and are missing from the kilograms.",
    ):
        assert words in text
    places = [text.index(one) for one in ("Set apart now", "Mend the row", "Charge, then hold", "Recycle")]
    assert sorted(places) == places


def test_every_battery_stands_on_the_first_page_and_in_the_list(mixed):
    first, *others = map(flat, texts(mixed[Paper.A4]))
    listed = " ".join(others)
    listed = listed[: listed.index("In full (")]

    for one in mixed_batteries():
        assert one.tag in first.replace("- ", "-").replace(". ", ".") or one.tag in first
        assert 1 == listed.replace("\u00ad", "").count(f"{one.tag} ") or one.tag == LONG_TAG


def test_unusual_batteries_are_told_in_full_with_what_decides(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))
    full = text[text.index("In full (") :]

    assert "B-008 Recycle DAMAGED LFP" in full
    assert f"Note: {UNPRINTABLE}" not in full
    assert "B-012 Resale" not in full


def test_a_next_step_is_told_whole_once_and_then_refers_to_it(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))

    assert ": as B-" in text


def test_greek_and_cyrillic_print(tmp_path):
    path = manifest(tmp_path, result_of([battery(1, case="leaking", note=GREEK + " " + CYRILLIC)]))
    text = flat("\n".join(texts(path)))

    assert GREEK in text
    assert CYRILLIC in text


def test_text_of_a_cell_is_text_whatever_it_looks_like(tmp_path):
    path = manifest(tmp_path, result_of([battery(1, case="leaking", note=MARKUP)]))

    assert MARKUP.replace(" ", "") in flat("\n".join(texts(path))).replace(" ", "")


def test_characters_that_cannot_be_printed_are_shown_as_boxes_and_counted_once(tmp_path):
    path = manifest(tmp_path, result_of([battery(1, case="leaking", note=UNPRINTABLE)]))
    text = flat("\n".join(texts(path)))

    assert "Label reads □□ and then nothing more" in text
    assert 1 == text.count("2 characters could not be printed; shown as □.")


def test_an_overdue_calibration_is_told_on_every_page(tmp_path):
    pages = texts(manifest(tmp_path, result_of(ONE, batch={"calibration_due": date(2026, 11, 19)})))

    for text in pages:
        assert "Meter calibration was due 2026-11-19: check its readings" in text


def test_the_closing_holds_limits_handling_findings_all_cautions_and_lines_to_sign(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))

    for words in (
        "A rest voltage is no evidence of capacity.",
        "leaves about 12.5 V at the posts",
        "from 32 to 71 %",
        "The meter in use: flooded ± ",
        "Lithium iron phosphate, damaged – 2 LFP, damaged",
        "mend Rated capacity (Ah): ",
        "Write the figure, like 60. C10 B-006",
        *mixed_result().compliance.cautions,
    ):
        assert words in text
    assert "Sign-off Graded by Date Signature Checked by Date Signature" in text


def test_sources_stand_once_each_at_the_end(mixed):
    text = flat("\n".join(texts(mixed[Paper.A4])))
    body, _, sources = text.partition("Sources * common practice")

    assert 1 == text.count("HSE INDG139, using electric storage batteries safely")
    assert "HSE INDG139" in sources
    assert "excerpt" not in body


def test_nothing_is_set_in_less_than_eight_points(mixed):
    assert 8 <= smallest_size(mixed[Paper.A4])


def test_400_batteries_are_listed_and_nothing_overlaps(tmp_path):
    batteries = many_batteries(400)
    path = manifest(tmp_path, result_of(batteries))
    text = flat("\n".join(texts(path)))

    assert [] == [one.tag for one in batteries if text.count(f"{one.tag} ") < 2]
    for size, words in words_by_page(path):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


def test_a_group_with_more_tags_than_a_page_holds_goes_on_over_pages(tmp_path):
    tags = [f"T{number:020d}" for number in range(400)]
    batteries = [battery(number, rest_voltage_v=12.7, tag=tag) for number, tag in enumerate(tags)]
    path = manifest(tmp_path, result_of(batteries))
    order, _, _ = "".join(texts(path)).partition("The list")

    assert [] == [tag for tag in tags if tag not in "".join(order.split())]
    for size, words in words_by_page(path):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


def test_a_list_that_goes_on_repeats_its_heads(tmp_path):
    path = manifest(tmp_path, result_of([battery(number, rest_voltage_v=12.7) for number in range(60)]))
    goes_on = [
        text for text in map(flat, texts(path)) if "The list, continued Tag, position What it is" in text
    ]

    assert len(goes_on) >= 2


def test_a_next_step_never_refers_to_a_battery_that_is_told_something_else(tmp_path):
    mend = ("x",)
    batteries = [
        battery(1, rest_voltage_v=12.7, row_errors=mend),
        battery(2, rest_voltage_v=12.7, case="leaking", row_errors=mend),
        battery(3, rest_voltage_v=12.7, row_errors=mend),
        battery(4, rest_voltage_v=12.7, case="leaking", row_errors=mend),
    ]
    text = flat("\n".join(texts(manifest(tmp_path, result_of(batteries)))))
    full = text[text.index("In full (") :]

    assert "Set apart, do not charge. Mend the cell" in full
    assert 1 == full.count("Mend the row, grade again: as B-001")
    assert 1 == full.count("Set apart, do not charge: as B-002")
    assert "Set apart, do not charge: as B-001" not in full


def test_lithium_is_never_the_example_for_lead_acid_nor_one_damage_for_another(tmp_path):
    batteries = [
        battery(1, "LFP", case="swollen", rest_voltage_v=13.3),
        battery(2, case="leaking", rest_voltage_v=12.7),
        battery(3, case="leaking", rest_voltage_v=12.6),
        battery(4, case="cracked", rest_voltage_v=12.5),
    ]
    _, _, full = flat("\n".join(texts(manifest(tmp_path, result_of(batteries))))).partition("In full (4)")

    assert "as B-001" not in full
    assert 1 == full.count("Set apart, do not charge: as B-002")


def test_a_withdrawn_grade_stands_on_the_first_page(tmp_path):
    changes = (Change("B-001", GRADE, "resale-after-charge", "recycle"),)
    revision = Revision(2, "recall notice", "Inspector 1", "0" * 64, changes)
    first = flat(texts(manifest(tmp_path, replace(result_of(ONE), revision=revision)))[0])

    assert "Lowered since revision 1: B-001 (resale-after-charge → recycle)." in first


def test_a_handling_note_says_once_that_its_batteries_are_intact(tmp_path):
    whole = flat(" ".join(texts(manifest(tmp_path, result_of((battery(1, "AGM", rest_voltage_v=12.8),))))))

    assert "AGM and gel, intact – 1 AGM " in whole
    assert "AGM and gel, intact – 1 AGM, intact" not in whole


@pytest.mark.parametrize(("count", "below"), [(20, False), (400, True)])
def test_the_list_begins_a_page_unless_the_order_of_work_has_gone_over_its_own(tmp_path, count, below):
    pages = [flat(text) for text in texts(manifest(tmp_path, result_of(many_batteries(count))))]
    (limits,) = (page for page in pages if "The meter in use: " in page)

    assert below == (" The list Tag, position " in limits)
    assert 1 == sum(" The list Tag, position " in page for page in pages)
