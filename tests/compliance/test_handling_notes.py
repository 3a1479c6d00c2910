"""The notes that a pallet calls for, and for which batteries."""

import pytest

from intake.compliance.handling_notes import handling_notes
from intake.compliance.pallet import pallet_of
from intake.policy.handling_texts import NoteLine, NoteWording, Wording, load_wording
from intake.policy.jurisdictions import Source
from tests.compliance.builders import batch, battery, no_masses, verdict

GENERAL = ["lifting", "charging-area", "eyes-and-skin", "acid-spill", "fire"]
LITHIUM = ["lifting", "fire"]


def _notes(*rows, wording=None):
    batteries = [row[0] for row in rows]
    pallet = pallet_of(batch(*batteries), [row[1] for row in rows], no_masses(batteries))
    return handling_notes(pallet, wording or load_wording())


@pytest.mark.parametrize(
    ("chemistry", "case", "handling", "keys"),
    [
        ("flooded", "sound", "intact", ["lead-acid-intact", *GENERAL]),
        ("EFB", "scuffed", "intact", ["lead-acid-intact", *GENERAL]),
        ("AGM", "sound", "intact", ["valve-regulated", *GENERAL]),
        ("gel", "sound", "intact", ["valve-regulated", *GENERAL]),
        ("gel", "cracked", "damaged", ["lead-acid-damaged", *GENERAL]),
        ("flooded", None, "intact", ["lead-acid-damaged", *GENERAL]),
        ("AGM", "dented", "damaged", ["lead-acid-damaged", *GENERAL]),
        ("LFP", "sound", "intact", ["lfp-intact", *LITHIUM]),
        ("LFP", "sound", "suspect", ["lfp-suspect", *LITHIUM]),
        ("LFP", None, "intact", ["lfp-suspect", *LITHIUM]),
        ("LFP", "burnt", "damaged", ["lfp-damaged", *LITHIUM]),
        (
            "other",
            "sound",
            "suspect",
            ["unknown-chemistry", "lifting", "eyes-and-skin", "acid-spill", "fire"],
        ),
        ("unknown", None, "intact", ["unknown-chemistry", "lifting", "eyes-and-skin", "acid-spill", "fire"]),
    ],
)
def test_each_kind_of_battery_brings_its_notes(chemistry, case, handling, keys):
    shown = _notes((battery("A1", chemistry, case=case), verdict(handling=handling)))
    assert keys == [note.key for note in shown]


@pytest.mark.parametrize(
    ("grade", "key"),
    [
        ("reconditionable", "lead-acid-dented"),
        ("unresolved", "lead-acid-dented"),
        ("recycle", "lead-acid-damaged"),
    ],
)
def test_a_dented_lead_acid_battery_may_be_charged_until_it_is_waste(grade, key):
    shown = {note.key: note for note in _notes((battery("A1", case="dented"), verdict(grade)))}
    assert {key, *GENERAL} == set(shown)
    assert ("Do not charge it." in " ".join(shown[key].lines)) == (key == "lead-acid-damaged")
    assert ("1 flooded, dented" == shown[key].applies_to) == (key == "lead-acid-dented")


def test_an_empty_pallet_has_no_notes():
    assert () == _notes()


def test_each_note_says_which_batteries_it_is_for():
    shown = _notes(
        (battery("A1", "LFP"), verdict(handling="suspect")),
        (battery("A2", "LFP"), verdict(handling="suspect")),
        (battery("A3", "LFP"), verdict()),
        (battery("A4", "AGM", case="cracked"), verdict(handling="damaged")),
        (battery("A5", "gel", case=None), verdict("unresolved")),
    )
    words = {note.key: note.applies_to for note in shown}
    assert "2 LFP, suspect" == words["lfp-suspect"]
    assert "1 LFP, intact" == words["lfp-intact"]
    assert "1 AGM, 1 gel, case not read or damaged" == words["lead-acid-damaged"]
    assert "1 AGM, 1 gel, 3 LFP" == words["lifting"]


def test_lines_without_a_source_are_marked_and_sources_are_named_once():
    law = Source("Some law; 2020 (law text, excerpt)", "authority")
    lines = (NoteLine("First.", (law,)), NoteLine("Second.", (law,)), NoteLine("Third."))
    wording = Wording((NoteWording("fire", "Fire", lines),), (), "Local codes first.")
    (note,) = _notes((battery("A1"), verdict()), wording=wording)
    assert ("First.", "Second.", "Third. (common practice)", "Local codes first.") == note.lines
    assert f"{law.citation}; lines marked (common practice): no source opened" == note.source


def test_a_note_that_is_all_common_practice_or_all_sourced_says_only_that():
    law = Source("Some law; 2020 (law text, excerpt)", "authority")
    bare = NoteWording("lifting", "Lifting", (NoteLine("First."),))
    cited = NoteWording("fire", "Fire", (NoteLine("Second.", (law,)),))
    wording = Wording((bare, cited), (), "Local codes first.")
    shown = _notes((battery("A1"), verdict()), wording=wording)
    assert ["lines marked (common practice): no source opened", law.citation] == [one.source for one in shown]


def test_every_shipped_note_defers_to_local_codes_and_licensed_practice():
    shown = _notes(
        *((battery(f"A{n}", one), verdict()) for n, one in enumerate(("flooded", "AGM", "LFP", "unknown"))),
        (battery("B0", case="dented"), verdict("reconditionable")),
        (battery("B1", case="leaking"), verdict(handling="damaged")),
        (battery("B2", "LFP"), verdict(handling="suspect")),
        (battery("B3", "LFP", case="swollen"), verdict(handling="damaged")),
    )
    assert [note.key for note in load_wording().notes] == [note.key for note in shown]
    for note in shown:
        assert "Local codes" in note.lines[-1]
        assert "licensed practice" in note.lines[-1]
        assert note.source
