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
        ("damp underneath", ("damp",)),
        ("wet underneath, acid on the tray", ("wet", "acid")),
        ("fell off the pallet", ("fell",)),
        ("dropped off a shelf", ("dropped",)),
        ("warm to the hand", ("warm",)),
        ("hot; hissing and fizzing", ("hot", "hissing", "fizzing")),
        ("corroded through", ("corroded through",)),
        ("melted, punctured, crushed, bent", ("melted", "punctured", "crushed", "bent")),
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
        "not wet",
        "no acid",
        "lead-acid, wet cell",
        "never dropped",
        "not warm",
        "nothing hissing",
        "corroded posts",
        "without fizzing",
    ],
)
def test_a_denial_or_another_word_is_none(note):
    assert damage_words(note) == ()


@pytest.mark.parametrize("note", ["no. dent", "no, dented", "label shows no date, dent"])
def test_a_denial_in_another_clause_denies_nothing(note):
    assert damage_words(note)
