"""The whole assessment of a batch, with the shipped data."""

from datetime import date, timedelta

import pytest

from intake.compliance.assess import assess_compliance
from intake.policy.rule_data import load_jurisdiction, load_rules
from tests.compliance.builders import RECEIVED, batch, battery, no_masses, verdict

ALL = pytest.mark.parametrize("jurisdiction", load_rules())

ONE_OF_EACH = (
    (battery("W1"), verdict()),
    (battery("N1", "AGM", non_spillable_mark=True), verdict()),
    (battery("D1", case="leaking"), verdict(handling="damaged")),
    (battery("L1", "LFP"), verdict()),
    (battery("X1", "LFP", case="swollen"), verdict(handling="damaged")),
    (battery("U1", "unknown"), verdict(handling="suspect")),
)
STREAMS = {
    "W1": "lead-acid-wet",
    "N1": "lead-acid-non-spillable",
    "D1": "lead-acid-damaged",
    "L1": "lfp-intact",
    "X1": "lfp-damaged",
    "U1": "other-or-unknown",
}


def _assess(*rows, jurisdiction="US", ship_date=None, received=RECEIVED):
    batteries = [row[0] for row in rows]
    one = batch(*batteries, jurisdiction=jurisdiction, ship_date=ship_date, received=received)
    return assess_compliance(
        one, [row[1] for row in rows], no_masses(batteries), load_jurisdiction(jurisdiction)
    )


def _statements(assessed):
    per_stream = [
        shown
        for stream in assessed.streams
        for shown in (
            stream.transport_line,
            *stream.waste_codes,
            *stream.packing,
            *stream.storage,
            *stream.statements,
        )
    ]
    return [*per_stream, *assessed.load_warnings, *assessed.general]


def _codes(tag, day, jurisdiction="EU"):
    assessed = _assess(*ONE_OF_EACH, jurisdiction=jurisdiction, received=day)
    (stream,) = (one for one in assessed.streams if tag in one.tags)
    return [one.text for one in stream.waste_codes if one.text]


def _line(tag, jurisdiction):
    assessed = _assess(*ONE_OF_EACH, jurisdiction=jurisdiction)
    (stream,) = (one for one in assessed.streams if tag in one.tags)
    return stream.transport_line


def test_a_jurisdiction_without_data_is_refused():
    with pytest.raises(ValueError, match="no rules are held for 'Mars'"):
        _assess(jurisdiction="Mars")


@ALL
def test_every_stream_has_the_same_key_and_order_in_every_jurisdiction(jurisdiction):
    assessed = _assess(*ONE_OF_EACH, jurisdiction=jurisdiction)
    assert STREAMS == assessed.stream_by_tag
    assert list(STREAMS.values()) == [one.key for one in assessed.streams]
    assert [(tag,) for tag in STREAMS] == [one.tags for one in assessed.streams]
    assert jurisdiction == assessed.jurisdiction


@ALL
def test_only_recycle_batteries_get_a_stream_and_tags_keep_the_workbook_order(jurisdiction):
    grades = ("recycle", "resale-after-charge", "unresolved", "reconditionable", "recycle")
    rows = [(battery(f"Z{9 - n}"), verdict(grade)) for n, grade in enumerate(grades)]
    assessed = _assess(*rows, jurisdiction=jurisdiction)
    assert {"Z9": "lead-acid-wet", "Z5": "lead-acid-wet"} == assessed.stream_by_tag
    assert [("Z9", "Z5")] == [one.tags for one in assessed.streams]


@ALL
def test_a_batch_with_nothing_to_recycle_has_no_stream_and_keeps_its_cautions(jurisdiction):
    assessed = _assess((battery("A1"), verdict("unresolved")), jurisdiction=jurisdiction)
    assert ((), {}) == (assessed.streams, assessed.stream_by_tag)
    assert assessed.cautions
    assert assessed.general


@ALL
def test_a_batch_without_batteries_is_assessed(jurisdiction):
    assessed = _assess(jurisdiction=jurisdiction)
    assert ((), (), ()) == (assessed.streams, assessed.load_warnings, assessed.handling_notes)
    assert assessed.cautions


@ALL
def test_a_row_that_could_not_be_read_is_assessed(jurisdiction):
    row = battery("row 17", "unknown", case=None, row_errors=("Chemistry is empty",))
    assessed = _assess((row, verdict("unresolved", handling="suspect")), jurisdiction=jurisdiction)
    assert {} == assessed.stream_by_tag
    assert "unknown-chemistry" in [note.key for note in assessed.handling_notes]


