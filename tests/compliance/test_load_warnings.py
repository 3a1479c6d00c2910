"""Warnings over the whole pallet, whatever the grades."""

from datetime import date

import pytest

from intake.compliance.load_warnings import load_warnings
from intake.compliance.pallet import pallet_of
from intake.policy.rule_data import load_jurisdiction, load_rules
from tests.compliance.builders import batch, battery, verdict

DAY = date(2026, 11, 25)
SMALL_LOAD = "Small load"


def _warned(jurisdiction, *rows, with_points=False):
    """Return heading -> text; a row is a battery, or a battery with its verdict and mass."""
    full = [row if type(row) is tuple else (row,) for row in rows]
    full = [(*row, *(verdict(), (None, False))[len(row) - 1 :]) for row in full]
    pallet = pallet_of(batch(*(row[0] for row in full)), [row[1] for row in full], [row[2] for row in full])
    shown = load_warnings(pallet, load_jurisdiction(jurisdiction), DAY)
    assert all(one.text and one.source for one in shown)
    return {one.heading: one.text for one in shown if SMALL_LOAD not in one.heading or with_points}


ALL = pytest.mark.parametrize("jurisdiction", load_rules())


@ALL
def test_an_empty_pallet_warns_of_nothing(jurisdiction):
    assert {} == _warned(jurisdiction)


@ALL
def test_sound_lead_acid_alone_warns_of_nothing(jurisdiction):
    rows = [battery("A1", case_plastic="PP"), battery("A2", "AGM", case_plastic="PP")]
    assert {} == _warned(jurisdiction, *rows)


@pytest.mark.parametrize("chemistry", ["LFP", "other", "unknown"])
def test_us_any_possible_lithium_or_nickel_closes_the_wet_relief(chemistry):
    warned = _warned("US", battery("A1"), battery("A2", chemistry))
    assert "173.159(e)" in warned["Lithium or nickel beside wet batteries"]
    assert "(A2)" in warned["Lithium or nickel beside wet batteries"]


def test_us_lithium_alone_closes_nothing():
    assert {} == _warned("US", battery("A1", "LFP"))


@pytest.mark.parametrize("jurisdiction", [key for key in load_rules() if key != "US"])
def test_lithium_beside_lead_acid_asks_for_the_transport_adviser(jurisdiction):
    warned = _warned(jurisdiction, battery("A1", case_plastic="PP"), battery("A2", "LFP"))
    assert warned["Lithium beside lead-acid"].startswith("Here 1 LFP (A2) beside 1 flooded.")


@ALL
@pytest.mark.parametrize("chemistry", ["other", "unknown"])
def test_unidentified_beside_acid_may_be_alkali(jurisdiction, chemistry):
    warned = _warned(jurisdiction, battery("A1"), battery("A2", chemistry))
    assert f"Here 1 of {chemistry} chemistry (A2) beside 1 flooded." in warned["Acid and alkali"]


@ALL
def test_unidentified_alone_is_no_mix(jurisdiction):
    assert {} == _warned(jurisdiction, battery("A1", "unknown"))


@ALL
def test_damaged_among_intact_is_named_and_damaged_alone_is_not(jurisdiction):
    damaged = (battery("A1", case="leaking", case_plastic="PP"), verdict(handling="damaged"))
    ((heading, text),) = _warned(jurisdiction, damaged, battery("A2", case_plastic="PP")).items()
    assert heading.startswith("Damaged")
    assert "(A1)" in text
    assert {} == _warned(jurisdiction, damaged)


LITHIUM_RULES = ("SP 376", "173.185", "ithium")
LEAD_RULES = ("SP 598", "173.159", "ead-acid")


@pytest.mark.parametrize("jurisdiction", ["US", "EU", "UK"])
@pytest.mark.parametrize(
    ("chemistry", "own", "others"),
    [
        ("flooded", LEAD_RULES, LITHIUM_RULES),
        ("AGM", LEAD_RULES, LITHIUM_RULES),
        ("LFP", LITHIUM_RULES, LEAD_RULES),
    ],
)
def test_rules_of_damaged_ones_are_those_of_their_chemistry(jurisdiction, chemistry, own, others):
    damaged = (battery("A1", chemistry, case="cracked", case_plastic="PP"), verdict(handling="damaged"))
    warned = _warned(jurisdiction, damaged, battery("A2", chemistry, case_plastic="PP"))
    ((heading, text),) = [one for one in warned.items() if "Damaged" in one[0]]
    assert any(word in f"{heading} {text}" for word in own)
    assert not any(word in f"{heading} {text}" for word in others)


@ALL
@pytest.mark.parametrize("chemistry", ["other", "unknown"])
def test_a_damaged_one_that_may_be_lithium_is_never_passed_over(jurisdiction, chemistry):
    damaged = (battery("A1", chemistry, case="cracked"), verdict(handling="damaged"))
    warned = _warned(jurisdiction, damaged, battery("A2", case_plastic="PP"))
    assert ["(A1)"] == ["(A1)" for heading in warned if "Damaged" in heading and "(A1)" in warned[heading]]


