"""The disposal sheet as a file: read back with other libraries."""

import re
from datetime import date

import pytest
from pypdf import PdfReader

from intake.model.paper import Paper
from intake.model.verdict import Grade
from intake.report.disposal.glance import NOTHING
from intake.report.disposal.write import write_disposal
from tests.changed import replace
from tests.report.builders import (
    battery,
    many_batteries,
    mixed_batteries,
    mixed_result,
    result_of,
)
from tests.report.read_pdf import (
    flat,
    fonts,
    outside,
    overlapping,
    rises,
    smallest_size,
    texts,
    words_by_page,
)

BOTH = pytest.mark.parametrize("paper", list(Paper))
EVERYWHERE = pytest.mark.parametrize("jurisdiction", ["US", "EU", "UK", "other"])
EVIDENCE = "Index of evidence: what, and where it is kept"
CRACKED = {"case": "cracked", "rest_voltage_v": 0.3}


def sheet(folder, result, *, paper=Paper.A4):
    path, results_json = folder / "d.pdf", folder / "results.json"
    results_json.write_text("{}")
    write_disposal(replace(result, paper=paper), path, results_json=results_json)
    return path


def all_text(folder, result, **options):
    return flat(" ".join(texts(sheet(folder, result, **options))))


def assert_fits(path):
    for size, words in words_by_page(path):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


@pytest.fixture(scope="module")
def mixed(tmp_path_factory):
    return {
        paper: sheet(tmp_path_factory.mktemp(paper.value), mixed_result(), paper=paper) for paper in Paper
    }


@BOTH
def test_no_word_leaves_the_page_and_none_lies_on_another(mixed, paper):
    assert_fits(mixed[paper])


@EVERYWHERE
def test_every_jurisdiction_fits(tmp_path, jurisdiction):
    assert_fits(sheet(tmp_path, result_of(mixed_batteries(), batch={"jurisdiction": jurisdiction})))


def test_sections_stand_in_reading_order(mixed):
    outline = [one.title for one in PdfReader(mixed[Paper.A4]).outline if not isinstance(one, list)]

    assert [
        "2026-W47-P03: 7 batteries to recycle",
        "Before anything is loaded",
        "Waste or not: decided by the officer",
        "Entries of the forms",
        "Assessment of lithium, or what may be, that is damaged or suspect",
        "Unresolved (7)",
        "What the rules say, and of which streams",
        "To fill in, stream by stream",
        "Hazards and first measures",
        "Cautions",
        "Sources",
    ] == [one for one in outline if one != EVIDENCE]
    assert 1 == outline.count(EVIDENCE), "it stands where a page has room for it"


def test_the_first_page_holds_the_load_at_a_glance(mixed):
    first = flat(texts(mixed[Paper.A4])[0])

    for words in (
        "2026-W47-P03: 7 batteries to recycle",
        "1 Lead-acid, wet, case whole",
        "UN 2794 [WASTE] BATTERIES, WET, FILLED WITH ACID, 8, (E)",
        "Waste or not: decided by the officer",
        "waste / not waste",
    ):
        assert words in first


def test_page_one_has_code_package_mark_and_who_decides_for_each_stream(tmp_path):
    """The codes: list of waste from 9 December 2026. P908 and the mark: special provision 376."""
    batteries = [battery(1, case="leaking", mass_kg=15.0), battery(2, "LFP", case="swollen", mass_kg=6.0)]
    batch = {"jurisdiction": "EU", "ship_date": date(2026, 12, 10)}
    first = unspaced(texts(sheet(tmp_path, result_of(batteries, batch=batch)))[0])

    for words in (
        "B-001 1 15.0 UN 2794",
        "16 06 01* 20 01 42* if municipal P801, nothing leaks out",
        "16 06 07*; 20 01 43* if municipal P908 mark",
        'mark "DAMAGED/DEFECTIVE LITHIUM-ION BATTERIES"',
        "Officer: is it waste? Competent person: which criteria does each meet",
    ):
        assert unspaced(words) in first


