import pytest

from intake.grading.cited_sources import basis
from intake.policy.cited import CitedTable, CitedValue, Status

MEASURED = CitedValue(1.0, "V", "A manual", Status.OPENED)
TRADE = CitedValue(2.0, "V", "The trade", Status.COMMON_PRACTICE)
SITE = CitedValue(3.0, "V", "The site", Status.SITE_CHOICE)
REMEMBERED = CitedTable(((0.0, 1.0), (1.0, 2.0)), "% -> V", "A handbook", Status.FROM_MEMORY)


def test_one_value_is_its_own_basis():
    assert {"source": "A manual", "status": "opened"} == basis(MEASURED)


def test_sources_are_joined_in_their_order_and_said_once():
    assert "The trade; A manual" == basis(TRADE, MEASURED, TRADE)["source"]


@pytest.mark.parametrize(
    ("cited", "expected"),
    [
        ((MEASURED, TRADE), "common practice"),
        ((TRADE, SITE), "site choice"),
        ((MEASURED, SITE), "site choice"),
        ((SITE, REMEMBERED), "from memory"),
        ((REMEMBERED, MEASURED, TRADE), "from memory"),
    ],
)
def test_the_status_is_that_of_the_weakest(cited, expected):
    assert expected == basis(*cited)["status"]