def test_the_notes_of_the_load_are_of_what_leaves_and_of_what_is_unresolved():
    intact = (battery("A1", "LFP"), verdict("resale-after-charge"))
    leaking = (battery("A2", "flooded", case="leaking"), verdict("recycle", handling="damaged"))
    unclear = (battery("A3", "unknown"), verdict("unresolved", handling="suspect"))
    assessed = _assess(intact, leaking, unclear)
    of_the_load = [note.key for note in assessed.load_handling_notes]

    assert "lfp-intact" in [note.key for note in assessed.handling_notes]
    assert "lfp-intact" not in of_the_load
    assert {"lead-acid-damaged", "unknown-chemistry", "eyes-and-skin", "fire"} <= set(of_the_load)


def test_the_rules_are_those_of_the_ship_date_and_else_of_received():
    shipped = _assess(ship_date=date(2026, 12, 9))
    assert (date(2026, 12, 9), True) == (shipped.rules_date, shipped.rules_date_is_ship_date)
    waiting = _assess()
    assert (RECEIVED, False) == (waiting.rules_date, waiting.rules_date_is_ship_date)


def test_the_data_name_themselves_and_their_day():
    assessed = _assess(jurisdiction="other")
    assert "2026-11-27" == assessed.data_built
    assert "Basel" in assessed.data_name


@ALL
@pytest.mark.parametrize("day", [date(2020, 1, 1), date(2026, 12, 8), date(2026, 12, 9), date(2030, 1, 1)])
def test_each_printed_value_has_a_source_and_each_withheld_one_has_none(jurisdiction, day):
    resale = (battery("R1"), verdict("resale-after-charge", evidence="rest-only"))
    shown = _statements(_assess(*ONE_OF_EACH, resale, jurisdiction=jurisdiction, received=day))
    assert len(shown) > 20
    for one in shown:
        assert one.heading
        assert one.checked
        assert bool(one.text) is bool(one.source)


@ALL
def test_no_statement_from_memory_has_a_text(jurisdiction):
    shown = _statements(_assess(*ONE_OF_EACH, jurisdiction=jurisdiction))
    unchecked = [one for one in shown if one.checked == "not checked"]
    assert unchecked
    assert {None} == {one.text for one in unchecked}


def test_eu_lead_codes_on_the_last_day_and_on_the_first():
    """No source opened says that 16 06 01* ends: it is never called out of force."""
    last, first = _codes("W1", date(2026, 12, 8)), _codes("W1", date(2026, 12, 9))
    for shown in (last, first):
        (lead,) = (text for text in shown if "16 06 01* until" in text)
        assert lead.startswith("16 06 01* until 8 December 2026; expected to stay after it")
        assert lead.endswith("confirm.")
    assert "In force until 2026-12-08: 20 01 33*." in last
    assert any(
        text.startswith("Not yet in force, from 2026-12-09: ") and "20 01 42*" in text for text in last
    )
    assert "Until 2026-12-08, no longer in force: 20 01 33*." in first
    assert any(text.startswith("In force from 2026-12-09: 20 01 42*") for text in first)


@pytest.mark.parametrize(("tag", "code"), [("D1", "16 06 06*"), ("U1", "16 06 02*")])
@pytest.mark.parametrize("day", [date(2026, 12, 8), date(2026, 12, 9), date(2027, 6, 1)])
def test_other_eu_codes_are_expected_to_stay_too(tag, code, day):
    assert any(
        text.startswith(f"{code} until 8 December 2026; expected to stay") for text in _codes(tag, day)
    )


@pytest.mark.parametrize("tag", ["L1", "X1"])
def test_eu_lithium_codes_on_the_last_day_and_on_the_first(tag):
    last, first = _codes(tag, date(2026, 12, 8)), _codes(tag, date(2026, 12, 9))
    assert [one for one in last if "confirm with the authority of the member state" in one]
    assert last[-1].startswith("Not yet in force, from 2026-12-09: 16 06 07*")
    assert all(one.startswith("In force until 2026-12-08: ") for one in last[:-1])
    assert first[-1].startswith("In force from 2026-12-09: 16 06 07*")
    assert all(one.startswith("Until 2026-12-08, no longer in force: ") for one in first[:-1])


