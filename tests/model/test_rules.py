"""The catalogue: every rule once, none without a remedy, and no name but a member's."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from intake.model.rules import Remedy, Rule
from tests.architecture.source import PACKAGE, python_files


@pytest.mark.parametrize("rule", Rule, ids=lambda rule: rule.id)
def test_every_rule_has_an_id_a_title_one_sentence_and_a_remedy(rule):
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", rule.id)
    assert rule.name == rule.id.upper().replace("-", "_")
    assert rule.title[0].isupper()
    assert rule.meaning.endswith(".")
    assert rule.meaning.count(".") == 1
    assert isinstance(rule.remedy, Remedy)
    assert rule is Rule(rule.id)


def test_no_id_and_no_title_stands_twice():
    assert len(Rule) == len({rule.id for rule in Rule}) == len({rule.title for rule in Rule})


def test_every_remedy_is_some_rules():
    assert set(Remedy) == {rule.remedy for rule in Rule}


def test_a_rule_without_a_remedy_does_not_come_into_being():
    make = Rule.__new_member__
    assert make(Rule, "some-rule", "Some rule", "It fires.", Remedy.SWAP_LEADS).remedy is Remedy.SWAP_LEADS
    with pytest.raises(TypeError, match="remedy"):
        make(Rule, "some-rule", "Some rule", "It fires.")


def test_these_rules_hide_the_charge():
    assert {
        "reading-reversed",
        "reading-implausible",
        "no-voltage",
        "bms-may-be-open",
        "lfp-overdischarged",
        "not-filled",
    } == {rule.id for rule in Rule if rule.hides_charge}


def test_no_id_of_a_rule_is_written_anywhere_else_in_the_package():
    ids = {f'"{rule.id}"' for rule in Rule if "-" in rule.id}  # "dented" is a case as well
    elsewhere = [
        (path.name, found)
        for path in python_files(PACKAGE)
        if path.name != "rules.py"
        for found in ids
        if found in path.read_text(encoding="utf-8")
    ]
    assert [] == elsewhere


@pytest.mark.parametrize(
    ("expression", "fault"),
    [
        ("step.rule is Rule.HOLD_HIGH", ""),
        ("step.rule is Rule.HOLD_HIHG", 'has no attribute "HOLD_HIHG"'),
        ("step.rule == 'hold-high'", "Non-overlapping equality check"),
        ("step.rule in {'hold-high'}", "Non-overlapping container check"),
    ],
)
def test_a_misspelt_rule_is_a_type_error(tmp_path: Path, expression, fault):
    pytest.importorskip("mypy")  # stands in the developers' environment only
    snippet = tmp_path / "snippet.py"
    snippet.write_text(
        "from intake.model.rules import Rule\nfrom intake.model.verdict import Step\n\n\n"
        f"def found(step: Step) -> bool:\n    return {expression}\n",
        encoding="utf-8",
    )
    command = [sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(tmp_path / "cache"), str(snippet)]
    told = subprocess.run(command, cwd=PACKAGE.parent, capture_output=True, text=True, check=False)
    if fault:
        assert fault in told.stdout
    else:
        assert 0 == told.returncode, told.stdout