@pytest.mark.parametrize("jurisdiction", ["US", "EU", "UK"])
def test_of_damaged_ones_of_two_chemistries_each_is_named_once(jurisdiction):
    warned = _warned(
        jurisdiction,
        (battery("A1", "LFP", case="cracked"), verdict(handling="damaged")),
        (battery("A2", case="cracked", case_plastic="PP"), verdict(handling="damaged")),
        battery("A3", case_plastic="PP"),
    )
    told = {heading: text for heading, text in warned.items() if heading.startswith("Damaged")}
    assert "(A1)" in told["Damaged lithium beside intact batteries"]
    assert "(A2)" in told["Damaged lead-acid beside intact batteries"]
    assert 2 == len(told)


@ALL
@pytest.mark.parametrize("case", ["sound", None])
def test_lithium_not_diagnosed_is_never_on_the_intact_line(jurisdiction, case):
    handling = "suspect" if case else "intact"
    warned = _warned(jurisdiction, (battery("A1", "LFP", case=case), verdict(handling=handling)))
    assert "ever on the intact line" in warned["Lithium not diagnosed"]


@ALL
def test_diagnosed_lithium_is_not_called_undiagnosed(jurisdiction):
    rows = [(battery("A1", "LFP")), (battery("A2", "LFP"), verdict(handling="damaged"))]
    assert "Lithium not diagnosed" not in _warned(jurisdiction, *rows)


@pytest.mark.parametrize("jurisdiction", ["EU", "UK"])
def test_the_small_load_sum_counts_each_kilogram_by_its_category(jurisdiction):
    """ADR 2025, 1.1.3.6.4: category 2 counts 3 for each kg, category 3 counts 1."""
    warned = _warned(
        jurisdiction,
        (battery("A1", "LFP"), verdict(), (11.25, False)),
        (battery("A2", "LFP", case="swollen"), verdict(handling="damaged"), (12.25, True)),
        (battery("A3"), verdict(), (15.0, True)),
        battery("A4"),
        battery("A5", "unknown"),
        with_points=True,
    )
    expected = (
        "Here 23.5 kg × 3 + 15.0 kg × 1 = 86 points, net, 2 of 4 estimated, 1 without a mass not counted, "
        "1 not identified not counted. "
    )
    assert warned["Small load, ADR 1.1.3.6"].startswith(expected)
    assert "no estimate" in warned["Small load, ADR 1.1.3.6"]


@pytest.mark.parametrize("jurisdiction", ["US", "CA", "other"])
def test_outside_adr_there_is_no_small_load_sum(jurisdiction):
    row = (battery("A1", "LFP"), verdict(), (11.25, False))
    assert not [one for one in _warned(jurisdiction, row, with_points=True) if SMALL_LOAD in one]


@ALL
def test_a_note_that_speaks_of_damage_beside_a_sound_case_is_a_warning(jurisdiction):
    warned = _warned(
        jurisdiction,
        battery("A1", note="dent in the side", case_plastic="PP"),
        battery("A2", note="no dent", case_plastic="PP"),
    )
    assert ["Note speaks of damage, Case does not"] == list(warned)
    assert "Here 1 flooded (A1)." in warned["Note speaks of damage, Case does not"]


@ALL
def test_what_is_not_identified_leaves_with_no_other_stream(jurisdiction):
    warned = _warned(jurisdiction, battery("A1", "unknown"), battery("A2", "LFP"))
    assert "(A1) beside 1 LFP" in warned["Not identified, beside others"]


@pytest.mark.parametrize(("mass_kg", "heavy"), [(30.0, False), (30.1, True), (None, False)])
def test_damaged_lithium_over_thirty_kg_goes_one_per_outer(mass_kg, heavy):
    row = (battery("A1", "LFP", case="swollen"), verdict(handling="damaged"), (mass_kg, False))
    assert heavy is ("Damaged or undiagnosed lithium over 30 kg" in _warned("EU", row))


def test_heavy_intact_lithium_has_no_such_limit():
    row = (battery("A1", "LFP"), verdict(), (31.0, False))
    assert "Damaged or undiagnosed lithium over 30 kg" not in _warned("EU", row)


def test_uk_unknown_case_plastic_of_lead_acid_is_assumed_to_hold_pops():
    rows = [battery("A1"), battery("A2", case_plastic="other"), battery("A3", case_plastic="PP")]
    warned = _warned("UK", *rows, battery("A4", "LFP"))
    assert "Here 1 flooded (A1). Unknown" in warned["Case plastic unknown (England)"]
    assert "assume it holds POPs" in warned["Case plastic unknown (England)"]
    assert "(A2)" in warned["Case plastic other than polypropylene (England)"]


@pytest.mark.parametrize("jurisdiction", [key for key in load_rules() if key != "UK"])
def test_case_plastic_is_a_matter_of_england_only(jurisdiction):
    assert {} == _warned(jurisdiction, battery("A1"), battery("A2", case_plastic="other"))


@pytest.mark.parametrize(
    ("grade", "evidence", "unproven"),
    [
        ("resale-after-charge", "none", True),
        ("resale-after-charge", "rest-only", True),
        ("resale-after-charge", "short-hold", False),
        ("resale-after-charge", "long-hold", False),
        ("recycle", "rest-only", False),
    ],
)
def test_eu_resale_on_rest_voltage_alone_is_not_yet_proven(grade, evidence, unproven):
    row = (battery("A1"), verdict(grade, evidence=evidence))
    assert unproven is ("Resale without a hold test" in _warned("EU", row))
    assert "Resale without a hold test" not in _warned("US", row)
