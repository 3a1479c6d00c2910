"""What a label says."""

from intake.report.labels.label import tag_in_words
from tests.report.builders import battery


def test_a_tag_stands_alone():
    assert "B-001" == tag_in_words(battery(1), twin=False)


def test_a_tag_that_stands_twice_has_its_row():
    assert "B-001 (row 5)" == tag_in_words(battery(1), twin=True)


def test_a_row_without_a_tag_says_so():
    assert "no tag, row 17" == tag_in_words(battery(1, tag="row 17", row=17), twin=False)
    assert "no tag, row 17" == tag_in_words(battery(1, tag="row 17", row=17), twin=True)
