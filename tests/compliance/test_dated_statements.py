"""What is printed of a statement on a day: dates around each change, and nothing from memory."""

from datetime import date, timedelta

import pytest

from intake.compliance.dated_statements import statement_on, statements_on
from intake.policy.jurisdictions import Rule, Source, Standing

OFFICIAL = Source("Some law; section 1; 2020 (law text, excerpt)", "authority")
WHOLE = Source("Some law; section 2; 2020 (law text, whole section)", "authority")
REPORT = Source("Some page; 2021 (report, excerpt)", "secondary")
LAST_OLD, FIRST_NEW = date(2026, 12, 8), date(2026, 12, 9)


def _rule(text="old code", standing=Standing.OPENED, sources=(OFFICIAL,), **dates):
    return Rule("Waste code", text, standing, sources, **dates)


OLD = _rule("old code", valid_to=LAST_OLD)
NEW = _rule("new code", valid_from=FIRST_NEW)


@pytest.mark.parametrize(
    ("days", "old", "new"),
    [
        (-61, "old code", None),
        (-60, "In force until 2026-12-08: old code", "Not yet in force, from 2026-12-09: new code"),
        (-59, "In force until 2026-12-08: old code", "Not yet in force, from 2026-12-09: new code"),
        (-1, "In force until 2026-12-08: old code", "Not yet in force, from 2026-12-09: new code"),
        (0, "Until 2026-12-08, no longer in force: old code", "In force from 2026-12-09: new code"),
        (59, "Until 2026-12-08, no longer in force: old code", "In force from 2026-12-09: new code"),
        (60, "Until 2026-12-08, no longer in force: old code", "In force from 2026-12-09: new code"),
        (61, None, "new code"),
    ],
)
def test_both_sides_of_a_change_are_shown_within_sixty_days_of_it(days, old, new):
    day = FIRST_NEW + timedelta(days=days)
    assert [old, new] == [one.text for one in statements_on((OLD, NEW), day)]


def test_what_is_out_of_date_keeps_heading_and_dates_and_loses_text_and_source():
    shown = statement_on(OLD, date(2027, 6, 1))
    assert ("Waste code", None, "", LAST_OLD) == (shown.heading, shown.text, shown.source, shown.valid_to)


def test_a_statement_with_both_dates_is_marked_at_the_nearer_end():
    short = _rule(valid_from=date(2026, 1, 1), valid_to=date(2026, 12, 31))
    assert "In force until 2026-12-31: old code" == statement_on(short, date(2026, 12, 31)).text
    assert "In force from 2026-01-01: old code" == statement_on(short, date(2026, 1, 1)).text
    assert "old code" == statement_on(short, date(2026, 7, 1)).text


def test_what_is_from_memory_is_a_heading_only():
    shown = statement_on(_rule(None, Standing.FROM_MEMORY, ()), FIRST_NEW)
    assert (None, "", "not checked") == (shown.text, shown.source, shown.checked)


def test_what_was_found_on_the_pallet_opens_the_text_inside_its_dates():
    assert "Here 2 LFP. old code" == statement_on(_rule(), FIRST_NEW, found="Here 2 LFP.").text
    expected = "In force until 2026-12-08: Here 2 LFP. old code"
    assert expected == statement_on(OLD, LAST_OLD, found="Here 2 LFP.").text


@pytest.mark.parametrize(
    ("standing", "sources", "source", "checked"),
    [
        (Standing.OPENED, (OFFICIAL,), OFFICIAL.citation, "official text opened; excerpts read"),
        (Standing.OPENED, (WHOLE,), WHOLE.citation, "official text opened"),
        (
            Standing.OPENED,
            (REPORT,),
            REPORT.citation,
            "report about the rule opened, not the rule; excerpts read",
        ),
        (
            Standing.OPENED,
            (OFFICIAL, REPORT),
            f"{OFFICIAL.citation}; {REPORT.citation}",
            "opened: an official text, and a report about the rule; excerpts read",
        ),
        (Standing.PROPOSAL, (), "proposal of this tool", "no source says it outright"),
        (
            Standing.PROPOSAL,
            (REPORT,),
            f"proposal of this tool, read from: {REPORT.citation}",
            "no source says it outright",
        ),
        (Standing.COMMON_PRACTICE, (), "common practice", "no source opened"),
    ],
)
def test_each_standing_says_its_source_and_how_it_was_checked(standing, sources, source, checked):
    shown = statement_on(_rule(standing=standing, sources=sources), FIRST_NEW)
    assert (source, checked) == (shown.source, shown.checked)


@pytest.mark.parametrize(
    ("days", "old", "new"), [(-1, "old", None), (0, None, "new"), (-60, "old", None), (61, None, "new")]
)
def test_what_the_first_page_prints_is_only_what_is_in_force_on_the_day(days, old, new):
    rules = (_rule(valid_to=LAST_OLD, short="old"), _rule(valid_from=FIRST_NEW, short="new"))

    assert [old, new] == [one.short for one in statements_on(rules, FIRST_NEW + timedelta(days=days))]
