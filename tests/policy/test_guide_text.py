import math
import re
from itertools import chain
from pathlib import Path

import pytest

from intake.policy.dictionary import load_dictionary
from intake.policy.grading_policy import load_grading_policy
from intake.policy.guide_text import load_guide_text
from tests.grading.builders import graded, held

GUIDE = load_guide_text()
WORDS = {entry.label: entry.text for section in GUIDE.sections for entry in section.entries}


def test_every_column_of_batteries_stands_in_one_group_in_order() -> None:
    keys = [
        column.key for column in load_dictionary().sheets["batteries"].columns if column.place in (None, 1)
    ]
    assert keys == list(chain.from_iterable(group.keys for group in GUIDE.groups))


def test_every_sheet_has_its_legend() -> None:
    assert set(load_dictionary().sheets) == set(GUIDE.legends)


def test_no_label_stands_twice_so_that_each_can_be_pointed_at() -> None:
    assert len(WORDS) == sum(len(section.entries) for section in GUIDE.sections)


@pytest.mark.parametrize(
    ("label", "words"),
    [
        ("Local rules first", "licensed practice"),
        ("Lithium in trouble", "call a trained person"),
        ("Chemistry unknown", "Never charge"),
        ("Hydrogen", "No flames"),
        ("Acid", "Eye protection"),
        ("Short circuit", "rings"),
        ("Lifting", "lifting aid"),
        ("Cold", "frozen"),
        ("What it is not", "never says that a load or a sale is lawful or safe"),
        ("Capacity", "Only a measured discharge"),
    ],
)
def test_each_caution_stands_in_the_guide(label: str, words: str) -> None:
    assert words in WORDS[label]


def test_local_rules_stand_before_every_step() -> None:
    headings = [section.heading for section in GUIDE.sections]
    assert headings.index("Before you touch anything") < headings.index("Step by step")
    assert "come before anything written here" in GUIDE.basis


@pytest.mark.parametrize(
    ("value", "label", "words"),
    [
        (("rest", "shortest_rested_h", 0.5), "4  Let it rest", "half an hour"),
        (("rest", "lfp_settled_from_h", 3), "4  Let it rest", "three hours"),
        (("hold", "shortest_h", 0.5), "8  Hold, first", "before half an hour is listed but not used"),
        (("hold", "lfp_pair_early_from_h", 3), "8  Hold, first", "Three hours after the end of charge"),
        (("hold", "long_from_h", 12), "9  Hold, last", "twelve hours or more"),
        (("load_test", "least_rest_v", 12.4), "10  Strength", "12.4 V or more"),
        (("rest", "assumed_rested_h", 0.5), "Assumed, and said so", "Rested blank: half an hour"),
        (("capacity", "assumed_discharge_h", 20), "Assumed, and said so", "20 hours"),
        (("meter", "assumed_accuracy_percent", 0.5), "Assumed, and said so", "0.5 %"),
        (("meter", "assumed_accuracy_volts", 0.02), "Assumed, and said so", "0.02 V"),
    ],
)
def test_the_figures_of_the_guide_are_those_of_the_shipped_policy(
    value: tuple[str, str, float], label: str, words: str
) -> None:
    group, name, expected = value
    assert expected == getattr(getattr(load_grading_policy(), group), name).value
    assert words in WORDS[label]


def test_the_guide_names_clock_columns_as_the_workbook_does():
    headers = {one.header for one in load_dictionary().sheets["batteries"].columns}
    text = (Path(__file__).parents[2] / "templates" / "guide.json").read_text(encoding="utf-8")
    named = re.findall(r"(?:Rest|Hold start|Hold end|Hold) read at", text)
    assert named
    assert set(named) <= headers


@pytest.mark.parametrize("chemistry", ["flooded", "flooded sealed", "EFB", "AGM", "gel"])
@pytest.mark.parametrize("first_h", [3.0, 6.0])
def test_the_hours_that_the_guide_asks_for_find_what_runs_down(chemistry: str, first_h: float) -> None:
    """Settling by the contract's b, and a volt a day lost on top: found when read by the Guide, only then."""
    slope_v = 0.055 if chemistry in ("AGM", "gel") else 0.040

    def read(*hours: float, lost_v_per_day: float) -> str:
        readings = [(one, 13.4 - slope_v * math.log(one) - lost_v_per_day * one / 24) for one in hours]
        return graded(held(chemistry, *readings)).decisive.rule.id

    assert "hold-drop-fails" == read(first_h, 12.0, lost_v_per_day=1.0)
    assert "hold-drop-fails" != read(0.5, 12.0, lost_v_per_day=1.0)
    assert "hold-high" == read(first_h, 12.0, lost_v_per_day=0.0)
