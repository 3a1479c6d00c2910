"""The resale list and its condition sheets as a file: read back with other libraries."""

from datetime import date

import pytest
from pypdf import PdfReader

from intake.model.battery import Chemistry, Price
from intake.model.finding import Finding, Severity
from intake.model.paper import Paper
from intake.model.verdict import Grade
from intake.report.resale.write import write_resale
from intake.report.words.wording import load_wording
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
    made,
    mixed_result,
    result_of,
)
from tests.report.read_pdf import flat, fonts, outside, overlapping, smallest_size, texts, words_by_page

BOTH = pytest.mark.parametrize("paper", list(Paper))
HOLDS = tuple(
    (hours, 13.2 - 0.03 * number)
    for number, hours in enumerate((0.2, 0.5, 1.0, 2.0, 4.0, 6.0, 8.0, 12.0, 24.0, 48.0, 72.0))
)
TESTS = {
    "rated_cca_a": 700.0,
    "cca_standard": "EN",
    "measured_cca_a": 690.0,
    "load_current_a": 300.0,
    "load_time_s": 15.0,
    "load_voltage_v": 11.0,
    "delivered_capacity_ah": 79.0,
    "discharge_time_h": 20.0,
    "internal_resistance_mohm": 4.1,
    "rated_resistance_mohm": 4.0,
    "rated_capacity_ah": 80.0,
    "mass_kg": 20.0,
}


def resale(folder, result, *, paper=Paper.A4, limits=LIMITS, all_sheets=True):
    path = folder / "r.pdf"
    write_resale(replace(result, paper=paper), path, plot_limits=limits, all_sheets=all_sheets)
    return path


def pages_of(folder, batteries, **fields):
    return [flat(text) for text in texts(resale(folder, result_of(batteries, **fields)))]


def whole(folder, batteries, **fields):
    return " ".join(pages_of(folder, batteries, **fields))


@pytest.fixture(scope="module")
def mixed(tmp_path_factory):
    return {
        paper: resale(tmp_path_factory.mktemp(paper.value), mixed_result(), paper=paper) for paper in Paper
    }


def strained():
    """Return batteries that strain a condition sheet, with warnings about each."""
    batteries = [
        held(
            1, "AGM", *HOLDS, tag=LONG_TAG, rest_voltage_v=12.8, marking=GREEK * 12, note=LONG_NOTE, **TESTS
        ),
        held(
            2, "AGM", (2.0, 13.1), tag="W" * 32, marking=CYRILLIC, note="@" * 2000, made=made(2021), **TESTS
        ),
        held(
            3,
            "flooded",
            *((hours, volts - 0.2) for hours, volts in HOLDS[:5]),
            rest_voltage_v=12.5,
            specific_gravity=(1.27,) * 6,
            marking=MARKUP * 9,
            note=UNPRINTABLE,
            position="P" * 60,
            **TESTS,
        ),
        held(
            4,
            "LFP",
            (24.0, 13.42),
            (96.0, 13.40),
            cell_voltages_v=(3.35, 3.351, 3.352, 3.35),
            bms_reset_tried=False,
            under_recall=False,
            rated_capacity_ah=80.0,
            delivered_capacity_ah=79.0,
            discharge_time_h=20.0,
            marking="long words " * 30,
            note=LONG_NOTE,
        ),
        battery(6, "gel", tag="M" * 32, rest_voltage_v=12.9),
        battery(5, "gel", rest_voltage_v=12.9, rated_capacity_ah=None, note=GREEK * 30),
    ]
    findings = [
        Finding(
            Severity.WARNING,
            f"Reading {number} speaks against another of the same battery and should be taken once more.",
            "Look again.",
            sheet="Batteries",
            cell=f"C{one.row}",
            tag=one.tag,
            field="Rest voltage (V)",
            row=one.row,
        )
        for one in batteries
        for number in range(5)
    ]
    return result_of(batteries, findings=findings, batch={"site": "S" * 150, "meter": "M " * 80})


def test_the_strongest_evidence_stands_first(mixed):
    text = flat(" ".join(texts(mixed[Paper.A4])))
    places = [
        text.index(title)
        for title in (
            "2026-W47-P03: 23 of 48 batteries for resale",
            "Holds charge; capacity not tested (2)",
            "Hold not finished (1)",
            "Not tested: charge and hold first (20)",
            "What they are worth",
            "Condition sheet 1 of 23",
        )
    ]
    assert sorted(places) == places


@BOTH
def test_every_battery_to_resell_has_one_sheet_and_no_other_battery_has_one(mixed, paper):
    text = flat(" ".join(texts(mixed[paper])))
    resold = [one for one in mixed_result().graded if one.verdict.grade is Grade.RESALE]
    for number in range(1, len(resold) + 1):
        assert 1 == text.count(f"Condition sheet {number} of {len(resold)} ")
    listed = text[: text.index("Condition sheet 1 of")]
    for one in mixed_result().graded:
        assert (one.battery.tag in listed.replace(" ", "")) is (one.verdict.grade is Grade.RESALE)


