"""The shipped rule data hold together, and what does not is named with its place."""

import copy
import json
import re

import pytest
from jsonschema import Draft202012Validator

from intake.policy.jurisdictions import Standing
from intake.policy.resources import resource, resource_text
from intake.policy.rule_data import jurisdiction_problems, load_jurisdiction, load_rules
from intake.policy.sources import load_sources
from intake.policy.waste_streams import stream_decisions, stream_titles

ALL = pytest.mark.parametrize("key", load_rules())


def _document(key="EU"):
    return json.loads(resource_text("templates/jurisdictions", f"{key.lower()}.json"))


def _rules(jurisdiction):
    for stream in jurisdiction.streams:
        yield stream.transport_line
        yield from (*stream.waste_codes, *stream.packing, *stream.storage, *stream.statements)
    yield from jurisdiction.general
    yield from jurisdiction.load_warnings.values()


@ALL
def test_the_shipped_data_keep_to_their_schema(key):
    assert [] == jurisdiction_problems(_document(key))


def test_the_shipped_sources_keep_to_their_schema():
    schema = json.loads(resource_text("schemas", "sources.schema.json"))
    sources = json.loads(resource_text("templates", "sources.json"))
    assert [] == [error.message for error in Draft202012Validator(schema).iter_errors(sources)]


@pytest.mark.parametrize(
    "name", ["jurisdiction.schema.json", "sources.schema.json", "handling-notes.schema.json"]
)
def test_the_schemas_are_schemas(name):
    assert Draft202012Validator.check_schema(json.loads(resource_text("schemas", name))) is None


def test_every_listed_source_is_used():
    texts = [one.read_text() for one in resource("templates", "jurisdictions").iterdir()]
    others = ("handling-notes.json", "plan-words.json", "every-jurisdiction.json")
    texts += [resource_text("templates", name) for name in others]
    assert [] == [name for name in load_sources() if not any(f'"{name}"' in text for text in texts)]


@ALL
def test_every_stream_is_there_once(key):
    keys = [stream.key for stream in load_jurisdiction(key).streams]
    assert sorted(stream_titles()) == sorted(keys)


def test_each_file_of_the_folder_is_a_jurisdiction_of_its_name():
    names = {one.name for one in resource("templates", "jurisdictions").iterdir()}
    assert {f"{key.lower()}.json" for key in load_rules()} == names


def test_the_choices_stand_in_the_order_that_the_data_give():
    keys = list(load_rules())
    assert (["US", "EU", "UK"], "other") == (keys[:3], keys[-1])


@ALL
def test_what_is_from_memory_has_no_text_and_everything_else_has_one(key):
    rules = list(_rules(load_jurisdiction(key)))
    assert any(rule.standing is Standing.FROM_MEMORY for rule in rules)
    for rule in rules:
        assert (rule.text is None) is (rule.standing is Standing.FROM_MEMORY)
        assert bool(rule.sources) or rule.standing is not Standing.OPENED


@ALL
def test_every_load_warning_has_words(key):
    assert all(rule.text for rule in load_jurisdiction(key).load_warnings.values())


def test_an_unknown_jurisdiction_is_refused_by_name():
    with pytest.raises(ValueError, match=r"no rules are held for '\.\./EU'; known are US, EU, UK"):
        load_jurisdiction("../EU")


def _broken(change):
    document = copy.deepcopy(_document())
    change(document)
    return jurisdiction_problems(document)


def test_a_text_from_memory_is_refused():
    problems = _broken(
        lambda one: one["general"].append({"heading": "H", "text": "T", "status": "from memory"})
    )
    assert len(problems) == 1
    assert "general" in problems[0]


def test_a_code_from_memory_has_no_place_on_the_first_page():
    code = {"heading": "H", "text": None, "status": "from memory", "short": "16 06 01*"}

    assert _broken(lambda one: one["streams"][0]["waste_codes"].append(code)) != []


@ALL
def test_every_code_in_short_stands_in_its_text(key):
    """What page 1 prints must follow from the sentence that the source was held against."""
    for stream in load_jurisdiction(key).streams:
        for rule in stream.waste_codes:
            figures = re.findall(r"\d\d \d\d \d\d\*?|[DAY]\d{2,4}", rule.short or "")
            assert rule.short is None or figures or "confirm locally" in rule.short
            assert [] == [one for one in figures if one not in rule.text]


