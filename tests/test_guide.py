import pytest

from tests.external.agreement import CHECKS
from tests.guide import GUIDE, TABLES, around


@pytest.mark.parametrize("name", TABLES)
def test_the_guides_tables_are_those_that_the_tests_make(name):
    """Written anew by ``python -m tests.guide``."""
    _, inside, _ = around(name, GUIDE.read_text(encoding="utf-8"))
    assert TABLES[name]() == inside


def test_every_external_check_stands_in_the_table_with_its_source():
    _, inside, _ = around("external checks", GUIDE.read_text(encoding="utf-8"))
    assert len(CHECKS) == len(inside.splitlines()) - 2
    assert all(one.against and one.against in inside for one in CHECKS.values())
