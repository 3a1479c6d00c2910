"""What each battery still needs, by its grade, evidence and next step."""

from datetime import timedelta
from functools import partial

import pytest

from intake.bench.jobs import BenchJob, bench_need
from intake.model.battery import HoldReading
from intake.model.plan import HeldBack, TaskKind
from tests.bench.builders import MONDAY_MORNING as BEGINS
from tests.bench.builders import POLICY, need_of
from tests.changed import replace
from tests.grading.builders import battery, graded, held

SHORT, LONG = TaskKind.READ_SHORT, TaskKind.READ_LONG
need = partial(bench_need, policy=POLICY, begins=BEGINS)


def kinds(job):
    return [(one.kind, one.after_h) for one in job.readings]


def held_back(one, **told):
    found = need_of(one, **told)
    assert isinstance(found, HeldBack)
    assert (found.tag, found.next_step) == (one.tag, graded(one).next_step)
    return found.reason


def job(one, **told):
    found = need_of(one, **told)
    assert isinstance(found, BenchJob)
    return found


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({"case": "swollen"}, "It is damaged and is never charged."),
        ({"terminals": "broken"}, "It goes to the recycler."),
        ({"rest_voltage_v": 0.1}, "It goes to the recycler."),
        (
            {"rest_voltage_v": 12.0, "terminals": "loose"},
            "A terminal is loose, and nothing is connected to it.",
        ),
        ({"rest_voltage_v": 12.7, "row_errors": ("bad cell",)}, "Its row in the workbook has an error."),
    ],
)
@pytest.mark.parametrize("qualified", [False, True])
def test_no_station_for(fields, reason, qualified):
    assert held_back(battery("AGM", **fields), qualified=qualified) == reason


@pytest.mark.parametrize("chemistry", ["other", "unknown"])
def test_what_nobody_can_name_is_never_charged(chemistry):
    reason = held_back(battery(chemistry, rest_voltage_v=12.5), qualified=True)
    assert reason == "Its chemistry is not known, and it is never charged before it is."


def test_fit_by_its_rest_voltage_it_is_charged_and_held():
    found = job(battery("AGM", rest_voltage_v=12.9, rated_capacity_ah=60))
    assert kinds(found) == [(SHORT, 0.5), (LONG, 12)]
    assert [one.latest_after_h for one in found.readings] == [1.0, None]
    assert (found.treatments, found.apart, found.remarks) == ((), False, ())
    assert found.charge is not None


def test_a_deep_one_is_recovered_first():
    found = job(battery("AGM", rest_voltage_v=12.0, rated_capacity_ah=60))
    assert found.treatments == (TaskKind.RECOVER,)
    assert kinds(found) == [(SHORT, 0.5), (LONG, 12)]


@pytest.mark.parametrize(
    ("chemistry", "volts", "treatments"),
    [
        ("flooded", 12.40, (TaskKind.EQUALISE,)),
        ("EFB", 12.50, (TaskKind.RECOVER,)),
        ("flooded sealed", 12.50, (TaskKind.RECOVER,)),
        ("AGM", 12.60, (TaskKind.RECOVER,)),
        ("gel", 12.62, (TaskKind.RECOVER,)),
    ],
)
def test_a_raised_voltage_is_for_cells_that_open_alone(chemistry, volts, treatments):
    one = held(chemistry, (24, volts), (30, volts), rated_capacity_ah=60)
    assert graded(one).decisive.rule.id == "hold-middle"
    assert job(one).treatments == treatments
    sealed = any("Its cells do not open: no raised voltage" in remark for remark in job(one).remarks)
    assert sealed == (treatments == (TaskKind.RECOVER,))
    assert sealed != any("equalise it" in remark for remark in job(one).remarks)


def test_the_deciding_test_and_closed_cells_are_both_told():
    one = held(
        "AGM", (24, 12.60), (30, 12.60), rated_capacity_ah=60, delivered_capacity_ah=42, discharge_time_h=20
    )
    assert {step.rule.id for step in graded(one).reasons} >= {"hold-middle", "capacity-low"}
    told = " ".join(job(one).remarks)
    assert "Its cells do not open" in told
    assert "Equalise" not in told


