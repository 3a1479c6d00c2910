import pytest

from intake.grading.safety_gates import safety_steps
from intake.model.battery import HoldReading, Recovery, Use
from intake.model.rules import Rule
from intake.model.verdict import Effect, Grade, Handling, Step
from tests.grading.builders import (
    POLICY,
    assert_same,
    battery,
    fired,
    graded,
    held,
    policy_of_own_sources,
    rules,
    step_of,
)

PRACTICE = {"source": "Common practice of battery handling", "status": "common practice"}


def steps(one, policy=POLICY):
    return tuple(safety_steps(one, policy=policy))


def test_the_gates_are_listed_in_the_order_of_the_contract():
    expected = [
        "row-error",
        "case-breached",
        "dented",
        "under-recall",
        "terminal-broken",
        "terminal-loose",
        "terminal-corroded",
        "recovery-failed",
        "not-filled",
        "chemistry-unclear",
        "temperature-outside",
        "not-diagnosable",
    ]
    assert expected == rules(steps(battery("LFP", row_errors=("x",), rest_voltage_v=13.2)))


def test_a_sound_battery_passes_all_gates():
    assert [] == fired(steps(battery("flooded", rest_voltage_v=12.6)))


def test_a_row_error_says_what_to_mend_and_leaves_the_battery_unresolved():
    one = battery("flooded", case="cracked", row_errors=("Rested: soon.", "Tag: twice."))
    expected = Step(
        rule=Rule.ROW_ERROR,
        fired=True,
        effect=Effect.UNRESOLVED,
        text="This row of the workbook cannot be used: Rested: soon. Tag: twice.",
        source="Input contract",
        status="site choice",
        next_step="Mend the cell that the findings name, then grade again.",
    )
    assert_same(expected, step_of(steps(one), "row-error"))
    assert "row-error" not in rules(steps(battery("flooded")))
    assert (Grade.UNRESOLVED, Handling.DAMAGED) == (graded(one).grade, graded(one).handling)


@pytest.mark.parametrize("case", ["cracked", "leaking", "swollen", "burnt"])
def test_a_breached_case_is_recycled_as_damaged(case):
    expected = Step(
        rule=Rule.CASE_BREACHED,
        fired=True,
        effect=Effect.RECYCLE,
        handling=Handling.DAMAGED,
        text=f"The case is {case}.",
        measured=case,
        limit="cracked, leaking, swollen or burnt",
        next_step="Keep it apart, do not charge it, and hand it to the recycle stream as damaged.",
        **PRACTICE,
    )
    assert_same(expected, step_of(steps(battery("AGM", case=case)), "case-breached"))


@pytest.mark.parametrize(
    ("case", "text"),
    [("sound", "The case is sound."), ("scuffed", "The case is scuffed."), (None, "The case is not told.")],
)
def test_a_whole_case_is_left_alone(case, text):
    found = step_of(steps(battery("AGM", case=case)), "case-breached")
    assert (False, text, case) == (found.fired, found.text, found.measured)


@pytest.mark.parametrize(("chemistry", "handling"), [("LFP", Handling.DAMAGED), ("flooded", Handling.INTACT)])
def test_a_recalled_battery_is_recycled_and_an_lfp_as_damaged(chemistry, handling):
    expected = Step(
        rule=Rule.UNDER_RECALL,
        fired=True,
        effect=Effect.RECYCLE,
        handling=handling,
        text="It is under recall.",
        measured="yes",
        limit="yes",
        next_step="Do not charge or sell it; follow the recall notice, else the recycle stream.",
        **PRACTICE,
    )
    assert_same(expected, step_of(steps(battery(chemistry, under_recall=True)), "under-recall"))


@pytest.mark.parametrize(
    ("under_recall", "text", "measured"),
    [(False, "It is not under recall.", "no"), (None, "Recalls were not looked up.", None)],
)
def test_a_recall_that_is_denied_or_not_looked_up_changes_nothing(under_recall, text, measured):
    found = step_of(steps(battery("LFP", under_recall=under_recall)), "under-recall")
    assert (False, text, measured) == (found.fired, found.text, found.measured)


