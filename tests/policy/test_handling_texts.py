"""The shipped wording holds together."""

import json

import pytest
from jsonschema import Draft202012Validator

from intake.policy.handling_texts import load_wording
from intake.policy.resources import resource_text


def _document():
    return json.loads(resource_text("templates", "handling-notes.json"))


def _problems(document):
    schema = json.loads(resource_text("schemas", "handling-notes.schema.json"))
    return [
        f"{error.json_path}: {error.message}" for error in Draft202012Validator(schema).iter_errors(document)
    ]


def test_the_shipped_wording_keeps_to_its_schema():
    assert [] == _problems(_document())


def test_an_unknown_note_is_named_with_its_place():
    document = _document()
    document["notes"][0]["key"] = "weather"
    (problem,) = _problems(document)
    assert problem.startswith("$.notes[0].key: ")


@pytest.mark.parametrize("document", [None, {}, []])
def test_what_is_no_wording_at_all_is_refused(document):
    assert _problems(document) != []


def test_notes_are_loaded_in_file_order_with_their_sources():
    wording = load_wording()
    assert [entry["key"] for entry in _document()["notes"]] == [note.key for note in wording.notes]
    first = wording.notes[0].lines[0]
    assert "HSE INDG139" in first.sources[0].citation
    assert () == wording.notes[0].lines[-1].sources


def test_there_are_ten_cautions():
    assert 10 == len(load_wording().cautions)
