"""Cells and rows of the results workbook."""

import pytest

from intake.report.xlsx.book import lines_in_cell


@pytest.mark.parametrize(
    ("text", "lines"), [("", 1), ("one", 1), ("one two three", 2), ("a\nb", 2), ("a\n\nb", 3), ("x" * 23, 3)]
)
def test_lines_of_a_wrapped_text_in_a_column_ten_characters_wide(text, lines):
    """11 letters fit: a column is counted in digits, and letters are a little narrower."""
    assert lines == lines_in_cell(text, 10)
