import pytest

from intake.compliance.pallet import pallet_of
from tests.compliance.builders import batch, battery, verdict


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