@BOTH
def test_two_sheets_stand_on_a_page_and_none_is_divided(mixed, paper):
    counts = [flat(text).count("Condition sheet ") for text in texts(mixed[paper])]
    sheets = [count for count in counts if count]
    assert [2] * 11 + [1] == sheets
    for text in texts(mixed[paper]):
        assert text.count("Tested by") == text.count("It cannot show") == flat(text).count("Condition sheet ")


@BOTH
def test_nothing_of_a_long_text_is_lost(tmp_path, paper):
    text = flat(" ".join(texts(resale(tmp_path, strained(), paper=paper))))
    notes = text[text.index("Whole texts of the condition sheets") :]
    assert flat(LONG_NOTE) in notes
    assert 2000 == notes.count("@")
    assert GREEK in notes
    assert "0.2 h" in notes
    assert all(f"Reading {number} speaks" in notes for number in range(5))
    assert "… (whole under Notes, sheet 1)" in text
    assert "could not be printed; shown as □." in text


def test_a_short_note_stands_on_its_sheet_and_there_are_no_notes_behind(tmp_path):
    text = whole(tmp_path, [battery(1, rest_voltage_v=12.75, note="Handle missing.")])
    assert "Note Handle missing." in text
    assert "Whole texts of the condition sheets" not in text


def test_a_sheet_tells_identity_age_condition_and_recall(tmp_path):
    one = held(
        1,
        "AGM",
        (0.5, 13.1),
        (24.0, 12.9),
        rated_cca_a=700.0,
        cca_standard="EN",
        mass_kg=20.1,
        made=made(2023, 4),
        under_recall=False,
        non_spillable_mark=True,
        marking="12 V 60 Ah",
    )
    sheet = next(page for page in pages_of(tmp_path, [one]) if "Condition sheet" in page)
    assert "AGM · 60 Ah rated · CCA 700 A rated (EN) · 20.1 kg · non-spillable mark recorded" in sheet
    assert "case sound · terminals sound · recall checked, none found" in sheet
    assert "made 2023-04 (known to the month), 3.6 years old when received on 2026-11-20" in sheet
    assert "Meter accuracy: 0.1 % of reading + 0.010 V" in sheet
    assert "Next step " in sheet


@pytest.mark.parametrize(
    ("one", "badge", "shows"),
    [
        (held(1, "AGM", (24.0, 12.9)), "Held a charge, 12 h or more", "Charged, then left open for 12 h"),
        (
            held(1, "AGM", (0.5, 13.318), (1.0, 13.283)),
            "Held a charge, under 12 h",
            "Charged, then read open for less than 12 h",
        ),
        (
            battery(1, rest_voltage_v=12.75),
            "Not proven: charge and hold-test first",
            "One open-circuit reading after a rest",
        ),
    ],
)
def test_a_sheet_says_what_its_evidence_shows_and_what_it_can_not_show(tmp_path, one, badge, shows):
    sheet = next(page for page in pages_of(tmp_path, [one]) if "Condition sheet" in page)
    assert badge in sheet
    assert f"It shows {shows}" in sheet
    assert "It cannot show" in sheet
    assert "how many ampere-hours are left" in sheet


def test_every_sheet_leaves_the_sale_to_the_yard_and_claims_nothing(mixed):
    told = load_wording().sale
    assert told.startswith("Used, not proven new. A sale is the yard's decision under local rules;")
    for text in map(flat, texts(mixed[Paper.A4])):
        assert text.count("Condition sheet ") <= text.count(told)
        for claim in ("is lawful", "may be sold", "safe to", "guarantee", "warrant"):
            assert claim not in text


@BOTH
def test_every_caution_is_printed(mixed, paper):
    text = flat(" ".join(texts(mixed[paper])))
    for caution in mixed_result().compliance.cautions:
        assert flat(caution) in text


def test_in_the_eu_the_list_says_that_a_rest_is_no_test_evidence(tmp_path):
    rested = [battery(1, rest_voltage_v=12.75)]
    assert "A rest voltage is not that proof" in whole(tmp_path, rested)
    assert "A rest voltage is not that proof" not in whole(tmp_path, [held(1, "AGM", (24.0, 12.9))])


def test_prices_stand_in_the_list_with_their_sums_by_section(tmp_path):
    batteries = [
        held(1, "AGM", (24.0, 12.9)),
        held(2, "AGM", (24.0, 12.91)),
        battery(3, rest_voltage_v=12.75),
    ]
    prices = (Price(Chemistry.AGM, "45.50"), Price(Chemistry.FLOODED, "28"))
    text = whole(tmp_path, batteries, batch={"prices": prices, "currency": "CHF"})
    assert "Asked CHF" in text
    assert "Holds charge; capacity not tested 2 37.2 91.00" in text.replace("34.8", "37.2")
    assert "28.00" in text
    assert "119.00" not in text