def test_everybody_who_must_decide_is_named_for_each_stream():
    assert list(stream_titles()) == list(stream_decisions())
    assert all(":" in one for one in stream_decisions().values())


def test_a_checked_statement_without_source_is_refused():
    problems = _broken(lambda one: one["general"].append({"heading": "H", "text": "T", "status": "opened"}))
    assert any("'sources' is a required property" in problem for problem in problems)


@pytest.mark.parametrize("field", ["transport_line", "waste_codes"])
def test_a_proposal_can_not_be_a_transport_line_or_a_waste_code(field):
    proposal = {"heading": "H", "text": "T", "status": "proposal"}

    def change(document):
        document["streams"][0][field] = proposal if field == "transport_line" else [proposal]

    assert any(f"$.streams[0].{field}" in problem for problem in _broken(change))


def test_a_missing_stream_is_refused():
    assert _broken(lambda one: one["streams"].pop()) != []


def test_an_unlisted_source_is_named_with_its_place():
    def change(document):
        document["general"][0]["sources"] = ["NOBODY-1"]

    assert ["$.general[0]: the source 'NOBODY-1' is not listed"] == _broken(change)


def test_a_period_that_ends_before_it_begins_is_named():
    def change(document):
        document["streams"][0]["waste_codes"][0] |= {"valid_from": "2027-01-01", "valid_to": "2026-12-31"}

    assert ["$.streams[0].waste_codes[0]: valid_from is after valid_to"] == _broken(change)


@pytest.mark.parametrize("document", [None, [], {}, "text"])
def test_what_is_no_jurisdiction_at_all_is_refused(document):
    assert jurisdiction_problems(document) != []


def test_a_place_on_a_form_that_is_no_entry_is_named():
    assert ["$.forms[0].places: 'nothing' is no entry of form-entries.json"] == _broken(
        lambda one: one["forms"][0]["places"].update(nothing="7")
    )


def test_a_region_that_is_not_listed_is_named():
    def change(document):
        document["general"][0]["regions"] = ["Nowhere"]

    assert ["$.general[0]: the region 'Nowhere' is not listed"] == _broken(change)


@pytest.mark.parametrize("field", ["edition", "checked_on", "review_by", "speaks_from"])
def test_a_file_says_what_days_it_is_good_for(field):
    assert any(field in problem for problem in _broken(lambda one: one.pop(field)))


@ALL
def test_the_days_of_a_file_are_in_order(key):
    data = load_jurisdiction(key).rule_data
    assert data.speaks_from < data.checked_on < data.review_by


@ALL
def test_what_holds_everywhere_keeps_to_the_schema_too(key):
    document, shared = _document(key), json.loads(resource_text("templates", "every-jurisdiction.json"))
    document["streams"] += shared["streams"]
    document["load_warnings"] |= shared["load_warnings"]
    for stream in document["streams"]:
        stream["statements"] += shared["statements"].get(stream["key"], [])

    assert [] == jurisdiction_problems(document)
    assert set(shared["statements"]) <= {stream["key"] for stream in document["streams"]}


def test_a_stream_of_the_file_stands_in_place_of_the_shared_one():
    own = load_jurisdiction("US").streams
    assert ["unidentified"] == [one.key for one in own if one.key == "unidentified"]


def test_sources_of_the_file_itself_are_known_and_held_to_their_schema():
    def change(document):
        document["sources"] = {"OWN-1": {"citation": "A page (report, excerpt)", "evidence": "secondary"}}
        document["general"][0]["sources"] = ["OWN-1"]

    assert [] == _broken(change)
    problems = _broken(lambda one: one.update(sources={"OWN-2": {"citation": "A page"}}))
    assert any("OWN-2" in problem for problem in problems)


@pytest.mark.parametrize(
    "place",
    [
        lambda one: one["streams"][0]["transport_line"],
        lambda one: one["streams"][0]["waste_codes"][0],
        lambda one: one["general"][0],
        lambda one: next(iter(one["load_warnings"].values())),
    ],
    ids=["transport line", "waste code", "general", "warning"],
)
def test_a_purpose_is_refused_where_it_would_change_nothing(place):
    assert _broken(lambda one: place(one).update(purpose="sale")) != []
    assert _broken(lambda one: one["streams"][0]["packing"][0].update(purpose="sale")) == []
