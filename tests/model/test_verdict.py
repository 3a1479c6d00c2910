from intake.model.verdict import Effect, Evidence, Grade, Handling, Step, Verdict


def test_the_decisive_reason_is_the_first():
    first, second = (Step(rule, True, Effect.RECYCLE, "") for rule in "ab")
    verdict = Verdict(
        Grade.RECYCLE, Evidence.NONE, Handling.INTACT, "", steps=(second, first), reasons=(first, second)
    )
    assert first is verdict.decisive


def test_every_effect_but_a_note_is_spelt_like_the_grade_it_leaves():
    assert {one.value for one in Grade} == {one.value for one in Effect} - {Effect.NOTE.value}


def test_the_words_are_those_of_the_contract():
    assert ["resale-after-charge", "reconditionable", "recycle", "unresolved"] == [*map(str, Grade)]
    assert ["none", "rest-only", "short-hold", "long-hold", "strength", "capacity"] == [*map(str, Evidence)]
    assert ["intact", "suspect", "damaged"] == [*map(str, Handling)]