def test_the_form_is_told_entry_by_entry_and_who_writes_it(mixed):
    text = flat(" ".join(texts(mixed[Paper.A4])))
    entries = text[text.index("Entries of the forms") : text.index("Hazards and first measures. proposed")]

    assert "(h); waste form Receiver: name Melting works, gate B known" in entries
    assert "Emergency telephone, day and night yours" in entries
    assert "On the legal form itself, never here. yours" in entries
    places = [
        entries.index(place) for place in ("(a) to (d), (k) Transport", "(e) Containers", "(h);", "Emergency")
    ]
    assert rises(places)


def test_entries_stand_in_the_order_of_the_form(tmp_path):
    text = all_text(tmp_path, result_of([battery(1, "LFP", **CRACKED)], batch={"jurisdiction": "US"}))
    entries = text[text.index("Entries of the forms") :]

    assert rises([entries.index(f"item {place} ") for place in ("1", "2", "3", "4", "9b", "13")])


def test_a_form_that_the_load_does_not_need_is_left_out(tmp_path):
    """40 CFR 266.80 and 273.52: no manifest for spent lead-acid batteries and universal waste."""
    text = all_text(tmp_path, result_of([battery(1, **CRACKED)], batch={"jurisdiction": "US"}))

    assert "log (b)(1) Receiver: name" in text
    assert "Manifest item:" not in text


@pytest.mark.parametrize(
    ("entry", "jurisdiction"),
    [
        ("Industry code of that process (SIC, NACE)", "UK"),
        ("Producer, if other than the holder: name, address", "UK"),
        ("Notification or movement document: number", "EU"),
    ],
)
def test_an_entry_that_only_some_forms_have_stands_there_only(tmp_path, entry, jurisdiction):
    def entries(key):
        return all_text(tmp_path, result_of([battery(1, **CRACKED)], batch={"jurisdiction": key}))

    assert entry in entries(jurisdiction)
    assert entry not in entries("US")


def test_who_handed_the_batch_in_is_no_process(tmp_path):
    batch = {"jurisdiction": "UK", "received_from": "Counter"}
    text = all_text(tmp_path, result_of([battery(1, **CRACKED)], batch=batch))

    assert "Handed in at the site by Counter known" in text
    assert "Process or activity that the waste came from Counter" not in text
    assert "Process or activity that the waste came from" in text


def test_a_ship_date_outside_the_rule_data_is_a_warning_on_page_one(tmp_path):
    batch = {"jurisdiction": "EU", "ship_date": date(2029, 6, 1)}
    first = flat(texts(sheet(tmp_path, result_of([battery(1, **CRACKED)], batch=batch)))[0])

    assert "gathered 2026-11-27, not reviewed for 2029-06-01" in first
    assert "Rule data do not cover this day" in first
    assert "Rules of 2029-06-01" not in first


@EVERYWHERE
def test_the_first_page_says_that_it_is_no_legal_form(tmp_path, jurisdiction):
    first = texts(sheet(tmp_path, result_of([battery(1, **CRACKED)], batch={"jurisdiction": jurisdiction})))[
        0
    ]

    assert "This is no legal form. It is not a manifest, shipping paper, consignment note" in flat(first)


@EVERYWHERE
def test_everything_that_the_rules_say_is_printed_with_its_source(tmp_path, jurisdiction):
    result = result_of(mixed_batteries(), batch={"jurisdiction": jurisdiction})
    text = unspaced(running_text(sheet(tmp_path, result)))
    compliance = result.compliance
    general = [one for one in compliance.general if one not in compliance.resale]
    statements = [*compliance.load_warnings, *general]
    for stream in compliance.streams:
        statements += [*stream.waste_codes, *stream.packing, *stream.storage, *stream.statements]
        if stream.transport_line is not None:
            assert unspaced(stream.transport_line.text or "confirm locally") in text
    for one in statements:
        assert unspaced(one.heading) in text
        assert unspaced(one.text or "Confirm locally") in text
        told = one.source.removeprefix("proposal of this tool, read from: ")
        for source in re.split(r"(?<=excerpt\)); |(?<=section\)); |(?<=list\)); ", told):
            plain = source in ("common practice", "proposal of this tool")
            assert plain or source.startswith("Batch sheet") or unspaced(source) in text


