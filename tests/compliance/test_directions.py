"""Every chemistry, condition, jurisdiction and side of each date: more damage is never a lighter instruction.

The table goes through every case, terminals and handling that a battery can have. What is compared are
the streams and what is printed for them, by hand-set order of harshness.
"""

from datetime import date, timedelta
from functools import cache
from itertools import pairwise, product

import pytest

from intake.compliance.assess import assess_compliance
from intake.compliance.streams import choose_stream
from intake.model.battery import Chemistry
from intake.model.verdict import Handling
from intake.policy.rule_data import load_jurisdiction, load_rules
from tests.compliance.builders import batch, battery, no_masses, verdict

ALL = pytest.mark.parametrize("jurisdiction", load_rules())
CASES = ("sound", "scuffed", None, "dented", "cracked", "leaking", "swollen", "burnt")
WHOLE = ("sound", "scuffed")
TERMINALS = ("sound", "corroded", "loose", "broken")
HANDLINGS = ("intact", "suspect", "damaged")
LADDERS = {
    "LFP": ("lfp-intact", "lfp-damaged"),
    "flooded": ("lead-acid-wet", "lead-acid-damaged"),
    "flooded sealed": ("lead-acid-wet", "lead-acid-damaged"),
    "EFB": ("lead-acid-wet", "lead-acid-damaged"),
    "AGM": ("lead-acid-non-spillable", "lead-acid-wet", "lead-acid-damaged"),
    "gel": ("lead-acid-non-spillable", "lead-acid-wet", "lead-acid-damaged"),
    "other": ("other-or-unknown",),
    "unknown": ("other-or-unknown",),
}
"""Streams of each chemistry, the lightest first."""
AIR = "By air"


def _days():
    """Return both sides of every date that a statement has, of its sixty days, and of the data's own."""
    turns = set()
    for rules in load_rules().values():
        turns |= {rules.rule_data.speaks_from, rules.rule_data.review_by + timedelta(days=1)}
        for rule in (*rules.general, *(rule for one in rules.streams for rule in _of(one))):
            turns |= {rule.valid_from} if rule.valid_from else set()
            turns |= {rule.valid_to + timedelta(days=1)} if rule.valid_to else set()
    offsets = [timedelta(days=days) for days in (-61, -60, -1, 0, 60, 61)]
    return sorted({turn + offset for turn in turns for offset in offsets})


def _of(stream):
    return (
        stream.transport_line,
        *stream.waste_codes,
        *stream.packing,
        *stream.storage,
        *stream.statements,
    )


DAYS = _days()


@cache
def _streams(jurisdiction, day):
    """Return what is printed for each stream on a day, by its key."""
    rows = (
        battery("W", "flooded"),
        battery("N", "AGM", non_spillable_mark=True),
        battery("D", "flooded", case="cracked"),
        battery("L", "LFP"),
        battery("X", "LFP", case="dented"),
        battery("U", "unknown"),
    )
    one = batch(*rows, jurisdiction=jurisdiction, received=day)
    assessed = assess_compliance(
        one, [verdict()] * len(rows), no_masses(rows), load_jurisdiction(jurisdiction)
    )
    return {stream.key: stream for stream in assessed.streams}


def _stream(chemistry, case, handling, *, mark=True):
    return choose_stream(
        chemistry=Chemistry(chemistry), handling=Handling(handling), non_spillable_mark=mark, case=case
    )


def test_the_table_goes_through_every_chemistry_and_both_sides_of_the_known_dates():
    assert {one.value for one in Chemistry} == set(LADDERS)
    assert {date(2026, 12, 8), date(2026, 12, 9), date(2026, 9, 30), date(2026, 10, 1)} <= set(DAYS)
    assert {date(2026, 12, 31), date(2027, 1, 1)} <= set(DAYS)


@pytest.mark.parametrize("chemistry", LADDERS)
@pytest.mark.parametrize("mark", [True, False])
def test_worse_handling_or_a_worse_case_is_never_a_lighter_stream(chemistry, mark):
    ladder = LADDERS[chemistry]
    rank = {
        (case, handling): ladder.index(_stream(chemistry, case, handling, mark=mark))
        for case, handling in product(CASES, HANDLINGS)
    }
    for case, (better, worse) in product(CASES, pairwise(HANDLINGS)):
        assert rank[case, better] <= rank[case, worse]
    for whole, other, handling in product(WHOLE, CASES, HANDLINGS):
        assert rank[whole, handling] <= rank[other, handling] or other in WHOLE


