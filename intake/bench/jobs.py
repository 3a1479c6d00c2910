"""From a verdict to what the battery still needs on the bench, or why it gets nothing.

Hold readings that are in the workbook count as done; only what is left is planned.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime

from intake.bench.charge_gates import charge_refusal, latest_temperature_c
from intake.bench.charge_time import ChargeNeed, charge_need
from intake.bench.last_reading import LastReading, last_reading
from intake.model.battery import LEVELLED, Battery, Chemistry
from intake.model.plan import HeldBack, TaskKind
from intake.model.rules import Remedy, Rule
from intake.model.verdict import HELD, Effect, Evidence, Grade, Handling, Verdict
from intake.policy.grading_policy import GradingPolicy
from intake.policy.second_look import why_apart

_REST_BEFORE_READING = (Remedy.READ_REST, Remedy.READ_AFRESH)
_RECOVERS = {Remedy.RECOVER_AND_HOLD, Remedy.RECOVER_AND_REPEAT}
"""At low current first. A battery that only wants a look before its charge is not among these."""
_ALL_READ = "All its readings are taken; charge it again shortly before it is sold."
_READ_AGAIN = (Remedy.SWAP_LEADS, *_REST_BEFORE_READING, Remedy.READ_QUALIFIED)
_HOLD_DECIDES = (Remedy.CHARGE_AND_HOLD, Remedy.RECOVER_AND_HOLD)
"""The hold readings settle it; after any other charge the deciding test is repeated as well."""
_CLOSED = (
    "Its cells do not open: no raised voltage, so no equalising. Recover it at low current instead, then "
    "hold it for a day or longer."
)
_ATTENDED = "on charge only while somebody is there, station off at the end of the shift, full or not"
_GOES_WRONG = "Warm, gassing hard, or no rise in voltage: station off, take it off, ask."
_CELL_DOWN = (
    f"One cell may be down, and the others are then overcharged: {_ATTENDED}. Look at it often; switch the "
    f"station off before you leave. {_GOES_WRONG}"
)
_KIND = "Is it a 6 V or 8 V battery, or are cells down? Look before connecting. "
_DENTED = (
    "Its case is dented: see that it is tight before connecting; damp or in doubt, connect nothing. Then "
    f"{_ATTENDED}."
)
_LOOK = "Connect nothing, look again; correct the case or the note, grade again, then plan anew."
_WARM_UP = "Bring it to the bench's temperature, see that it is not frozen, read it again, and plan anew."
_COOL_DOWN = "Let it cool to the bench's temperature, read it again, and plan anew."
_CHECK_HOURS = "Check the hours first: a later reading of this hold lies above an earlier one."
_ONLY_QUALIFIED = (
    "It is suspect: only a qualified person works on it, alone in a marked place. "
    "To plan it, add --qualified."
)


@dataclass(frozen=True, slots=True)
class ReadingNeed:
    """One open-circuit reading that is still to be taken."""

    kind: TaskKind
    after_h: float
    """Hours after the disconnecting, or after the plan's start where it needs no station."""
    latest_after_h: float | None = None
    """Hours after which it has lost its use; None: later is allowed, though earlier is better."""


@dataclass(frozen=True, slots=True)
class BenchJob:
    """What one battery still needs."""

    battery: Battery
    verdict: Verdict
    readings: tuple[ReadingNeed, ...]
    charge: ChargeNeed | None = None
    """None where it needs no station."""
    treatments: tuple[TaskKind, ...] = ()
    """Stages at low current beside the charge."""
    apart: bool = False
    """Suspect: alone, in the marked place."""
    attended: bool = False
    """Suspect, dented, very low when it came in, or with a cell that may be down: on charge only while the
    person is there."""
    remarks: tuple[str, ...] = ()


def bench_need(
    battery: Battery,
    verdict: Verdict,
    *,
    qualified: bool,
    policy: GradingPolicy,
    begins: datetime,
    read_on: date | None = None,
    drawn: bool = False,
) -> BenchJob | HeldBack:
    """Return what a battery still needs, or why it gets neither station nor reading.

    Parameters
    ----------
    battery, verdict
        The graded battery.
    qualified
        Whether a qualified person is at the bench, so that suspect lithium may be worked on.
    policy
        Hold times, temperatures and the bench's own numbers.
    begins
        The plan's start, local time, from which a reading's hours count where it needs no station.
    read_on
        The batch's day of the readings, where one is written.
    drawn
        Whether it was drawn for a capacity test, which waits until a hold that is running is read.
    """
    barred = _barred(battery, verdict)
    if barred:
        return _held_back(battery, verdict, barred)
    if verdict.again_after_h is not None:
        running = last_reading(battery, read_on=read_on, begins=begins)
        return _rest_of_hold(battery, verdict, verdict.again_after_h, running, policy)
    if verdict.grade is Grade.UNRESOLVED:
        return _unresolved(battery, verdict, qualified, policy)
    if drawn and verdict.grade is Grade.RESALE and verdict.evidence is not Evidence.CAPACITY:
        return _capacity_test(battery, verdict, qualified, policy)
    if verdict.grade is Grade.RESALE and verdict.evidence in HELD:
        return _held_back(battery, verdict, _ALL_READ)
    return _station_work(battery, verdict, qualified, policy)


