"""Rules that look at the battery, not at its readings."""

from collections.abc import Iterator

from intake.grading.cited_sources import Basis, basis
from intake.grading.quantities import at_least
from intake.grading.remedy_texts import HAND_OVER_DAMAGED
from intake.model.battery import Battery, Chemistry, Recovery, Use
from intake.model.rules import Rule
from intake.model.shown import shown_c
from intake.model.verdict import Effect, Handling, Step
from intake.policy.cited import Status
from intake.policy.grading_policy import GradingPolicy

_BREACHED = ("cracked", "leaking", "swollen", "burnt")
_UNCLEAR = (Chemistry.OTHER, Chemistry.UNKNOWN)
_SAFETY = Basis(source="Common practice of battery handling", status=Status.COMMON_PRACTICE.value)


def safety_steps(battery: Battery, *, policy: GradingPolicy) -> Iterator[Step]:
    """Yield the gates in their listing order."""
    if battery.row_errors:
        yield _row_error(battery)
    yield _case(battery)
    yield _dented(battery)
    yield _recall(battery)
    yield from _terminals(battery)
    yield _recovery(battery)
    yield _filled(battery)
    yield _chemistry(battery)
    yield from _temperatures(battery, policy)
    if battery.chemistry is Chemistry.LFP:
        yield _diagnosable(battery)


def _row_error(battery: Battery) -> Step:
    return Step(
        rule=Rule.ROW_ERROR,
        fired=True,
        effect=Effect.UNRESOLVED,
        text="This row of the workbook cannot be used: " + " ".join(battery.row_errors),
        source="Input contract",
        status=Status.SITE_CHOICE.value,
        next_step="Mend the cell that the findings name, then grade again.",
    )


def _case(battery: Battery) -> Step:
    breached = battery.case in _BREACHED
    return Step(
        rule=Rule.CASE_BREACHED,
        fired=breached,
        effect=Effect.RECYCLE,
        handling=Handling.DAMAGED,
        text=f"The case is {battery.case or 'not told'}.",
        measured=battery.case,
        limit="cracked, leaking, swollen or burnt",
        next_step=HAND_OVER_DAMAGED,
        **_SAFETY,
    )


def _lithium(battery: Battery, handling: Handling) -> Handling:
    """Return the handling that a fault asks for in lithium; a lead-acid battery stays intact by it."""
    return handling if battery.chemistry is Chemistry.LFP else Handling.INTACT


def _dented(battery: Battery) -> Step:
    lithium = battery.chemistry is Chemistry.LFP
    return Step(
        rule=Rule.DENTED,
        fired=battery.case == "dented",
        effect=Effect.RECYCLE if lithium else Effect.CAP_RECONDITIONABLE,
        handling=_lithium(battery, Handling.DAMAGED),
        text=f"The case is {battery.case or 'not told'}.",
        measured=battery.case,
        limit="dented",
        next_step=(
            HAND_OVER_DAMAGED
            if lithium
            else "Set it apart. See that its case is tight before anything is connected; then charge it "
            "fully under watch and hold-test it."
        ),
        **_SAFETY,
    )


def _recall(battery: Battery) -> Step:
    text = {
        True: "It is under recall.",
        False: "It is not under recall.",
        None: "Recalls were not looked up.",
    }
    return Step(
        rule=Rule.UNDER_RECALL,
        fired=battery.under_recall is True,
        effect=Effect.RECYCLE,
        handling=_lithium(battery, Handling.DAMAGED),
        text=text[battery.under_recall],
        measured={True: "yes", False: "no", None: None}[battery.under_recall],
        limit="yes",
        next_step="Do not charge or sell it; follow the recall notice, else the recycle stream.",
        **_SAFETY,
    )


def _terminals(battery: Battery) -> Iterator[Step]:
    text = f"The terminals are {battery.terminals or 'not inspected'}."
    touchable = battery.case not in _BREACHED and battery.chemistry not in _UNCLEAR
    cleanable = battery.terminals == "corroded" and touchable  # nobody is sent to the posts of the others
    yield Step(
        rule=Rule.TERMINAL_BROKEN,
        fired=battery.terminals == "broken",
        effect=Effect.RECYCLE,
        handling=_lithium(battery, Handling.DAMAGED),
        text=text,
        measured=battery.terminals,
        limit="broken",
        next_step="Insulate what is left of the terminals and hand it to the recycle stream.",
        **_SAFETY,
    )
    yield Step(
        rule=Rule.TERMINAL_LOOSE,
        fired=battery.terminals == "loose",
        effect=Effect.CAP_RECONDITIONABLE,
        handling=_lithium(battery, Handling.SUSPECT),
        text=text,
        measured=battery.terminals,
        limit="loose",
        next_step="See whether the terminal can be made good by a qualified person, then test again.",
        **_SAFETY,
    )
    yield Step(
        rule=Rule.TERMINAL_CORRODED,
        fired=battery.terminals == "corroded",
        effect=Effect.NOTE,
        handling=_lithium(battery, Handling.SUSPECT),
        text=f"{text} Clean them, then read it again." if cleanable else text,
        measured=battery.terminals,
        limit="corroded",
        **_SAFETY,
    )