def test_a_battery_that_is_in_no_sum_is_named_below_them(tmp_path):
    batteries = [held(1, "AGM", (24.0, 12.9), mass_kg=20.0), held(2, "gel", (24.0, 12.9), mass_kg=20.0)]
    priced = Price(Chemistry.AGM, "45.50", "0.60", "6", "2", "1")
    text = whole(tmp_path, batteries, batch={"prices": (priced, Price(Chemistry.GEL, "90"))})

    assert "of these 1 in the sums" in text
    assert "In none of the amounts, for want of a price, a cost or a mass: B-002." in text
    assert "without a price" not in text
    alone = whole(tmp_path, batteries[:1], batch={"prices": (priced,)})
    assert "in the sums" not in alone
    assert "In none of the amounts" not in alone


def test_without_a_price_the_list_says_so(tmp_path):
    text = whole(tmp_path, [battery(1, rest_voltage_v=12.75)], batch={"prices": ()})
    assert "The workbook gives no resale price." in text


def test_a_batch_with_nothing_to_resell_says_so_on_one_page(tmp_path):
    (page,) = pages_of(tmp_path, [battery(1, rest_voltage_v=9.0)])
    assert "No battery of this batch is graded for resale" in page
    assert "Condition sheet 1" not in page
    assert "Cautions" in page


def test_only_what_was_tested_has_a_sheet_unless_all_are_asked_for(tmp_path):
    result = result_of([battery(1, rest_voltage_v=12.75), held(2, "AGM", (24.0, 12.9))])
    few = flat(" ".join(texts(resale(tmp_path, result, all_sheets=False))))
    everything = flat(" ".join(texts(resale(tmp_path, result))))

    assert "Condition sheet 1 of 1" in few
    assert 1 == few.count("age not known, sheet 1")
    assert "Condition sheet 2 of 2" in everything


def test_nothing_on_paper_speaks_of_probabilities_or_standard_uncertainty(mixed):
    text = flat(" ".join(texts(mixed[Paper.A4])))

    assert [] == [word for word in ("P(", " u 0.", "probability") if word in text]


@BOTH
def test_words_stay_on_the_page_and_never_meet(mixed, paper):
    for size, words in words_by_page(mixed[paper]):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


@BOTH
def test_strained_sheets_keep_their_words_apart_too(tmp_path, paper):
    for size, words in words_by_page(resale(tmp_path, strained(), paper=paper)):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)


def test_nothing_is_set_in_less_than_eight_points(mixed):
    assert 8 <= smallest_size(mixed[Paper.A4])


def test_the_same_result_gives_the_same_bytes(tmp_path, mixed):
    assert mixed[Paper.A4].read_bytes() == resale(tmp_path, mixed_result()).read_bytes()


def test_fonts_are_embedded_and_the_file_names_itself(mixed):
    assert all(name.endswith(" embedded") for name in fonts(mixed[Paper.A4]))
    described = PdfReader(mixed[Paper.A4]).metadata
    assert "Resale list, batch 2026-W47-P03" == described.title
    assert date(2026, 11, 27) == described.creation_date.date()


def test_the_table_of_contents_leads_to_each_sheet(mixed):
    titles = []

    def gather(entries):
        for entry in entries:
            if isinstance(entry, list):
                gather(entry)
            else:
                titles.append(entry.title)

    gather(PdfReader(mixed[Paper.A4]).outline)
    assert "Sheet 1: B-012" in titles
    assert 23 == sum(title.startswith("Sheet ") for title in titles)


def test_a_chemistry_without_limits_is_drawn_without_lines(tmp_path):
    path = resale(tmp_path, result_of([held(1, "AGM", (24.0, 12.9))]), limits={})
    assert "hold 80 %" not in flat(" ".join(texts(path)))


def test_an_overdue_meter_is_told_on_every_page(tmp_path):
    pages = pages_of(
        tmp_path, [battery(1, rest_voltage_v=12.75)], batch={"calibration_due": date(2026, 1, 1)}
    )
    assert all("Meter calibration was due 2026-01-01" in page for page in pages)


@BOTH
def test_rules_stand_below_the_list_or_after_the_sheets_and_never_on_a_page_of_their_own(tmp_path, paper):
    below = set()
    for number in range(4, 20, 3):
        batteries = [held(one, "AGM", (24.0, 12.9)) for one in range(1, number)]
        pages = [flat(one) for one in texts(resale(tmp_path, result_of(batteries), paper=paper))]
        (rules,) = (place for place, text in enumerate(pages) if "Rules about resale" in text)

        last = max(place for place, text in enumerate(pages) if "Condition sheet" in text)
        assert rules >= last or "What they are worth" in pages[rules]
        below.add(rules < last)
    assert {True, False} == below
