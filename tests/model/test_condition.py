"""The condition that papers show, and the one that carriage counts with."""

import pytest

from intake.model.condition import Condition, condition_of
from intake.model.verdict import Handling


@pytest.mark.parametrize(
    ("handling", "case", "shown", "packed"),
    [
        ("intact", "sound", Condition.INTACT, Condition.INTACT),
        ("intact", "scuffed", Condition.INTACT, Condition.INTACT),
        ("intact", "dented", Condition.DENTED, Condition.DAMAGED),
        ("intact", None, Condition.CASE_NOT_READ, Condition.CASE_NOT_READ),
        ("suspect", "sound", Condition.SUSPECT, Condition.SUSPECT),
        ("suspect", "dented", Condition.SUSPECT, Condition.DAMAGED),
        ("suspect", None, Condition.SUSPECT, Condition.SUSPECT),
        ("damaged", "cracked", Condition.DAMAGED, Condition.DAMAGED),
        ("damaged", "sound", Condition.DAMAGED, Condition.DAMAGED),
        ("damaged", None, Condition.DAMAGED, Condition.DAMAGED),
    ],
)
def test_condition_is_the_worst_of_handling_and_case(handling, case, shown, packed):
    """The two differ for a dented case alone that the grading handles as intact."""
    assert shown is condition_of(handling=Handling(handling), case=case)
    assert packed is condition_of(handling=Handling(handling), case=case, packed=True)


@pytest.mark.parametrize(
    ("handling", "case", "expected"),
    [
        ("intact", "sound", Condition.LOOK_AGAIN),
        ("intact", None, Condition.LOOK_AGAIN),
        ("suspect", "sound", Condition.SUSPECT),
        ("damaged", "sound", Condition.DAMAGED),
    ],
)
def test_a_note_that_speaks_of_damage_outweighs_only_what_is_less_grave(handling, case, expected):
    for packed in (False, True):
        assert expected is condition_of(
            handling=Handling(handling), case=case, look_again=True, packed=packed
        )