@pytest.mark.parametrize(("case", "handling"), list(product(CASES, HANDLINGS)))
def test_lithium_leaves_as_intact_only_if_case_and_handling_both_say_so(case, handling):
    intact = case in WHOLE and handling == "intact"
    assert intact is (_stream("LFP", case, handling) == "lfp-intact")


@ALL
@pytest.mark.parametrize("day", DAYS, ids=str)
def test_what_is_printed_for_damaged_lithium_is_never_lighter_than_for_intact(jurisdiction, day):
    streams = _streams(jurisdiction, day)
    intact, damaged = streams["lfp-intact"], streams["lfp-damaged"]
    words = _words(damaged)
    # Packings and reliefs that only the undamaged may use: P909 and SP 377 (ADR), 173.185(d) (US).
    assert not [one for one in ("P909", "SP 377", "173.185(d)", "173.185(c)", "SP 188") if one in words]
    # The same entry of the list: damage changes how it is packed, never what it is.
    if intact.transport_line.text:
        assert intact.transport_line.text == damaged.transport_line.text
    assert damaged.packing


@ALL
@pytest.mark.parametrize("day", DAYS, ids=str)
def test_what_is_printed_for_damaged_lead_acid_opens_no_relief_of_the_whole_ones(jurisdiction, day):
    damaged = _streams(jurisdiction, day)["lead-acid-damaged"]
    reliefs = [one for one in damaged.statements if "SP 598" in one.heading]
    assert all(one.text is None or one.text.startswith("Does not fit") for one in reliefs)
    assert "non-spillable" not in " ".join(one.text or "" for one in damaged.packing).casefold()
    assert damaged.packing


@ALL
@pytest.mark.parametrize("day", DAYS, ids=str)
def test_nothing_flies_and_damaged_lithium_never_in_the_same_words_everywhere(jurisdiction, day):
    streams = _streams(jurisdiction, day)
    (damaged,) = [one for one in streams["lfp-damaged"].statements if one.heading == AIR]
    (known,) = [one for one in _streams("US", day)["lfp-damaged"].statements if one.heading == AIR]
    assert damaged == known
    assert damaged.text.startswith(
        "Forbidden, passenger and cargo aircraft, for damaged or defective lithium"
    )
    for key in ("lead-acid-wet", "lead-acid-damaged", "lfp-intact", "other-or-unknown"):
        (air,) = [one.text for one in streams[key].statements if one.heading == AIR]
        assert air.startswith("Not by air")
    proves = [one.text for one in streams["lfp-intact"].statements if one.heading.startswith(f"{AIR}, if")]
    assert proves == ["Forbidden altogether."]
    assert "unless" not in _words(streams["lfp-damaged"]).casefold()


@ALL
@pytest.mark.parametrize("day", DAYS, ids=str)
def test_what_may_be_lithium_is_treated_as_lithium_that_cannot_be_diagnosed(jurisdiction, day):
    unknown = _streams(jurisdiction, day)["other-or-unknown"]
    assert unknown.transport_line.text is None
    assert "lithium that cannot be diagnosed" in _words(unknown)


@ALL
@pytest.mark.parametrize(("chemistry", "case", "terminals"), list(product(LADDERS, CASES, TERMINALS)))
def test_every_battery_has_a_stream_and_a_way_to_pack_it_in_every_jurisdiction(
    jurisdiction, chemistry, case, terminals
):
    for handling in HANDLINGS:
        one = batch(battery("A1", chemistry, case=case, terminals=terminals), jurisdiction=jurisdiction)
        assessed = assess_compliance(
            one, [verdict(handling=handling)], no_masses(one.batteries), load_jurisdiction(jurisdiction)
        )
        (stream,) = assessed.streams
        assert stream.key in LADDERS[chemistry]
        assert stream.packing
        assert all(one.checked for one in (*stream.packing, *stream.waste_codes, *stream.statements))


def _words(stream):
    """Return all that is printed for a stream."""
    return " ".join(
        f"{one.heading} {one.text or ''}"
        for one in (*stream.waste_codes, *stream.packing, *stream.storage, *stream.statements)
    )