def test_lithium_is_balanced():
    one = battery(
        "LFP",
        rest_voltage_v=13.32,
        rated_capacity_ah=60,
        cell_voltages_v=(3.30, 3.30, 3.30, 3.37),
        rested_h=30,
    )
    assert graded(one).decisive.rule.id == "cell-spread"
    assert job(one).treatments == (TaskKind.BALANCE,)


def test_both_where_both_are_asked_for():
    one = battery(
        "flooded",
        rest_voltage_v=12.1,
        rated_capacity_ah=60,
        specific_gravity=(1.18, 1.21, 1.18, 1.18, 1.18, 1.18),
    )
    assert {step.rule.id for step in graded(one).reasons} >= {"needs-recovery", "gravity-spread"}
    assert job(one).treatments == (TaskKind.RECOVER, TaskKind.EQUALISE)


def test_the_test_that_decided_is_repeated_afterwards():
    one = battery(
        "AGM", rest_voltage_v=12.9, rated_capacity_ah=60, delivered_capacity_ah=42, discharge_time_h=20
    )
    assert graded(one).decisive.rule.id == "capacity-low"
    assert job(one).remarks[-1] == graded(one).next_step
    assert (
        graded(battery("AGM", rest_voltage_v=12.0)).next_step
        not in job(battery("AGM", rest_voltage_v=12.0)).remarks
    )


def test_a_finished_hold_leaves_nothing_to_do():
    reason = held_back(held("AGM", (0.5, 13.2), (12, 13.0)))
    assert reason == "All its readings are taken; charge it again shortly before it is sold."


def test_a_short_hold_goes_on():
    found = job(held("AGM", (0.5, 13.3), (2.0, 13.2)))
    assert kinds(found) == [(LONG, 10)]
    assert found.charge is None
    assert found.remarks == ("Held since its charge; last read at 2 h, taken as the plan's start.",)


def test_a_hold_whose_voltage_rises_has_its_hours_checked_before_it_is_read_again():
    rising = held("AGM", (0.5, 12.70), (24.0, 12.95))

    assert "hold-contradicts" == graded(rising).decisive.rule.id
    assert "Check the hours first" in job(rising).remarks[0]
    assert not any("hours first" in one for one in job(held("AGM", (0.5, 13.3), (2.0, 13.2))).remarks)


def test_a_reading_whose_time_is_written_is_counted_from_then():
    one = held("AGM", (0.5, 13.3), (2.0, 13.2))
    read = replace(one.hold_readings[-1], read_at=BEGINS - timedelta(hours=4))
    found = job(replace(one, hold_readings=(*one.hold_readings[:-1], read)))
    assert kinds(found) == [(LONG, 6)]
    assert found.remarks == ("Held since its charge; last read at 2 h, 2026-11-22 20:00.",)


@pytest.mark.parametrize(("passed_h", "left_h"), [(9.5, 0.5), (10, 0), (150, 0)])
def test_a_reading_that_is_due_already_is_due_at_the_start(passed_h, left_h):
    ended = BEGINS - timedelta(hours=2 + passed_h)
    assert kinds(job(held("AGM", (0.5, 13.3), (2.0, 13.2), charge_ended=ended))) == [(LONG, left_h)]


def test_a_plan_that_starts_before_the_last_reading_counts_from_the_reading():
    ended = BEGINS + timedelta(hours=3)
    found = job(held("AGM", (0.5, 13.3), (2.0, 13.2), charge_ended=ended))
    assert kinds(found) == [(LONG, 15)]


@pytest.mark.parametrize(
    ("days_before", "left_h", "told"),
    [(2, 0, "on 2026-11-21."), (1, 10, "on 2026-11-22."), (0, 10, "taken as the plan's start.")],
)
def test_of_a_day_alone_its_end_counts(days_before, left_h, told):
    found = job(held("AGM", (0.5, 13.3), (2.0, 13.2)), read_on=BEGINS.date() - timedelta(days=days_before))
    assert kinds(found) == [(LONG, left_h)]
    assert found.remarks[0].endswith(f"last read at 2 h, {told}")


