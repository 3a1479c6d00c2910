"""What holds in a region, and what is said of one that the data do not know."""

import pytest

from intake.compliance.assess import assess_compliance
from intake.compliance.regions import in_region
from intake.policy.rule_data import load_jurisdiction, load_rules
from tests.compliance.builders import batch, battery, no_masses, verdict

ALL = pytest.mark.parametrize("jurisdiction", load_rules())


def _assessed(jurisdiction, region):
    one = batch(battery("A1", "LFP"), jurisdiction=jurisdiction, region=region)
    return assess_compliance(one, [verdict()], no_masses(one.batteries), load_jurisdiction(jurisdiction))


def _asked(jurisdiction, region):
    return next(
        (one.text for one in _assessed(jurisdiction, region).general if one.heading == "Region"), None
    )


def _texts(jurisdiction, region):
    return repr(_assessed(jurisdiction, region))


@pytest.mark.parametrize(
    ("jurisdiction", "region", "own", "others"),
    [
        ("EU", "DE", "Waste code, lithium, Germany", ["Waste code, lithium, Italy"]),
        ("EU", "germany", "Waste code, lithium, Germany", ["Waste code, lithium, Italy"]),
        ("EU", "Italy", "Waste code, lithium, Italy", ["Waste code, lithium, Germany"]),
        ("US", "washington", "Washington State: fire code", ["California"]),
        ("UK", "Scotland", "Digital waste tracking, Scotland", ["Digital waste tracking, England"]),
    ],
)
def test_a_region_gets_its_own_statements_and_not_those_of_others(jurisdiction, region, own, others):
    shown = _texts(jurisdiction, region)
    assert own in shown
    assert not [heading for heading in others if heading in shown]
    assert "confirm with the authority" in _asked(jurisdiction, region)


@ALL
def test_what_is_not_known_of_a_region_is_said_never_silence(jurisdiction):
    asked = _asked(jurisdiction, "Far  Corner")
    assert asked == "Far Corner: no rule of its own is held here. Confirm with the authority what differs."


@pytest.mark.parametrize("jurisdiction", ["US", "EU", "UK", "CA"])
def test_without_a_region_all_is_shown_and_the_region_asked_for(jurisdiction):
    rules = load_jurisdiction(jurisdiction)
    kept = in_region(rules, None)
    assert rules.streams == kept.streams
    assert "names no" in _asked(jurisdiction, None)


@ALL
@pytest.mark.parametrize("region", [None, "Far Corner", "DE", "England", "CA"])
def test_no_region_takes_a_warning_or_a_transport_line_away(jurisdiction, region):
    rules = load_jurisdiction(jurisdiction)
    kept = in_region(rules, region)
    assert rules.load_warnings == kept.load_warnings
    assert [one.transport_line for one in rules.streams] == [one.transport_line for one in kept.streams]
    assert [one.key for one in rules.streams] == [one.key for one in kept.streams]