@pytest.mark.parametrize(
    ("chemistry", "effect", "handling", "next_step"),
    [
        (
            "LFP",
            Effect.RECYCLE,
            Handling.DAMAGED,
            "Keep it apart, do not charge it, and hand it to the recycle stream as damaged.",
        ),
        (
            "EFB",
            Effect.CAP_RECONDITIONABLE,
            Handling.INTACT,
            (
                "Set it apart. See that its case is tight before anything is connected; then charge it fully "
                "under watch and hold-test it."
            ),
        ),
    ],
)
def test_a_dented_case_condemns_an_lfp_and_caps_a_lead_acid_block(chemistry, effect, handling, next_step):
    one = battery(chemistry, case="dented", rest_voltage_v=13.1)
    expected = Step(
        rule=Rule.DENTED,
        fired=True,
        effect=effect,
        handling=handling,
        text="The case is dented.",
        measured="dented",
        limit="dented",
        next_step=next_step,
        **PRACTICE,
    )
    assert_same(expected, step_of(steps(one), "dented"))
    assert (effect.value, handling) == (graded(one).grade.value, graded(one).handling)


def test_a_case_that_is_not_dented_says_what_it_is():
    assert "The case is not told." == step_of(steps(battery("AGM", case=None)), "dented").text
    assert "The case is scuffed." == step_of(steps(battery("AGM", case="scuffed")), "dented").text
    assert ["case-breached"] == fired(steps(battery("LFP", case="burnt", rest_voltage_v=13.3)))


@pytest.mark.parametrize("recovery", list(Recovery))
@pytest.mark.parametrize(("chemistry", "handling"), [("LFP", Handling.DAMAGED), ("gel", Handling.INTACT)])
def test_a_recovery_that_failed_is_not_tried_again(chemistry, handling, recovery):
    failed = recovery in (Recovery.NO_CHARGE_TAKEN, Recovery.DID_NOT_HOLD)
    one = battery(chemistry, recovery=recovery, rest_voltage_v=13.3)
    expected = Step(
        rule=Rule.RECOVERY_FAILED,
        fired=failed,
        effect=Effect.RECYCLE,
        handling=handling,
        text=f"Recovery: {recovery.value}.",
        measured=recovery.value,
        limit="no charge taken or did not hold",
        next_step="Do not charge it again; hand it to the recycle stream.",
        **PRACTICE,
    )
    assert_same(expected, step_of(steps(one), "recovery-failed"))
    assert failed == (graded(one).grade is Grade.RECYCLE)


@pytest.mark.parametrize(
    ("use", "text"),
    [
        (Use.USED, "Use: used."),
        (Use.UNUSED, "Use: unused."),
        (
            Use.UNUSED_DRY,
            "It was delivered without acid and has never been filled: no voltage says anything about it yet.",
        ),
    ],
)
def test_a_battery_that_came_dry_is_filled_before_anything_else(use, text):
    dry = use is Use.UNUSED_DRY
    one = battery("flooded", use=use, rest_voltage_v=12.8)
    expected = Step(
        rule=Rule.NOT_FILLED,
        fired=dry,
        effect=Effect.UNRESOLVED,
        text=text,
        measured=use.value,
        limit="unused dry",
        next_step=(
            "Have it filled and left to soak by the maker's instructions, acid by trained people only; then "
            "measure the rest voltage."
        ),
        **PRACTICE,
    )
    assert_same(expected, step_of(steps(one), "not-filled"))
    assert dry == (graded(one).grade is Grade.UNRESOLVED)


@pytest.mark.parametrize(
    ("terminals", "rule", "handling"),
    [
        ("broken", "terminal-broken", Handling.DAMAGED),
        ("loose", "terminal-loose", Handling.SUSPECT),
        ("corroded", "terminal-corroded", Handling.SUSPECT),
    ],
)
def test_poor_terminals_make_an_lfp_suspect_and_broken_ones_damaged(terminals, rule, handling):
    one = battery("LFP", terminals=terminals, rest_voltage_v=13.3)
    assert [rule] == fired(steps(one))
    assert handling is graded(one).handling
    assert Handling.INTACT is graded(battery("AGM", terminals=terminals, rest_voltage_v=12.8)).handling


