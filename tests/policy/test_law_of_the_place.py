"""What is printed for one jurisdiction never passes off the law of another as its own."""

import re

import pytest

from intake.model.compliance import Purpose
from intake.policy.handling_texts import load_wording
from intake.policy.jurisdictions import Standing
from intake.policy.rule_data import load_rules

US_LAW = re.compile(r"\b\d\d CFR\b|PHMSA|\bEPA\b|RCRA|\bUS DOT\b|Quick guide: hazmat|\bWAC\b")
EUROPEAN_LAW = re.compile(r"\bADR\b|Regulation \(EU\)|SP 376|GOV\.UK|\bHSE\b|Natural Resources Wales")
AIR = "By air"
UNDER_ADR = ("EU", "UK")


def statements(jurisdiction):
    """Return every statement and warning of a jurisdiction."""
    rules = load_rules()[jurisdiction]
    of_streams = (
        (one.transport_line, *one.waste_codes, *one.packing, *one.storage, *one.statements)
        for one in rules.streams
    )
    return [
        *(rule for ones in of_streams for rule in ones),
        *rules.general,
        *rules.load_warnings.values(),
    ]


def cited(rule):
    return " ".join(source.citation for source in rule.sources)


def said(rule):
    return f"{rule.heading} {rule.text or ''}"


@pytest.mark.parametrize("jurisdiction", UNDER_ADR)
def test_under_adr_no_law_of_the_united_states_is_named_or_cited(jurisdiction):
    foreign = [one.heading for one in statements(jurisdiction) if US_LAW.search(cited(one) + said(one))]
    assert not foreign


@pytest.mark.parametrize("jurisdiction", [key for key in load_rules() if key not in (*UNDER_ADR, "US")])
def test_elsewhere_a_text_of_the_united_states_is_called_one(jurisdiction):
    foreign = [one for one in statements(jurisdiction) if US_LAW.search(cited(one) + said(one))]
    assert foreign, "the patterns find nothing"
    assert all("US" in one.heading and "Confirm" in one.text for one in foreign)


def test_in_the_united_states_european_rules_are_called_so_or_are_proposals():
    foreign = [one for one in statements("US") if EUROPEAN_LAW.search(cited(one) + said(one))]
    assert foreign, "the patterns find nothing"
    assert all(one.standing is Standing.PROPOSAL for one in foreign)


@pytest.mark.parametrize("jurisdiction", load_rules())
def test_no_note_about_the_air_cites_the_law_of_a_country(jurisdiction):
    air = [one for one in statements(jurisdiction) if one.heading.startswith(AIR)]
    assert air
    assert not [one for one in air if US_LAW.search(cited(one)) or EUROPEAN_LAW.search(cited(one))]


@pytest.mark.parametrize("purpose", [Purpose.DISPOSAL, Purpose.SALE])
@pytest.mark.parametrize("jurisdiction", load_rules())
def test_each_stream_is_told_about_the_air_once_and_who_holds_the_rule_in_force(jurisdiction, purpose):
    for stream in load_rules()[jurisdiction].streams:
        (air,) = [
            one.text for one in stream.statements if one.heading == AIR and one.purpose in (None, purpose)
        ]
        assert air.startswith(("Not by air", "Forbidden"))
        assert "airline and the national aviation authority" in air or air.startswith("Not by air: it may")


def test_handling_notes_say_that_a_foreign_source_is_not_law_here():
    """They are the same everywhere, and some were read in US or European texts."""
    assert "a foreign source is not law here" in load_wording().deference


def test_a_note_from_a_rule_of_the_united_states_alone_says_so():
    lines = [line for note in load_wording().notes for line in note.lines]
    named = [line.text for line in lines if " rule)" in line.text]
    assert named
    assert all("(US " in text for text in named)
