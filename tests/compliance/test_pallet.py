import pytest

from intake.compliance.pallet import Condition, condition_of, pallet_of
from intake.model.verdict import Handling
from tests.compliance.builders import batch, battery, verdict


@pytest.mark.parametrize(
    ("handling", "case", "expected"),
    [
        ("intact", "sound", Condition.INTACT),
        ("intact", "scuffed", Condition.INTACT),
        ("intact", "cracked", Condition.DAMAGED),
        ("intact", None, Condition.CASE_NOT_READ),
        ("suspect", "sound", Condition.SUSPECT),
        ("suspect", None, Condition.SUSPECT),
        ("suspect", "leaking", Condition.DAMAGED),
        ("damaged", "sound", Condition.DAMAGED),
        ("damaged", None, Condition.DAMAGED),
    ],
)
def test_condition_is_the_worst_of_handling_and_case(handling, case, expected):
    assert expected is condition_of(handling=Handling(handling), case=case)


def test_verdicts_and_masses_must_match_the_batteries():
    one = batch(battery("A1"))
    with pytest.raises(ValueError, match="zip"):
        pallet_of(one, [], [(None, False)])
    with pytest.raises(ValueError, match="zip"):
        pallet_of(one, [verdict()], [])


def test_batteries_keep_their_own_verdict_and_mass():
    items = pallet_of(
        batch(battery("A1"), battery("A2", "LFP")),
        [verdict(), verdict("unresolved")],
        [(15.0, False), (12.0, True)],
    )
    assert [("A1", "recycle", 15.0, False), ("A2", "unresolved", 12.0, True)] == [
        (one.battery.tag, one.verdict.grade, one.mass_kg, one.mass_estimated) for one in items
    ]
    assert [(True, False, False), (False, True, False)] == [
        (one.lead_acid, one.lithium, one.unidentified) for one in items
    ]