@pytest.mark.parametrize(("passed_h", "first"), [(0.8, [(SHORT, 0)]), (0.9, [])])
def test_a_first_reading_that_comes_too_late_is_left_out(passed_h, first):
    ended = BEGINS - timedelta(hours=0.2 + passed_h)
    found = job(held("AGM", (0.2, 13.4), charge_ended=ended))
    assert kinds(found)[:-1] == first
    assert kinds(found)[-1][0] is LONG


def test_an_unclear_hold_goes_on_to_twelve_hours_and_no_further():
    assert kinds(job(held("flooded", (0.5, 12.30)))) == [(LONG, 11.5)]
    late = held("flooded", (24, 12.29), (30, 12.29))
    assert graded(late).decisive.rule.id == "hold-unclear"
    assert held_back(late) == "It is not settled by a charge or a hold reading."


def test_a_hold_that_was_read_too_soon_is_read_at_half_an_hour():
    found = job(held("AGM", (0.2, 13.4)))
    assert kinds(found) == [(SHORT, pytest.approx(0.3)), (LONG, pytest.approx(11.8))]
    assert found.readings[0].latest_after_h == pytest.approx(0.8)


@pytest.mark.parametrize(
    ("fields", "after_h"),
    [
        ({"rest_voltage_v": None, "rested_h": None}, 2),
        ({"rest_voltage_v": None, "rested_h": 0.5}, 1.5),
        ({"rest_voltage_v": None}, 0),
        ({"rest_voltage_v": 12.7, "rested_h": 0.25}, 1.75),
        ({"rest_voltage_v": -12.0}, 0),
        ({"rest_voltage_v": 15.2}, 2),
        ({"rest_voltage_v": 12.6, "temperature_c": 60}, 2),
    ],
)
def test_a_rest_voltage_that_is_asked_for(fields, after_h):
    one = battery("AGM", **fields)
    found = job(one)
    assert kinds(found) == [(TaskKind.READ_REST, after_h)]
    assert (found.charge, found.remarks) == (None, (graded(one).next_step,))


@pytest.mark.parametrize("fields", [{"rest_voltage_v": 3.0, "bms_reset_tried": False}, {}])
def test_silent_lithium_is_read_by_the_qualified_alone(fields):
    one = battery("LFP", **fields)
    assert "only a qualified person" in held_back(one)
    found = job(one, qualified=True)
    assert (found.apart, found.charge) == (True, None)
    assert kinds(found) == [(TaskKind.READ_REST, 0)]


def test_deep_lithium_is_charged_apart_by_the_qualified_alone():
    one = battery("LFP", rest_voltage_v=7.5, rated_capacity_ah=60)
    assert "To plan it, add --qualified." in held_back(one)
    found = job(one, qualified=True)
    assert (found.apart, found.treatments) == (True, (TaskKind.RECOVER,))
    assert found.remarks[0].startswith("Suspect: a qualified person only")


def test_too_cold_is_warmed_up_first():
    one = battery("LFP", rest_voltage_v=13.3, temperature_c=0.0)
    found = need_of(one)
    assert isinstance(found, HeldBack)
    assert "charged only above 0 °C" in found.reason
    assert "see that it is not frozen" in found.next_step


def test_no_temperature_is_asked_for():
    found = job(battery("LFP", rest_voltage_v=13.35, rested_h=30, temperature_c=None))
    assert "No temperature was read: take it before connecting; charge only above 0 °C." in found.remarks


@pytest.mark.parametrize(("rest_voltage_v", "warned"), [(10.1, False), (10.5, True), (11.0, False)])
def test_where_one_cell_may_be_down_the_charge_is_watched(rest_voltage_v, warned):
    found = job(battery("flooded", rest_voltage_v=rest_voltage_v, rested_h=24, rated_capacity_ah=60))
    assert warned is any(told.startswith("One cell may be down") for told in found.remarks)


