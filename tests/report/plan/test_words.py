"""Moments, gaps and cautions in words."""

import json
from datetime import date

import pytest

from intake.model.battery import Chemistry
from intake.model.plan import Station, TaskKind
from intake.policy.resources import resource_text
from intake.report.plan.words import (
    cautions_for,
    day_in_words,
    gap_in_words,
    lateness_in_words,
    load_plan_words,
    moment_in_words,
    moment_seen_from,
    takes_in_words,
    working_time_in_words,
)
from tests.report.plan_builders import ALL, S1, at, small_plan


def test_every_task_has_a_name_and_says_what_to_do():
    words = load_plan_words().tasks

    assert set(TaskKind) == set(words)
    assert all(one.name and one.do.endswith(".") for one in words.values())


def test_no_text_is_left_over():
    document = json.loads(resource_text("templates", "plan-words.json"))

    assert {kind.value for kind in TaskKind} == set(document["tasks"])


def test_days_and_moments_name_weekday_and_date():
    assert "Wednesday 2026-11-25" == day_in_words(date(2026, 11, 25))
    assert "Wed 2026-11-25 07:05" == moment_in_words(at(25, 7, 5))


@pytest.mark.parametrize(
    ("moment", "expected"),
    [
        (at(20, 9, 30), "09:30"),
        (at(21, 0), "Sat 00:00"),
        (at(26, 23, 59), "Thu 23:59"),
        (at(27, 0), "Fri 2026-11-27 00:00"),
        (at(14, 12), "Sat 12:00"),
        (at(13, 12), "Fri 2026-11-13 12:00"),
    ],
)
def test_a_weekday_alone_is_used_only_where_it_means_one_day(moment, expected):
    assert expected == moment_seen_from(moment, date(2026, 11, 20))


@pytest.mark.parametrize(
    ("chemistries", "expected"),
    [
        (ALL, "lead-acid and LFP"),
        (S1.chemistries, "lead-acid"),
        ({Chemistry.LFP}, "LFP"),
        ({Chemistry.GEL, Chemistry.AGM, Chemistry.LFP}, "AGM, gel, LFP"),
        (S1.chemistries - {Chemistry.EFB}, "flooded, flooded sealed, AGM, gel"),
    ],
)
def test_what_a_station_takes(chemistries, expected):
    assert expected == takes_in_words(Station("S1", 10.0, frozenset(chemistries)))


def test_the_working_time_names_shifts_and_days():
    assert "08:00-17:00, Mon to Fri" == working_time_in_words(small_plan())
    week = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    two = small_plan(shifts=("06:00-12:00", "13:00-18:00"), days=week)
    assert "06:00-12:00 and 13:00-18:00, every day" == working_time_in_words(two)


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        (("mon", "tue", "wed", "thu", "fri", "sat"), "Mon to Sat"),
        (("mon", "tue", "wed", "sat"), "Mon to Wed, Sat"),
        (("sat", "sun"), "Sat, Sun"),
        (("mon", "wed", "fri"), "Mon, Wed, Fri"),
        (("sat",), "Sat"),
    ],
)
def test_days_that_follow_each_other_are_told_as_a_span(days, expected):
    assert f"08:00-17:00, {expected}" == working_time_in_words(small_plan(days=days))


def test_a_gap_is_told_with_both_moments():
    told = gap_in_words(small_plan())

    assert "finishes Tue 2026-11-24 08:03" in told
    assert "no plan can finish before Mon 2026-11-23 20:03" in told
    assert "%" not in told


def test_a_plan_that_meets_the_bound_says_that_none_is_sooner():
    told = gap_in_words(small_plan(bound=at(24, 8, 3), gap_percent=0.0))

    assert "no plan can finish sooner" in told
    assert "%" not in told


def test_an_empty_plan_says_so():
    assert "Nothing is planned." == gap_in_words(small_plan(tasks=(), end=at(20, 8), bound=at(20, 8)))


@pytest.mark.parametrize(
    ("late", "expected"),
    [(0, "as soon as it is due"), (1, "1 reading waits"), (2, "2 readings wait")],
)
def test_late_readings_are_counted(late, expected):
    assert expected in lateness_in_words(small_plan(late_readings=late))


def test_cautions_are_those_of_the_chemistries():
    lead = {one.text for one in cautions_for([Chemistry.AGM])}
    lithium = {one.text for one in cautions_for([Chemistry.LFP])}

    assert any("hydrogen" in text for text in lead - lithium)
    assert any("BMS" in text and "0 °C" in text for text in lithium - lead)
    assert any("Eye protection" in text for text in lead & lithium)
    assert () == cautions_for([])


def test_every_caution_names_a_source_or_common_practice():
    cautions = load_plan_words().cautions

    assert any("COSHH SR18" in one.source for one in cautions)
    assert all(one.source == "common practice" for one in cautions if not one.sources)
