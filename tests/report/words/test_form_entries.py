"""The entries that forms ask for: complete against the published lists."""

import pytest

from intake.policy.rule_data import load_jurisdiction, load_rules
from intake.report.words.form_entries import load_form_entries

ENTRIES = load_form_entries()


def places(jurisdiction, title):
    forms = {form.title: form for form in load_jurisdiction(jurisdiction).forms}
    texts = forms[title].places.values()
    return {part.strip() for text in texts for part in text.split(",") if part.strip()}


def test_every_item_of_the_manifest_form_has_an_entry():
    """EPA form 8700-22, items 1 to 16, item 9 as 9a and 9b."""
    expected = {str(number) for number in range(1, 17) if number != 9} | {"9a", "9b"}

    assert expected == places("US", "Manifest item")


def test_every_part_of_the_consignment_note_has_an_entry():
    """Natural Resources Wales, how to complete a consignment note: parts A to E."""
    assert {*"ABCDE", "A or B"} == places("UK", "Note part")


def test_the_transport_document_has_its_entries():
    """ADR 2025, 5.4.1.1.1: all letters but (i), a declaration of special agreements, and (j), unused."""
    assert {"(a) to (d)", "(k)", "(e)", "(f)", "(g)", "(h)"} == places("EU", "ADR 5.4.1.1.1")


def test_the_log_of_a_large_handler_has_its_entries():
    """40 CFR 273.39(b): name and address of the receiver, quantity of each type, date it left."""
    assert {"(b)(1)", "(b)(2)", "(b)(3)"} == places("US", "Log, 40 CFR 273.39(b)")


@pytest.mark.parametrize("form", [form for one in load_rules().values() for form in one.forms])
def test_the_numbering_says_how_it_was_checked(form):
    assert any(word in form.source for word in ("excerpt", "read whole", "not opened"))


def test_each_entry_has_a_key_of_its_own():
    keys = [one.key for group in ENTRIES.groups for one in group.entries]
    assert len(keys) == len(set(keys))


def test_an_entry_is_either_told_or_filled_in():
    for group in ENTRIES.groups:
        for one in group.entries:
            assert not (one.here and one.known)


@pytest.mark.parametrize("entry", ["Emergency telephone", "Broker", "Vehicle", "permit numbers"])
def test_what_the_tool_does_not_hold_is_a_line(entry):
    found = [one for group in ENTRIES.groups for one in group.entries if entry in one.entry]

    assert [""] == [one.here for one in found]