def test_corroded_terminals_are_to_be_cleaned_and_change_no_grade():
    one = battery("gel", terminals="corroded", rest_voltage_v=12.8)
    expected = Step(
        rule=Rule.TERMINAL_CORRODED,
        fired=True,
        effect=Effect.NOTE,
        text="The terminals are corroded. Clean them, then read it again.",
        measured="corroded",
        limit="corroded",
        **PRACTICE,
    )
    assert_same(expected, step_of(steps(one), "terminal-corroded"))
    assert Grade.RESALE is graded(one).grade


def test_broken_terminals_are_recycled():
    found = steps(battery("gel", terminals="broken"))
    expected = Step(
        rule=Rule.TERMINAL_BROKEN,
        fired=True,
        effect=Effect.RECYCLE,
        text="The terminals are broken.",
        measured="broken",
        limit="broken",
        next_step="Insulate what is left of the terminals and hand it to the recycle stream.",
        **PRACTICE,
    )
    assert_same(expected, step_of(found, "terminal-broken"))
    assert ["terminal-broken"] == fired(found)


def test_loose_terminals_cap_at_reconditionable():
    found = steps(battery("gel", terminals="loose"))
    expected = Step(
        rule=Rule.TERMINAL_LOOSE,
        fired=True,
        effect=Effect.CAP_RECONDITIONABLE,
        text="The terminals are loose.",
        measured="loose",
        limit="loose",
        next_step="See whether the terminal can be made good by a qualified person, then test again.",
        **PRACTICE,
    )
    assert_same(expected, step_of(found, "terminal-loose"))
    assert ["terminal-loose"] == fired(found)


@pytest.mark.parametrize(
    ("terminals", "text"),
    [
        ("sound", "The terminals are sound."),
        (None, "The terminals are not inspected."),
    ],
)
def test_other_terminals_are_left_alone(terminals, text):
    found = steps(battery("gel", terminals=terminals))
    assert [] == fired(found)
    for rule in ("terminal-broken", "terminal-loose", "terminal-corroded"):
        assert text == step_of(found, rule).text


@pytest.mark.parametrize("chemistry", ["other", "unknown"])
def test_an_unclear_chemistry_is_unresolved_suspect_and_never_charged(chemistry):
    expected = Step(
        rule=Rule.CHEMISTRY_UNCLEAR,
        fired=True,
        effect=Effect.UNRESOLVED,
        handling=Handling.SUSPECT,
        text=f"The chemistry is {chemistry}.",
        measured=chemistry,
        limit="other or unknown",
        next_step="Have the chemistry identified by a competent person; never charge it before.",
        **PRACTICE,
    )
    assert_same(expected, step_of(steps(battery(chemistry)), "chemistry-unclear"))


@pytest.mark.parametrize(
    ("temperature_c", "fires"),
    [(-60.0, True), (-20.1, True), (-20.0, False), (25.0, False), (55.0, False), (55.1, True), (90.0, True)],
)
@pytest.mark.parametrize("where", ["rest", "hold"])
def test_a_voltage_read_outside_the_working_range_is_unresolved(where, temperature_c, fires):
    if where == "rest":
        one = battery("flooded", rest_voltage_v=12.6, temperature_c=temperature_c)
    else:
        one = battery("flooded", hold_readings=(HoldReading(0.5, 12.9, temperature_c),))
    expected = Step(
        rule=Rule.TEMPERATURE_OUTSIDE,
        fired=fires,
        effect=Effect.UNRESOLVED,
        text=f"A voltage was read at {temperature_c:g} °C; readings count from -20 to 55 °C.",
        measured=temperature_c,
        limit="-20 to 55",
        unit="°C",
        next_step=(
            "It is hot: leave it alone outdoors, away from others, and do not charge it. Look at it again "
            "when it has cooled to the bench's temperature, then read the voltage again."
            if temperature_c > 55
            else "Bring it to the bench's temperature and read the voltage again."
        ),
        source=POLICY.temperature.lowest_c.source,
        status="common practice",
    )
    assert_same(expected, step_of(steps(one), "temperature-outside"))