@pytest.mark.parametrize(("case", "warned"), [("dented", True), ("scuffed", False)])
def test_a_dented_case_is_seen_tight_before_anything_is_connected(case, warned):
    found = job(battery("flooded", case=case, rest_voltage_v=12.0, rested_h=24, rated_capacity_ah=60))
    assert warned is any("see that it is tight before connecting" in told for told in found.remarks)
    assert warned is found.attended
    assert found.charge is not None


def test_a_reading_that_was_taken_meanwhile_is_not_planned_again():
    """Charged by the plan, then read: first both readings, then one, then none."""
    one = battery("AGM", rest_voltage_v=12.9, rated_capacity_ah=60)
    read_once = replace(one, hold_readings=(HoldReading(0.6, 13.3, 25.0),))
    read_twice = replace(one, hold_readings=(HoldReading(0.6, 13.3, 25.0), HoldReading(13, 13.1, 25.0)))
    assert kinds(job(one)) == [(SHORT, 0.5), (LONG, 12)]
    assert kinds(job(read_once)) == [(LONG, pytest.approx(11.4))]
    assert held_back(read_twice).startswith("All its readings are taken")


def test_one_drawn_for_a_capacity_test_is_charged_and_discharged_and_not_held():
    one = battery("AGM", rest_voltage_v=12.8, rated_capacity_ah=60)
    found = need(one, graded(one), qualified=False, drawn=True)
    assert (TaskKind.CAPACITY_TEST,) == found.treatments
    assert () == found.readings
    assert found.charge is not None
    assert "discharge at 6 A" in found.remarks[-1]


def test_a_hold_that_has_been_read_goes_on_to_the_test_too():
    one = held("AGM", (12, 13.0), rated_capacity_ah=60)
    assert isinstance(need(one, graded(one), qualified=False), HeldBack)
    found = need(one, graded(one), qualified=False, drawn=True)
    assert (TaskKind.CAPACITY_TEST,) == found.treatments


@pytest.mark.parametrize(
    "one",
    [
        held("AGM", (2, 13.1), rated_capacity_ah=60),
        held("AGM", (12, 13.0), rated_capacity_ah=60, delivered_capacity_ah=60, discharge_time_h=20),
        battery("AGM", rest_voltage_v=12.0, rated_capacity_ah=60),
        battery("AGM", rest_voltage_v=12.8, case="leaking"),
    ],
)
def test_a_running_hold_a_test_that_was_made_and_what_is_not_for_sale_are_left_as_they_are(one):
    verdict = graded(one)
    expected = need(one, verdict, qualified=False)
    assert expected == need(one, verdict, qualified=False, drawn=True)


def test_one_too_cold_to_be_charged_is_not_tested_either():
    one = battery("LFP", rest_voltage_v=13.35, rested_h=30, temperature_c=-5.0, rated_capacity_ah=60)
    assert isinstance(need(one, graded(one), qualified=False, drawn=True), HeldBack)


def test_an_unclear_drop_wants_one_more_reading_and_nothing_else():
    found = job(held("AGM", (24, 13.2), (48, 13.06)))
    assert kinds(found) == [(LONG, 24)]
    assert found.charge is None


def test_while_a_hold_runs_a_middling_one_is_only_read():
    found = job(held("AGM", (4, 12.75), rated_capacity_ah=60))
    assert kinds(found) == [(LONG, 8)]
    assert (found.charge, found.treatments) == (None, ())


def test_what_is_held_back_says_which_battery_and_why():
    cold = battery("LFP", rest_voltage_v=13.35, rested_h=30, temperature_c=-5.0, rated_capacity_ah=60)
    verdict = graded(cold)
    found = need_of(cold)
    assert ("B-001", "LFP", verdict.grade) == (found.tag, found.chemistry.value, found.grade)
    assert "it is not frozen" in found.next_step
    broken = need_of(battery("AGM", terminals="broken"))
    assert ("B-001", "AGM", "recycle") == (broken.tag, broken.chemistry.value, broken.grade.value)


def test_a_hold_that_goes_on_is_that_batterys_own_and_apart_where_it_is_suspect():
    one = held("LFP", (4, 13.4), terminals="corroded")
    found = job(one)
    assert (one, graded(one), True) == (found.battery, found.verdict, found.apart)
    assert job(held("AGM", (4, 13.0))).apart is False


