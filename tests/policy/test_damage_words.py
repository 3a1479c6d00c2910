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


@pytest.mark.parametrize(
    "note",
    [
        "acid level fine",
        "Acid levels are OK in all cells.",
        "acid ok, posts clean",
        "Dropped off by customer",
        "was dropped off at the counter this morning; label gone",
        "battery dropped off by the owner yesterday",
        "let it warm up on the bench before reading",
        "stored in a warm room",
        "read on a hot day",
        "from a fire alarm panel",
        "taken from a broken down car",
        "out of a split charge system",
        "wet charged by the shop",
        "stands in an acid-proof tray",
        "bolt holes clean",
    ],
)
def test_a_harmless_turn_of_phrase_is_no_word_of_damage(note):
    assert () == damage_words(note)


@pytest.mark.parametrize(
    ("note", "found"),
    [
        ("acid level low", "acid"),
        ("acid level not fine", "acid"),
        ("acid level fine but acid on the lid", "acid"),
        ("acid level fine, lid wet", "wet"),
        ("acid ok but seeping at post 1", "seeping"),
        ("acid", "acid"),
        ("dropped off", "dropped"),
        ("dropped off by customer on the way in", "dropped"),
        ("handle dropped off by customer", "dropped"),
        ("dropped off the tailgate", "dropped"),
        ("dropped off by forklift", "dropped"),
        ("dropped off by customer, dropped on the yard", "dropped"),
        ("dropped at the counter", "dropped"),
        ("gets warm", "warm"),
        ("gets warm on a warm day", "warm"),
        ("seems to warm up on charge", "warm"),
        ("let it warm up, got hot", "hot"),
        ("warms at one end", "warms"),
        ("heating up on charge", "heating up"),
        ("warmth on one side", "warmth"),
        ("hot in a warm room", "hot"),
        ("from a fire", "fire"),
        ("smoke detector went off beside it", "smoke"),
        ("from a broken down car, case broken", "broken"),
        ("hole beside the bolt holes", "hole"),
        ("leak-proof type, leaking all the same", "leaking"),
        ("wet", "wet"),
        ("wet type, wet underneath", "wet"),
    ],
)
def test_a_warning_beside_a_harmless_phrase_still_counts(note, found):
    assert found in damage_words(note)


@pytest.mark.parametrize(
    ("note", "found"),
    [
        ("frozen, came off the open lorry", "frozen"),
        ("froze overnight", "froze"),
        ("ice in the cells", "ice"),
        ("LFP charged below freezing", "freezing"),
        ("covered with frost", "frost"),
        ("exploded cell cover", "exploded"),
        ("explosion in cell 3", "explosion"),
        ("spark and bang when connected", "spark"),
        ("loud bang on the charger", "bang"),
        ("sparks at the post", "sparks"),
        ("one cell burst", "burst"),
        ("top is domed", "domed"),
        ("bellied case", "bellied"),
        ("sides ballooned", "ballooned"),
        ("sweating at the seam", "sweating"),
        ("weeping at post 1", "weeping"),
        ("was under water in a flood", "under water"),
        ("stood in a flood", "flood"),
        ("car was flooded", "was flooded"),
        ("out of a flooded cellar", "flooded cellar"),
        ("submerged for a day", "submerged"),
        ("vent plug missing", "plug missing"),
        ("two vent plugs are missing", "plugs are missing"),
        ("no vent plugs", "no vent plugs"),
        ("missing filler cap", "missing filler cap"),
        ("vents blocked", "vents blocked"),
        ("rattles when shaken", "rattles"),
        ("something is rattling inside", "rattling"),
        ("shorted by a spanner", "shorted"),
        ("short circuited by a spanner", "short circuited"),
        ("had a short-circuit in the van", "short-circuit"),
        ("electrolyte low, plates dry", "plates dry"),
        ("ice cream van, ice on the lid", "ice"),
        ("spark plug lead fell on it, sparks", "sparks"),
        ("posts taped against short circuit, then shorted", "shorted"),
    ],
)
def test_a_word_of_ice_of_a_blast_or_of_water_is_found(note, found):
    assert found in damage_words(note)


@pytest.mark.parametrize(
    "note",
    [
        "service battery",
        "see price list",
        "device label, notice on it",
        "twice charged, nice case, office stock",
        "sparkling clean",
        "from an ice cream van",
        "out of an ICE car",
        "stored in the freezer room",
        "kept above freezing",
        "never frozen",
        "no ice",
        "flooded",
        "flooded battery, six cells",
        "flooded type",
        "flooded lead-acid",
        "vents clear, plugs in place",
        "vent plug tight",
        "no plug missing",
        "label missing",
        "short cable",
        "posts taped against short circuit",
        "does not rattle, no rattle",
        "not submerged",
        "dry charged",
        "domestic use",
        "banger racing car",
        "explosion-proof box",
        "spark plug lead beside it",
    ],
)
def test_a_near_miss_of_ice_of_a_blast_or_of_water_is_none(note):
    assert () == damage_words(note)