def _barred(battery: Battery, verdict: Verdict) -> str:
    """Say why a battery is never charged, whoever stands at the bench; empty where nothing bars it."""
    if verdict.handling is Handling.DAMAGED:
        return "It is damaged and is never charged."
    again = why_apart(battery)
    if again:
        return f"Set apart, look again first: {again}."
    if verdict.grade is Grade.RECYCLE:
        return "It goes to the recycler."
    if battery.row_errors:
        return "Its row in the workbook has an error."
    if battery.chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN):
        return "Its chemistry is not known, and it is never charged before it is."
    return ""


def _unresolved(
    battery: Battery, verdict: Verdict, qualified: bool, policy: GradingPolicy
) -> BenchJob | HeldBack:
    remedy = verdict.decisive.rule.remedy
    apart = verdict.handling is Handling.SUSPECT
    if remedy is Remedy.READ_QUALIFIED and not qualified:
        return _held_back(battery, verdict, _ONLY_QUALIFIED)
    if remedy in _READ_AGAIN:
        after_h = policy.bench.rest_before_reading_h.value if remedy in _REST_BEFORE_READING else 0.0
        if remedy is Remedy.READ_REST:
            after_h = max(0.0, after_h - (battery.rested_h or 0.0))
        reading = ReadingNeed(TaskKind.READ_REST, after_h)
        return BenchJob(battery, verdict, (reading,), apart=apart, remarks=(verdict.next_step,))
    return _held_back(battery, verdict, "It is not settled by a charge or a hold reading.")


def _rest_of_hold(
    battery: Battery, verdict: Verdict, again_h: float, running: LastReading, policy: GradingPolicy
) -> BenchJob:
    """Plan the hold readings that are missing and nothing else, counted on from the last one taken.

    A first reading that would come too late to count is left out.
    """
    at_start_h = battery.hold_readings[-1].after_charge_h + running.passed_h
    readings = [ReadingNeed(TaskKind.READ_LONG, max(0.0, again_h - at_start_h))]
    first_h = policy.hold.shortest_h.value - at_start_h
    latest_h = first_h + policy.bench.short_reading_late_h.value
    if verdict.evidence not in HELD and latest_h >= 0:
        readings.insert(0, ReadingNeed(TaskKind.READ_SHORT, max(0.0, first_h), latest_h))
    return BenchJob(
        battery,
        verdict,
        tuple(readings),
        apart=verdict.handling is Handling.SUSPECT,
        remarks=(*_doubtful_hours(verdict), running.remark),
    )


def _doubtful_hours(verdict: Verdict) -> tuple[str, ...]:
    """Return what to look into before a hold is read again whose voltage rose."""
    return (_CHECK_HOURS,) if verdict.decisive.rule.remedy is Remedy.CHECK_HOURS else ()


def _station_work(
    battery: Battery, verdict: Verdict, qualified: bool, policy: GradingPolicy
) -> BenchJob | HeldBack:
    suspect = verdict.handling is Handling.SUSPECT
    if any(step.rule.remedy is Remedy.MEND_CONNECTION for step in verdict.reasons):
        return _held_back(battery, verdict, "A terminal is loose, and nothing is connected to it.")
    if suspect and not qualified:
        return _held_back(battery, verdict, _ONLY_QUALIFIED)
    refusal = charge_refusal(battery, verdict, policy=policy)
    if refusal:
        step = _COOL_DOWN if refusal.too_warm else _WARM_UP
        return HeldBack(battery.tag, battery.chemistry, verdict.grade, refusal.why, step, battery.row)
    first, late = policy.hold.shortest_h.value, policy.bench.short_reading_late_h.value
    need = charge_need(battery, verdict, policy=policy)
    return BenchJob(
        battery,
        verdict,
        (
            ReadingNeed(TaskKind.READ_SHORT, first, first + late),
            ReadingNeed(TaskKind.READ_LONG, policy.hold.long_from_h.value),
        ),
        charge=need,
        treatments=_treatments(battery.chemistry, verdict),
        apart=suspect,
        attended=suspect
        or _cell_may_be_down(verdict)
        or _is_dented(verdict)
        or _came_in_low(battery, policy),
        remarks=(
            *need.remarks,
            *_cautions(battery, verdict, policy),
            *_afterwards(battery.chemistry, verdict),
        ),
    )