def running_text(path):
    """Return the text of all pages without their heads and feet."""
    lines = [line for page in texts(path) for line in page.strip().splitlines()[2:-1]]
    return " ".join(line for line in lines if not line.rstrip().endswith(", continued"))


def unspaced(text):
    return "".join(text.split())


def test_every_caution_is_printed(mixed):
    text = flat(" ".join(texts(mixed[Paper.A4])))
    for caution in mixed_result().compliance.cautions:
        assert caution in text


def test_every_handling_note_of_the_load_and_the_unresolved_is_printed(mixed):
    text = unspaced(running_text(mixed[Paper.A4]))
    for note in mixed_result().compliance.load_handling_notes:
        for line in note.lines if note.key != "charging-area" else ():
            assert unspaced(line.partition(" (common")[0]) in text


def test_the_cautions_stand_on_the_page_that_is_signed(mixed):
    page = next(text for text in map(flat, texts(mixed[Paper.A4])) if "Sign-off" in text)

    assert rises([page.index(part) for part in ("Cautions 1 ", " 10 ", "Sign-off", "Signature")])


def test_only_the_recycle_stream_and_the_unresolved_are_listed(mixed):
    text = flat(" ".join(texts(mixed[Paper.A4])))
    listed = text.partition("Hazards and first measures. proposed")[2].rpartition(
        "What the rules say, and of which"
    )[0]
    for one in mixed_result().graded:
        in_it = one.verdict.grade in (Grade.RECYCLE, Grade.UNRESOLVED)
        assert in_it == (f"{one.battery.tag} " in listed)


def test_the_counts_add_up_to_the_batch(mixed):
    first = flat(texts(mixed[Paper.A4])[0])

    assert (
        "Not in this load: 7 unresolved, listed apart, 23 for resale after charge, 11 reconditionable."
        in first
    )


def test_masses_say_what_was_estimated_and_what_is_missing(tmp_path):
    result = result_of([battery(1, **CRACKED, mass_kg=14.5), battery(2, **CRACKED, rated_capacity_ah=None)])
    text = all_text(tmp_path, result)

    assert "2 batteries, 14.5 kg net, 1 without a mass, heaviest 14.5 kg." in text


def test_without_a_ship_date_the_sheet_says_whose_rules_it_shows(tmp_path):
    text = all_text(tmp_path, result_of([battery(1, **CRACKED)], batch={"ship_date": None}))

    assert "Rules of 2026-11-20, received: no ship date is given" in text


def test_with_a_ship_date_its_rules_are_shown(mixed):
    assert "Rules of 2026-12-15, the ship date" in flat(texts(mixed[Paper.A4])[0])


def test_waste_or_not_is_never_filled_in(tmp_path):
    text = all_text(tmp_path, result_of([battery(1, **CRACKED)]))

    assert "1 Lead-acid, damaged or leaking waste / not waste" in text


def test_a_batch_without_recycle_batteries_says_so_and_keeps_its_cautions(tmp_path):
    result = result_of([battery(1, rest_voltage_v=12.7)])
    path = sheet(tmp_path, result)
    text = all_text(tmp_path, result)

    assert 1 == len(texts(path))
    assert "nothing to recycle" in text
    assert NOTHING in text
    assert result.compliance.cautions[0] in text
    assert "Waste or not" not in text


def test_unresolved_lithium_is_told_apart_even_where_nothing_is_recycled(tmp_path):
    text = all_text(tmp_path, result_of([battery(1, "LFP", rest_voltage_v=None, rested_h=None)]))

    assert "Unresolved (1) In no stream" in text
    assert "B-001: lithium, or may be, and not known to be intact" in text
    assert "Hazards and first measures" in text


@BOTH
def test_four_hundred_batteries_fit(tmp_path, paper):
    cracked = [replace(one, case="cracked") for one in many_batteries(400)]
    path = sheet(tmp_path, result_of(cracked), paper=paper)
    text = " ".join(texts(path))

    assert_fits(path)
    for one in cracked:
        assert one.tag in text


@pytest.mark.parametrize("chemistry", ["flooded", "LFP"])
def test_one_battery_makes_a_whole_sheet(tmp_path, chemistry):
    path = sheet(tmp_path, result_of([battery(1, chemistry, case="burnt")]))

    assert_fits(path)
    assert "2026-W47-P03: 1 battery to recycle" in flat(texts(path)[0])