def test_the_worst_temperature_of_several_is_the_one_that_is_told():
    holds = (HoldReading(1, 12.9, -30.0), HoldReading(12, 12.8, 56.0), HoldReading(24, 12.8, None))
    one = battery("flooded", rest_voltage_v=12.6, temperature_c=58.0, hold_readings=holds)
    assert -30.0 == step_of(steps(one), "temperature-outside").measured
    warmer = battery("flooded", rest_voltage_v=12.6, temperature_c=66.0, hold_readings=holds)
    assert 66.0 == step_of(steps(warmer), "temperature-outside").measured


def test_of_two_temperatures_as_far_outside_the_one_of_the_rest_voltage_is_told():
    one = battery(
        "flooded", rest_voltage_v=12.6, temperature_c=-21.0, hold_readings=(HoldReading(1, 12.9, 56.0),)
    )
    assert -21.0 == step_of(steps(one), "temperature-outside").measured


def test_the_working_range_rests_on_the_sources_of_both_its_ends():
    one = battery("flooded", rest_voltage_v=12.6)
    found = step_of(steps(one, policy_of_own_sources()), "temperature-outside")
    assert "temperature lowest_c; temperature highest_c" == found.source


@pytest.mark.parametrize(
    "one",
    [
        battery("flooded", temperature_c=70.0),
        battery("flooded", rest_voltage_v=12.6, temperature_c=None),
        battery("flooded", temperature_c=70.0, hold_readings=(HoldReading(0.49, 12.9, 70.0),)),
        battery("flooded", temperature_c=70.0, hold_readings=(HoldReading(12.0, 12.9, None),)),
    ],
)
def test_a_temperature_without_a_reading_that_counts_is_not_looked_at(one):
    assert "temperature-outside" not in rules(steps(one))


def test_an_lfp_block_without_any_voltage_is_not_diagnosable():
    expected = Step(
        rule=Rule.NOT_DIAGNOSABLE,
        fired=True,
        effect=Effect.UNRESOLVED,
        handling=Handling.SUSPECT,
        text="No voltage was read.",
        next_step="A qualified person measures the rest voltage; until then handle it as suspect.",
        **PRACTICE,
    )
    assert_same(expected, step_of(steps(battery("LFP")), "not-diagnosable"))
    assert "not-diagnosable" not in rules(steps(battery("flooded")))


@pytest.mark.parametrize(
    "one",
    [
        battery("LFP", rest_voltage_v=13.2),
        battery("LFP", load_voltage_v=12.0),
        battery("LFP", cell_voltages_v=(3.3, 3.3, 3.3, 3.3)),
        held("LFP", (0.25, 13.4)),
    ],
)
def test_any_voltage_makes_an_lfp_block_diagnosable(one):
    found = step_of(steps(one), "not-diagnosable")
    assert (False, "A voltage was read.") == (found.fired, found.text)


@pytest.mark.parametrize(
    ("chemistry", "fields", "advised"),
    [
        ("AGM", {}, True),
        ("AGM", {"case": "dented"}, True),
        ("AGM", {"case": "leaking"}, False),
        ("AGM", {"case": "swollen"}, False),
        ("unknown", {}, False),
        ("other", {}, False),
        ("AGM", {"terminals": "sound"}, False),
    ],
)
def test_nobody_is_sent_to_clean_the_posts_of_a_breached_or_unidentified_battery(chemistry, fields, advised):
    one = battery(chemistry, **{"terminals": "corroded", **fields})
    assert advised == ("Clean them" in step_of(steps(one), "terminal-corroded").text)