def test_a_reading_after_a_rest_is_that_batterys_own():
    one = battery("AGM")
    found = job(one)
    assert (one, graded(one)) == (found.battery, found.verdict)


def test_a_suspect_one_is_tested_for_capacity_by_a_qualified_person_only():
    one = battery("LFP", rest_voltage_v=13.35, rested_h=30, terminals="corroded", rated_capacity_ah=60)
    verdict = graded(one)
    found = need(one, verdict, qualified=True, drawn=True)
    assert (one, verdict, True) == (found.battery, found.verdict, found.apart)
    assert isinstance(need(one, verdict, qualified=False, drawn=True), HeldBack)
    assert found.remarks[:-1] == need(one, verdict, qualified=True).remarks


@pytest.mark.parametrize(
    ("one", "attended"),
    [
        (battery("flooded", rest_voltage_v=10.5, rested_h=24.0, rated_capacity_ah=60), True),
        (battery("flooded", rest_voltage_v=10.5, rested_h=1.9, rated_capacity_ah=60), True),
        (battery("flooded", rest_voltage_v=6.1, rested_h=24.0, rated_capacity_ah=60), True),
        (battery("AGM", rest_voltage_v=5.0, rested_h=24.0, rated_capacity_ah=60), True),
        (battery("AGM", rest_voltage_v=10.9, rested_h=24.0, rated_capacity_ah=60), True),
        (battery("AGM", rest_voltage_v=10.91, rested_h=24.0, rated_capacity_ah=60), False),
        (battery("flooded", rest_voltage_v=11.5, rested_h=24.0, rated_capacity_ah=60), False),
        (battery("flooded", rest_voltage_v=12.7, case="dented", rated_capacity_ah=60), True),
        (battery("flooded", rest_voltage_v=12.7, case="scuffed", rated_capacity_ah=60), False),
        (battery("LFP", rest_voltage_v=7.5, rested_h=30.0, rated_capacity_ah=60), True),
        (battery("LFP", rest_voltage_v=9.0, rested_h=30.0, rated_capacity_ah=60), True),
        (battery("LFP", rest_voltage_v=9.99, rested_h=30.0, rated_capacity_ah=60), True),
        (battery("LFP", rest_voltage_v=10.0, rested_h=30.0, rated_capacity_ah=60), False),
        (battery("LFP", rest_voltage_v=13.2, rested_h=30.0, rated_capacity_ah=60), False),
    ],
)
def test_who_is_charged_only_while_somebody_is_there(one, attended):
    found = job(one, qualified=True)
    assert found.attended == attended
    assert any("on charge only while somebody is there" in text for text in found.remarks) == attended


@pytest.mark.parametrize(
    ("chemistry", "rest_voltage_v", "asked"), [("flooded", 6.1, True), ("LFP", 9.0, False)]
)
def test_of_a_very_low_lead_acid_battery_it_is_asked_whether_it_is_a_12_v_one(
    chemistry, rest_voltage_v, asked
):
    found = job(battery(chemistry, rest_voltage_v=rest_voltage_v, rested_h=24, rated_capacity_ah=60))
    (told,) = (text for text in found.remarks if text.startswith(f"It came in at {rest_voltage_v:g} V."))
    assert asked is ("Is it a 6 V or 8 V battery" in told)


def test_one_that_was_recovered_from_very_low_is_watched_still():
    one = battery(
        "AGM",
        rest_voltage_v=5.0,
        rested_h=24,
        rated_capacity_ah=60,
        hold_readings=(HoldReading(25.0, 12.70, 25.0),),
    )
    found = job(one)
    assert found.attended
    assert any(text.startswith("It came in at 5 V. It is on charge only while") for text in found.remarks)


def test_a_dent_beside_a_deeper_reason_is_not_passed_over():
    found = job(battery("AGM", rest_voltage_v=12.0, case="dented", rated_capacity_ah=60))
    assert found.attended
    assert any(text.startswith("Its case is dented") for text in found.remarks)
