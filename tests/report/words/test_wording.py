"""The shipped texts."""

import json

from intake.model.rules import Rule
from intake.model.verdict import Evidence, Grade
from intake.policy.resources import resource_text
from intake.report.words import wording
from intake.report.words.wording import load_wording


def test_every_grade_and_kind_of_evidence_has_words():
    wording = load_wording()

    assert set(Grade) == set(wording.grades)
    assert set(Evidence) == set(wording.evidence)
    assert all(words.title and words.short for words in wording.grades.values())


def test_every_limit_of_a_grade_names_its_source():
    assert 4 == len(load_wording().limits_of_a_grade)
    assert all(entry.text and entry.source for entry in load_wording().limits_of_a_grade)


def test_a_rule_without_words_of_its_own_shows_its_title(monkeypatch):
    document = json.loads(resource_text("templates", "wording.json"))
    del document["reasons"]["hold-high"]
    monkeypatch.setattr(wording, "resource_text", lambda *_: json.dumps(document))
    found = wording.load_wording.__wrapped__().reasons[Rule.HOLD_HIGH]
    assert "hold high: 12.7 V, limit 12.6 V" == found.format(measured="12.7 V", limit="12.6 V")
