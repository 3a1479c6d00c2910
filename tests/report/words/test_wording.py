"""The shipped texts."""

from intake.model.verdict import Evidence, Grade
from intake.report.words.wording import load_wording


def test_every_grade_and_kind_of_evidence_has_words():
    wording = load_wording()

    assert set(Grade) == set(wording.grades)
    assert set(Evidence) == set(wording.evidence)
    assert all(words.title and words.meaning for words in wording.grades.values())


def test_every_limit_of_a_grade_names_its_source():
    assert 4 == len(load_wording().limits_of_a_grade)
    assert all(entry.text and entry.source for entry in load_wording().limits_of_a_grade)
