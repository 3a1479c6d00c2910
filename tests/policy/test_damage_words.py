"""Words of damage in a free note, and their denials."""

import pytest

from intake.policy.damage_words import damage_words


@pytest.mark.parametrize(
    ("note", "found"),
    [
        ("Dent in the side", ("dent",)),
        ("small hole, smells burnt", ("hole", "burnt")),
        ("LEAKING at post 2", ("leaking",)),
        ("swollen; swollen again", ("swollen",)),
        ("no dent. Case cracked", ("cracked",)),
        ("not leaking but bulging", ("bulging",)),
    ],
)
def test_a_word_of_damage_is_found_once(note, found):
    assert set(found) <= set(damage_words(note))
    assert len(damage_words(note)) == len(set(damage_words(note)))


@pytest.mark.parametrize(
    "note",
    [
        "",
        "no leak",
        "not dented",
        "No visible damage",
        "leak: none",
        "without any sign of swelling",
        "kept dry",
    ],
)
def test_a_denial_or_another_word_is_none(note):
    assert damage_words(note) == ()


@pytest.mark.parametrize("note", ["no. dent", "no, dented", "label shows no date, dent"])
def test_a_denial_in_another_clause_denies_nothing(note):
    assert damage_words(note)