def _capacity_test(
    battery: Battery, verdict: Verdict, qualified: bool, policy: GradingPolicy
) -> BenchJob | HeldBack:
    """Plan a charge and the discharge that measures its capacity; a hold comes after the next charge."""
    job = _station_work(battery, verdict, qualified, policy)
    if isinstance(job, HeldBack):
        return job
    current_a = job.charge.capacity_low_ah / policy.bench.capacity_test_h.value if job.charge else 0.0
    remark = (
        f"Drawn for a capacity test: discharge at {current_a:.3g} A down to the maker's end voltage; write "
        "down Delivered capacity (Ah) and Discharge time (h). Charge it again afterwards."
    )
    return replace(job, readings=(), treatments=(TaskKind.CAPACITY_TEST,), remarks=(*job.remarks, remark))


def _treatments(chemistry: Chemistry, verdict: Verdict) -> tuple[TaskKind, ...]:
    """Return the stages beside the charge that the reasons ask for; none for a battery fit for resale.

    A raised voltage is for cells that open alone, as acid and water can be looked after in no others; the
    other lead-acid kinds are recovered at low current.
    """
    if verdict.grade is not Grade.RECONDITIONABLE:
        return ()
    kinds = []
    caps = _caps(verdict)
    if caps & _RECOVERS or (Remedy.LEVEL in caps and chemistry not in LEVELLED):
        kinds.append(TaskKind.RECOVER)
    if Remedy.LEVEL in caps and chemistry in LEVELLED:
        kinds.append(TaskKind.BALANCE if chemistry is Chemistry.LFP else TaskKind.EQUALISE)
    return tuple(kinds)


def _caps(verdict: Verdict) -> set[Remedy]:
    return {step.rule.remedy for step in verdict.reasons if step.effect is Effect.CAP_RECONDITIONABLE}


def _cell_may_be_down(verdict: Verdict) -> bool:
    return any(step.rule is Rule.CELL_SUSPECT for step in verdict.reasons)


def _came_in_low(battery: Battery, policy: GradingPolicy) -> bool:
    """Say whether it was so low at rest that no charge of it is left alone, recovered since or not."""
    rest_v = battery.rest_voltage_v
    if rest_v is None:
        return False
    if battery.chemistry is Chemistry.LFP:
        return rest_v < policy.bench.lfp_attended_below_v.value
    return rest_v <= policy.rest.cell_suspect_to_v.value


def _is_dented(verdict: Verdict) -> bool:
    return any(step.rule is Rule.DENTED for step in verdict.reasons)


def _cautions(battery: Battery, verdict: Verdict, policy: GradingPolicy) -> tuple[str, ...]:
    remarks = []
    if _cell_may_be_down(verdict):
        remarks.append(_CELL_DOWN)
    elif _came_in_low(battery, policy) and verdict.handling is not Handling.SUSPECT:
        asked = _KIND if battery.chemistry is not Chemistry.LFP and not battery.hold_readings else ""
        remarks.append(
            f"It came in at {battery.rest_voltage_v:g} V. {asked}It is {_ATTENDED}. Look at it often. "
            f"{_GOES_WRONG}"
        )
    if _is_dented(verdict):
        remarks.append(_DENTED)
    if latest_temperature_c(battery) is None:
        above_c = policy.bench.charge_above_c[battery.chemistry].value
        remarks.append(
            f"No temperature was read: take it before connecting; charge only above {above_c:g} °C."
        )
    if verdict.handling is Handling.SUSPECT:
        remarks.append(
            f"Suspect: a qualified person only, low current first, alone in the marked place; {_ATTENDED}."
        )
    return tuple(remarks)


def _afterwards(chemistry: Chemistry, verdict: Verdict) -> tuple[str, ...]:
    """Return what is to be done after the plan; never an equalising that the battery must not have."""
    remedy = verdict.decisive.rule.remedy
    closed = Remedy.LEVEL in _caps(verdict) and chemistry not in LEVELLED
    if remedy in _HOLD_DECIDES or (closed and remedy is Remedy.LEVEL):
        return (_CLOSED,) if closed else ()
    return (verdict.next_step, _CLOSED) if closed else (verdict.next_step,)


def _held_back(battery: Battery, verdict: Verdict, reason: str) -> HeldBack:
    step = _LOOK if why_apart(battery) else verdict.next_step
    return HeldBack(battery.tag, battery.chemistry, verdict.grade, reason, step, battery.row)
