"""No number of its own in the grading: every one comes from the policy, with unit and source."""

import ast

import pytest

from tests.architecture.source import PACKAGE, python_files, tree_of

STRUCTURAL = (0, 1)
"""Neither is a limit of anything: first and last, nothing and all, next and before."""


def literals(tree):
    """Return the line and the value of every number that is not 0 or 1; a minus belongs to it."""
    return [
        (node.lineno, node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, int | float | complex)
        and not isinstance(node.value, bool)
        and node.value not in STRUCTURAL
    ]


def test_the_grading_has_no_number_of_its_own():
    files = python_files(PACKAGE / "grading")
    found = {path.name: literals(tree_of(path)) for path in files}
    assert {} == {name: numbers for name, numbers in found.items() if numbers}


def test_the_check_reads_the_files_that_decide():
    """A check that reads nothing passes always."""
    names = {path.name for path in python_files(PACKAGE / "grading")}
    assert {"rest_screen.py", "hold_test.py", "strength_tests.py", "quantities.py"} <= names


def test_numbers_that_hold_by_definition_stand_in_one_file_of_the_model():
    assert [100.0, 24.0] == [value for _, value in literals(tree_of(PACKAGE / "model" / "units.py"))]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("x >= 12.4", [12.4]),
        ("x = -0.5", [0.5]),
        ("y = x[2]", [2]),
        ("y = x ** 0.5", [0.5]),
        ("def f(limit=13): ...", [13]),
        ("y = 2j", [2j]),
        ("f'{x + 2:.3f}'", [2]),
        ("f'{x:.3f}'", []),
        ("x = '12.4 V'", []),
        ("y = x[0] + x[-1] + 1.0 + 0.0", []),
        ("y = True", []),
    ],
)
def test_a_number_is_seen_wherever_it_stands(text, expected):
    assert expected == [value for _, value in literals(ast.parse(text))]