def _recovery(battery: Battery) -> Step:
    failed = battery.recovery in (Recovery.NO_CHARGE_TAKEN, Recovery.DID_NOT_HOLD)
    return Step(
        rule=Rule.RECOVERY_FAILED,
        fired=failed,
        effect=Effect.RECYCLE,
        handling=_lithium(battery, Handling.DAMAGED),
        text=f"Recovery: {battery.recovery.value}.",
        measured=battery.recovery.value,
        limit="no charge taken or did not hold",
        next_step="Do not charge it again; hand it to the recycle stream.",
        **_SAFETY,
    )


def _filled(battery: Battery) -> Step:
    dry = battery.use is Use.UNUSED_DRY and battery.chemistry is not Chemistry.LFP
    return Step(
        rule=Rule.NOT_FILLED,
        fired=dry,
        effect=Effect.UNRESOLVED,
        text=(
            "It was delivered without acid and has never been filled: no voltage says anything about it yet."
            if dry
            else f"Use: {battery.use.value}."
        ),
        measured=battery.use.value,
        limit=Use.UNUSED_DRY.value,
        next_step=(
            "Have it filled and left to soak by the maker's instructions, acid by trained people only; then "
            "measure the rest voltage."
        ),
        **_SAFETY,
    )


def _chemistry(battery: Battery) -> Step:
    return Step(
        rule=Rule.CHEMISTRY_UNCLEAR,
        fired=battery.chemistry in _UNCLEAR,
        effect=Effect.UNRESOLVED,
        handling=Handling.SUSPECT,
        text=f"The chemistry is {battery.chemistry.value}.",
        measured=battery.chemistry.value,
        limit="other or unknown",
        next_step="Have the chemistry identified by a competent person; never charge it before.",
        **_SAFETY,
    )


def _temperatures(battery: Battery, policy: GradingPolicy) -> Iterator[Step]:
    shortest_h = policy.hold.shortest_h.value
    taken = [
        one.temperature_c
        for one in battery.hold_readings
        if at_least(one.after_charge_h, shortest_h, policy=policy)
    ]
    if battery.rest_voltage_v is not None:
        taken.insert(0, battery.temperature_c)
    temperatures = [one for one in taken if one is not None]
    if not temperatures:
        return
    lowest, highest = policy.temperature.lowest_c, policy.temperature.highest_c
    worst = max(temperatures, key=lambda one: max(one - highest.value, lowest.value - one))
    yield Step(
        rule=Rule.TEMPERATURE_OUTSIDE,
        fired=not (
            at_least(worst, lowest.value, policy=policy) and at_least(highest.value, worst, policy=policy)
        ),
        effect=Effect.UNRESOLVED,
        text=(
            f"A voltage was read at {shown_c(worst)} °C; "
            f"readings count from {lowest.value:g} to {highest.value:g} °C."
        ),
        measured=worst,
        limit=f"{lowest.value:g} to {highest.value:g}",
        unit="°C",
        next_step=(
            "Bring it to the bench's temperature and read the voltage again."
            if at_least(highest.value, worst, policy=policy)
            else "It is hot: leave it alone outdoors, away from others, and do not charge it. Look at it "
            "again when it has cooled to the bench's temperature, then read the voltage again."
        ),
        **basis(lowest, highest),
    )


def _diagnosable(battery: Battery) -> Step:
    single = (battery.rest_voltage_v, battery.load_voltage_v)
    silent = all(one is None for one in single) and not (battery.hold_readings or battery.cell_voltages_v)
    return Step(
        rule=Rule.NOT_DIAGNOSABLE,
        fired=silent,
        effect=Effect.UNRESOLVED,
        handling=Handling.SUSPECT,
        text="No voltage was read." if silent else "A voltage was read.",
        next_step="A qualified person measures the rest voltage; until then handle it as suspect.",
        **_SAFETY,
    )