def test_an_overdue_meter_is_told_on_every_page(tmp_path):
    result = result_of([battery(1, **CRACKED)], batch={"calibration_due": date(2026, 10, 1)})
    for text in texts(sheet(tmp_path, result)):
        assert "Disposal sheet, no legal form, read" in flat(text)
        assert "Meter calibration was due 2026-10-01" in flat(text)


def test_the_same_result_gives_the_same_bytes(tmp_path):
    first = sheet(tmp_path, mixed_result()).read_bytes()

    assert first == sheet(tmp_path, mixed_result()).read_bytes()


def test_the_file_describes_itself_and_embeds_its_fonts(mixed):
    described = PdfReader(mixed[Paper.A4]).metadata

    assert "Disposal sheet, batch 2026-W47-P03" == described.title
    assert "7 used 12 V batteries to recycle, by waste stream" == described.subject
    assert all(name.endswith(" embedded") for name in fonts(mixed[Paper.A4]))


def test_paper_sizes_are_those_of_the_result(mixed):
    a4, letter = (PdfReader(mixed[paper]).pages[0].mediabox for paper in (Paper.A4, Paper.LETTER))

    assert (595.28, 841.89) == pytest.approx((a4.width, a4.height), abs=0.01)
    assert (612, 792) == pytest.approx((letter.width, letter.height), abs=0.01)


def test_damaged_lithium_is_held_against_each_criterion(mixed):
    text = flat(" ".join(texts(mixed[Paper.A4])))
    assessed = text[text.index("Assessment of lithium") :]

    assert "Known to be defective" in assessed
    assert "Cannot be diagnosed before carriage" in assessed
    assert "B-008 recall not checked no leak noted" in assessed


def test_the_data_ride_inside(mixed):
    reader = PdfReader(mixed[Paper.A4])
    (associated,) = reader.trailer["/Root"]["/AF"]

    assert ["results.json"] == list(reader.attachments)
    assert "/Data" == associated.get_object()["/AFRelationship"]


def test_the_file_names_its_title_and_language_in_xmp_too(mixed):
    described = PdfReader(mixed[Paper.A4]).xmp_metadata

    assert {"x-default": "Disposal sheet, batch 2026-W47-P03"} == described.dc_title
    assert ["en-GB"] == described.dc_language


def test_no_source_stands_in_the_text(mixed):
    body, _, _ = flat(" ".join(texts(mixed[Paper.A4]))).partition("Sources * common practice")

    assert "excerpt)" not in body.replace("(excerpt opened)", "")


def test_nothing_is_set_in_less_than_eight_points(mixed):
    assert 8 <= smallest_size(mixed[Paper.A4])


def test_what_the_officer_fills_in_is_not_called_a_proposal(tmp_path):
    text = all_text(tmp_path, result_of([battery(1, **CRACKED)]))
    for told in ("For the officer, stream by stream.", "never here.", "Under To fill in, stream by stream."):
        assert text.split(told)[1].split()[0] == "yours"
    assert text.split("first measures. ")[1].split()[0] != "yours"


def test_what_is_seen_and_decides_is_said_once(tmp_path):
    text = all_text(tmp_path, result_of([battery(1, **CRACKED), battery(2, rest_voltage_v=0.3)]))

    assert 1 == text.count("case cracked")
    assert "as seen" in text
    assert "no voltage: 0.30 V" in text
    recalled = battery(1, "LFP", rest_voltage_v=13.2, under_recall=True)
    assert 0 == all_text(tmp_path, result_of([recalled])).count(" under recall as")
    assert "as seen" in all_text(tmp_path, result_of([recalled]))


def test_the_unresolved_have_a_column_of_positions_only_where_one_is_known(tmp_path):
    nowhere = battery(1, rest_voltage_v=None, position=None)
    placed = replace(nowhere, position="layer 1", tag="B-002", row=3)

    assert "Tag What it is Handling Next step" in all_text(tmp_path, result_of([nowhere]))
    assert "Tag Position What it is Handling Next step" in all_text(tmp_path, result_of([nowhere, placed]))
