"""Which stream each battery goes to, against a table written by hand from the reference on regulation.

The reference (sections 1 and 2.1): non-spillable only with a readable mark and a whole case; a cracked or
leaking case closes the reliefs for intact ones; lithium that shows damage or cannot be diagnosed counts as
damaged; other and unknown chemistry is held until it is identified.
"""

import pytest

from intake.compliance.streams import choose_stream
from intake.model.battery import Chemistry
from intake.model.verdict import Handling

WET, MARKED, LEAD_DAMAGED = "lead-acid-wet", "lead-acid-non-spillable", "lead-acid-damaged"
LFP, LFP_DAMAGED, OTHER = "lfp-intact", "lfp-damaged", "other-or-unknown"

BY_HAND = {
    # chemistry: (intact unmarked, intact marked, suspect, damaged); suspect and damaged whatever the mark
    "flooded": (WET, WET, LEAD_DAMAGED, LEAD_DAMAGED),
    "flooded sealed": (WET, WET, LEAD_DAMAGED, LEAD_DAMAGED),
    "EFB": (WET, WET, LEAD_DAMAGED, LEAD_DAMAGED),
    "AGM": (WET, MARKED, LEAD_DAMAGED, LEAD_DAMAGED),
    "gel": (WET, MARKED, LEAD_DAMAGED, LEAD_DAMAGED),
    "LFP": (LFP, LFP, LFP_DAMAGED, LFP_DAMAGED),
    "other": (OTHER, OTHER, OTHER, OTHER),
    "unknown": (OTHER, OTHER, OTHER, OTHER),
}


def _choose(chemistry, handling="intact", *, mark=False, case="sound"):
    return choose_stream(
        chemistry=Chemistry(chemistry), handling=Handling(handling), non_spillable_mark=mark, case=case
    )


def test_the_table_covers_every_chemistry():
    assert {one.value for one in Chemistry} == set(BY_HAND)


@pytest.mark.parametrize("chemistry", BY_HAND)
def test_stream_follows_chemistry_handling_and_mark(chemistry):
    unmarked, marked, suspect, damaged = BY_HAND[chemistry]
    for case in ("sound", "scuffed"):
        assert unmarked == _choose(chemistry, case=case)
        assert marked == _choose(chemistry, mark=True, case=case)
    for mark in (False, True):
        assert suspect == _choose(chemistry, "suspect", mark=mark)
        assert damaged == _choose(chemistry, "damaged", mark=mark)


@pytest.mark.parametrize("case", ["cracked", "leaking", "swollen", "burnt", None])
@pytest.mark.parametrize("chemistry", BY_HAND)
def test_a_case_not_known_to_be_whole_is_never_on_an_intact_line(chemistry, case):
    damaged = BY_HAND[chemistry][3]
    for mark in (False, True):
        assert damaged == _choose(chemistry, mark=mark, case=case)