@pytest.mark.parametrize(
    ("days", "old", "new"), [(-61, True, False), (-60, True, True), (60, True, True), (61, False, True)]
)
def test_eu_lithium_codes_are_both_shown_within_sixty_days_only(days, old, new):
    day = date(2026, 12, 9) + timedelta(days=days)
    shown = " ".join(_codes("L1", day))
    assert (old, new) == ("16 01 21*" in shown, "16 06 07*" in shown)
    everything = repr(_assess(*ONE_OF_EACH, jurisdiction="EU", received=day))
    assert new is ("16 06 07*" in everything)


@pytest.mark.parametrize("jurisdiction", ["US", "UK", "other"])
@pytest.mark.parametrize("day", [date(2026, 12, 8), date(2026, 12, 9), date(2027, 6, 1)])
def test_the_new_eu_lithium_code_is_shown_in_the_eu_only(jurisdiction, day):
    everything = repr(_assess(*ONE_OF_EACH, jurisdiction=jurisdiction, received=day))
    assert "16 06 07*" not in everything


@pytest.mark.parametrize(
    ("tag", "jurisdiction", "expected"),
    [
        # 49 CFR 172.202(a): number, name, class; nothing between; no packing group since 80 FR 1076 (2015)
        ("W1", "US", "UN2794, Batteries, wet, filled with acid, electric storage, 8"),
        ("N1", "US", "UN2800, Batteries, wet, non-spillable, electric storage, 8"),
        ("D1", "US", "UN2794, Batteries, wet, filled with acid, electric storage, 8"),
        ("L1", "US", "UN3480, Lithium ion batteries, 9"),
        ("X1", "US", "UN3480, Lithium ion batteries, 9"),
        # ADR 5.4.1.1.1: number, [WASTE], name, class (9, not 9A), tunnel code of table A
        ("W1", "EU", "UN 2794 [WASTE] BATTERIES, WET, FILLED WITH ACID, 8, (E)"),
        ("N1", "EU", "UN 2800 [WASTE] BATTERIES, WET, NON-SPILLABLE, 8, (E)"),
        ("D1", "UK", "UN 2794 [WASTE] BATTERIES, WET, FILLED WITH ACID, 8, (E)"),
        ("L1", "UK", "UN 3480 [WASTE] LITHIUM ION BATTERIES, 9, (E)"),
        ("X1", "EU", "UN 3480 [WASTE] LITHIUM ION BATTERIES, 9, (E)"),
    ],
)
def test_the_transport_line_stands_in_the_order_of_the_regime_as_a_proposal(tag, jurisdiction, expected):
    line = _line(tag, jurisdiction)
    assert expected == line.text
    assert "to be confirmed" in line.heading


@pytest.mark.parametrize("tag", STREAMS)
def test_elsewhere_the_order_is_not_checked_and_no_line_is_proposed(tag):
    assert _line(tag, "other").text is None


@ALL
def test_what_is_not_identified_has_no_transport_line(jurisdiction):
    assert _line("U1", jurisdiction).text is None


@ALL
def test_the_cautions_are_there_in_one_order(jurisdiction):
    cautions = _assess(jurisdiction=jurisdiction).cautions
    marks = [
        "not decided here",
        "no legal form",
        "change often",
        "follow the strictest",
        '"confirm locally"',
        "no safety approval",
        "do not charge it",
        "water at once",
        "separate pallets and vehicles",
        "longest period",
    ]
    assert len(marks) == len(cautions)
    for mark, caution in zip(marks, cautions, strict=True):
        assert mark in caution


def test_the_sheet_says_plainly_that_it_is_no_legal_form():
    (caution,) = (one for one in _assess().cautions if "legal form" in one)
    assert all(
        word in caution for word in ("manifest", "shipping paper", "consignment note", "look like", "called")
    )


@ALL
def test_nothing_says_that_a_load_or_a_sale_is_lawful_or_safe(jurisdiction):
    words = repr(_assess(*ONE_OF_EACH, jurisdiction=jurisdiction)).lower()
    assert not [claim for claim in ("lawful", "legally", "is safe", "are safe", "complies") if claim in words]


@ALL
def test_the_same_batch_gives_the_same_assessment(jurisdiction):
    first = _assess(*ONE_OF_EACH, jurisdiction=jurisdiction)
    assert first == _assess(*ONE_OF_EACH, jurisdiction=jurisdiction)
