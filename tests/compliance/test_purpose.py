"""Rules for disposal alone are not printed for what is sold, and the other way round."""

import pytest

from intake.compliance.assess import assess_compliance, streams_on
from intake.compliance.pallet import Item, item_of, pallet_of
from intake.model.compliance import Purpose
from intake.model.condition import Condition
from intake.model.load import LoadKind
from intake.model.result import GradedBattery
from intake.policy.jurisdictions import Standing
from intake.policy.rule_data import load_jurisdiction, load_rules
from tests.compliance.builders import RECEIVED, batch, battery, no_masses, verdict

ALL = pytest.mark.parametrize("jurisdiction", load_rules())


def assessed(jurisdiction, grade, *batteries):
    one = batch(*batteries, jurisdiction=jurisdiction)
    verdicts = [verdict(grade)] * len(batteries)
    return assess_compliance(one, verdicts, no_masses(batteries), load_jurisdiction(jurisdiction))


def lithium(jurisdiction):
    (stream,) = streams_on(load_jurisdiction(jurisdiction).streams, {"L": "lfp-intact"}, RECEIVED)
    return stream


def of(stream):
    return [*stream.packing, *stream.storage, *stream.statements]


@ALL
def test_each_purpose_leaves_out_what_holds_for_the_other_alone(jurisdiction):
    whole = lithium(jurisdiction)
    for purpose, other in ((Purpose.DISPOSAL, Purpose.SALE), (Purpose.SALE, Purpose.DISPOSAL)):
        kept = whole.carried_for(purpose)
        left_out = [one for one in of(whole) if one not in of(kept)]
        assert left_out
        assert {one.purpose for one in left_out} == {other}
        assert kept.transport_line == whole.transport_line
    assert whole.carried_for(None) == whole
    assert whole.carried_for(Purpose.DISPOSAL).waste_codes == whole.waste_codes
    assert () == whole.carried_for(Purpose.SALE).waste_codes


@ALL
def test_sold_lithium_is_never_without_a_way_to_pack_it_or_a_question(jurisdiction):
    sold = lithium(jurisdiction).carried_for(Purpose.SALE)
    assert sold.packing
    told = " ".join(one.text or one.heading for one in of(sold))
    assert "P909" not in told.replace("Not P909", "")
    air = [one.text for one in sold.statements if one.heading == "By air"]
    assert ["Not by air"] == [text[:10] for text in air]


@ALL
def test_the_disposal_sheet_and_its_data_hold_nothing_of_a_sale(jurisdiction):
    told = assessed(jurisdiction, "recycle", battery("A"), battery("L", "LFP"))
    assert not [one for stream in told.streams for one in of(stream) if one.purpose is Purpose.SALE]
    assert not [one for one in told.forms if one.purpose is Purpose.SALE]


@pytest.mark.parametrize("jurisdiction", ["EU", "UK"])
def test_the_resale_list_tells_of_each_kind_that_is_in_it(jurisdiction):
    def headings(*batteries):
        return [one.heading for one in assessed(jurisdiction, "resale-after-charge", *batteries).resale]

    relief, tested = "Lead-acid that is sold, SP 598", "Lithium that is sold: tested type, SP 230"
    assert 1 == headings(battery("A"), battery("B", "AGM"), battery("C", "EFB")).count(relief)
    assert tested not in headings(battery("A"))
    assert tested in headings(battery("L", "LFP"))
    assert relief not in headings(battery("L", "LFP"))


@ALL
def test_what_is_read_out_of_the_words_is_marked_as_a_proposal(jurisdiction):
    for stream in load_jurisdiction(jurisdiction).streams:
        for rule in stream.statements:
            if rule.heading == "Lead-acid that is sold, SP 598":
                assert rule.standing is Standing.PROPOSAL


def test_a_load_knows_its_purpose_by_its_kind():
    assert [LoadKind.RECYCLING.purpose, LoadKind.SALE.purpose, LoadKind.RETURN.purpose] == [
        Purpose.DISPOSAL,
        Purpose.SALE,
        None,
    ]


@pytest.mark.parametrize("grade", ["recycle", "resale-after-charge", "reconditionable", "unresolved"])
@pytest.mark.parametrize("case", ["sound", "dented", None])
def test_carriage_asks_the_graded_battery_for_its_condition(grade, case):
    told = verdict(grade)
    item = item_of(battery("A", case=case), told, mass_kg=12.0, mass_estimated=True)
    graded = GradedBattery(battery("A", case=case), told, None, 12.0, True)
    assert Item(graded) == item
    assert graded.condition_when(packed=True) is item.condition
    assert graded.condition is graded.condition_when(packed=grade == "recycle")
    assert item.dented == (case == "dented" and grade != "recycle")


def test_a_shared_tag_has_its_worst_condition_however_it_is_counted():
    ones = (battery("A"), battery("a", case="leaking"))
    first, _ = pallet_of(batch(*ones), [verdict()] * 2, no_masses(ones))
    assert Condition.DAMAGED is first.condition
    assert Condition.DAMAGED is first.graded.condition_when(packed=False)
    assert not first.dented
