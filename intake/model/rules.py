"""Every rule of the grading once: its id, title, meaning, what it leaves to do, whether it hides the charge.

The order is that of a trace. ``results.json`` and the workbooks carry the id; code refers to the member, so
that a misspelt name is a type error.
"""

from enum import Enum
from typing import Self


class Remedy(Enum):
    """What a rule leaves to do with the battery, once it has fired."""

    MEND_ROW = "mend the row, grade again"
    HAND_OVER = "hand it to the recycler"
    FILL = "have it filled, then measure"
    IDENTIFY = "have the chemistry identified"
    MEND_CONNECTION = "mend the connection first"
    SWAP_LEADS = "swap the meter's leads, read again"
    READ_REST = "let it rest on, then read"
    READ_AFRESH = "let it rest anew, then read"
    READ_QUALIFIED = "a qualified person reads it"
    CHARGE_AND_HOLD = "charge, then hold"
    RECOVER_AND_HOLD = "recover, charge, then hold"
    HOLD_ON = "leave it standing, read again at twelve hours"
    READ_ON = "leave it standing, read again later"
    CHECK_HOURS = "check the hours, read again later"
    LEVEL = "charge, bring the cells level, then hold"
    RECOVER_AND_REPEAT = "recover, charge, repeat the test"
    FOR_SALE = "charge it, then offer it"
    TAKE_NOTE = "take note; nothing else changes"


_HIDES_CHARGE = True
"""The posts do not show what the cells hold: a protection circuit or link is open, or leads are swapped."""


class Rule(Enum):
    """One rule. ``Rule("hold-high")`` finds it by its id.

    Raises
    ------
    TypeError
        On import, where a rule is written down without its remedy.
    """

    _value_: str
    title: str
    meaning: str
    """In one sentence: when the rule fires."""
    remedy: Remedy
    """The default; a rule that condemns in its worse case hands the battery over then."""
    hides_charge: bool

    def __new__(cls, key: str, title: str, meaning: str, remedy: Remedy, hides_charge: bool = False) -> Self:
        """Give a member its facts; the id is its value."""
        member = object.__new__(cls)
        member._value_ = key
        member.title = title
        member.meaning = meaning
        member.remedy = remedy
        member.hides_charge = hides_charge
        return member

    @property
    def id(self) -> str:
        """The name that ``results.json`` carries, like ``hold-high``."""
        return self._value_

    ROW_ERROR = (
        "row-error",
        "Row with an error",
        "The workbook row has an error, and decides alone.",
        Remedy.MEND_ROW,
    )
    CASE_BREACHED = (
        "case-breached",
        "Case breached",
        "The case is cracked, leaking, swollen or burnt.",
        Remedy.HAND_OVER,
    )
    DENTED = (
        "dented",
        "Case dented",
        "The case is dented.",
        Remedy.CHARGE_AND_HOLD,
    )
    UNDER_RECALL = (
        "under-recall",
        "Under recall",
        "The maker has recalled the battery.",
        Remedy.HAND_OVER,
    )
    TERMINAL_BROKEN = (
        "terminal-broken",
        "Terminal broken",
        "A terminal is broken.",
        Remedy.HAND_OVER,
    )
    TERMINAL_LOOSE = (
        "terminal-loose",
        "Terminal loose",
        "A terminal is loose.",
        Remedy.MEND_CONNECTION,
    )
    TERMINAL_CORRODED = (
        "terminal-corroded",
        "Terminals corroded",
        "The terminals are corroded, so that readings may be low.",
        Remedy.TAKE_NOTE,
    )
    RECOVERY_FAILED = (
        "recovery-failed",
        "Recovery failed",
        "It was recovered before and took no charge, or did not hold it.",
        Remedy.HAND_OVER,
    )
    NOT_FILLED = (
        "not-filled",
        "Not filled",
        "It was delivered dry and has never been filled with acid.",
        Remedy.FILL,
        _HIDES_CHARGE,
    )
    CHEMISTRY_UNCLEAR = (
        "chemistry-unclear",
        "Chemistry unclear",
        "The chemistry is other or unknown.",
        Remedy.IDENTIFY,
    )
    TEMPERATURE_OUTSIDE = (
        "temperature-outside",
        "Temperature outside",
        "A voltage was read outside the temperatures at which readings count.",
        Remedy.READ_AFRESH,
    )
    NOT_DIAGNOSABLE = (
        "not-diagnosable",
        "Not diagnosable",
        "Nobody has read a voltage of this LFP battery.",
        Remedy.READ_QUALIFIED,
    )
    NO_READING = (
        "no-reading",
        "No reading",
        "There is neither a rest voltage nor a hold reading.",
        Remedy.READ_REST,
    )
    READING_REVERSED = (
        "reading-reversed",
        "Reading reversed",
        "The rest voltage is negative: the leads were swapped, or cells are reversed.",
        Remedy.SWAP_LEADS,
        _HIDES_CHARGE,
    )
    READING_IMPLAUSIBLE = (
        "reading-implausible",
        "Reading implausible",
        "The rest voltage is too high to be an open-circuit voltage.",
        Remedy.READ_AFRESH,
        _HIDES_CHARGE,
    )
    NOT_RESTED = (
        "not-rested",
        "Not rested",
        "The battery has not rested long enough for its voltage to count.",
        Remedy.READ_REST,
    )
    NO_VOLTAGE = (
        "no-voltage",
        "No voltage",
        "The lead-acid block shows no voltage.",
        Remedy.HAND_OVER,
        _HIDES_CHARGE,
    )
    BMS_MAY_BE_OPEN = (
        "bms-may-be-open",
        "Protection circuit may be open",
        "The LFP posts show next to nothing, and no reset of the protection circuit was tried.",
        Remedy.READ_QUALIFIED,
        _HIDES_CHARGE,
    )
    LFP_OVERDISCHARGED = (
        "lfp-overdischarged",
        "LFP over-discharged",
        "The LFP posts still show next to nothing after a reset of the protection circuit.",
        Remedy.HAND_OVER,
        _HIDES_CHARGE,
    )
    LFP_DEEP = (
        "lfp-deep",
        "LFP deeply discharged",
        "The LFP block is below the voltage at which it may be charged at full current.",
        Remedy.RECOVER_AND_REPEAT,
    )
    UNUSED_PREPARE = (
        "unused-prepare",
        "Unused, to be prepared",
        "It is unused and has run down on the shelf no further than a charge makes good.",
        Remedy.CHARGE_AND_HOLD,
    )
    CAPACITY_SHOWN = (
        "capacity-shown",
        "Capacity shown",
        "It is flat after a capacity test that it has passed for certain.",
        Remedy.CHARGE_AND_HOLD,
    )
    NEEDS_RECOVERY = (
        "needs-recovery",
        "Needs recovery",
        "The rest voltage is not certain to reach that of a part-charged battery.",
        Remedy.RECOVER_AND_HOLD,
    )
    RESTS_HIGH = (
        "rests-high",
        "Rests high",
        "The rest voltage is certain to reach that of a part-charged battery.",
        Remedy.CHARGE_AND_HOLD,
    )
    CELL_SUSPECT = (
        "cell-suspect",
        "Cell suspect",
        "The lead-acid block rests in the band of five good cells: one may be down.",
        Remedy.TAKE_NOTE,
    )
    HOLD_TOO_SOON = (
        "hold-too-soon",
        "Hold read too soon",
        "All hold readings were taken before they count.",
        Remedy.HOLD_ON,
    )
    HOLD_CELL_DOWN = (
        "hold-cell-down",
        "Cell down in the hold",
        "After a full charge the lead-acid block is in the band of five good cells.",
        Remedy.HAND_OVER,
    )
    HOLD_CONTRADICTS = (
        "hold-contradicts",
        "Hold contradicts itself",
        "A reading of the hold lies above an earlier one by more than the meter explains.",
        Remedy.CHECK_HOURS,
    )
    HOLD_DROP_FAILS = (
        "hold-drop-fails",
        "Drop fails",
        "The voltage fell much further in the hold than settling accounts for.",
        Remedy.HAND_OVER,
    )
    HOLD_DROP_UNCLEAR = (
        "hold-drop-unclear",
        "Drop unclear",
        "The voltage may have fallen much further in the hold than settling accounts for.",
        Remedy.READ_ON,
    )
    HOLD_DROP_HIGH = (
        "hold-drop-high",
        "Drop high",
        "The voltage fell further in the hold than settling accounts for.",
        Remedy.LEVEL,
    )
    HOLD_DROP_NOT_JUDGED = (
        "hold-drop-not-judged",
        "Drop not judged",
        "The readings between which the drop is taken were taken at different temperatures.",
        Remedy.TAKE_NOTE,
    )
    LEAK_READING_LEFT_OUT = (
        "leak-reading-left-out",
        "Reading left out",
        "A reading taken at another temperature is left out of the self-discharge.",
        Remedy.TAKE_NOTE,
    )
    LEAK_FAILS = (
        "leak-fails",
        "Leak fails",
        "Beside settling it is certain to lose far more charge a day than a sound battery.",
        Remedy.HAND_OVER,
    )
    LEAK_SUSPECT = (
        "leak-suspect",
        "Leak suspected",
        "Beside settling it probably loses more charge a day than a sound battery.",
        Remedy.LEVEL,
    )
    HOLD_HIGH = (
        "hold-high",
        "Hold high",
        "The settled voltage is certain to reach the upper mark of charge.",
        Remedy.FOR_SALE,
    )
    HOLD_MIDDLE = (
        "hold-middle",
        "Hold middling",
        "The settled voltage is certain to reach the lower mark of charge, not the upper one.",
        Remedy.LEVEL,
    )
    HOLD_LOW = (
        "hold-low",
        "Hold low",
        "The settled voltage is certain to stay under the lower mark of charge.",
        Remedy.HOLD_ON,
    )
    HOLD_UNCLEAR = (
        "hold-unclear",
        "Hold unclear",
        "The settled voltage may lie on either side of the lower mark of charge.",
        Remedy.HOLD_ON,
    )
    CAPACITY_LOW = (
        "capacity-low",
        "Capacity low",
        "The measured capacity is not certain to reach that of a serviceable battery.",
        Remedy.RECOVER_AND_REPEAT,
    )
    CAPACITY_SPENT = (
        "capacity-spent",
        "Capacity spent",
        "The measured capacity is certain to stay under that of a battery worth recovering.",
        Remedy.HAND_OVER,
    )
    CRANKING_LOW = (
        "cranking-low",
        "Cranking low",
        "The measured cranking current is too small a share of the rated one.",
        Remedy.RECOVER_AND_REPEAT,
    )
    CRANKING_SPENT = (
        "cranking-spent",
        "Cranking spent",
        "The measured cranking current is too small a share of the rated one to recover the battery.",
        Remedy.HAND_OVER,
    )
    LOAD_TEST_NOT_USED = (
        "load-test-not-used",
        "Load test not used",
        "The load test was made outside the terms of its table.",
        Remedy.TAKE_NOTE,
    )
    LOAD_TEST_FAILS = (
        "load-test-fails",
        "Load test fails",
        "The voltage under load is below the least voltage at that temperature.",
        Remedy.RECOVER_AND_REPEAT,
    )
    LOAD_COLLAPSES = (
        "load-collapses",
        "Load test collapses",
        "The battery was too flat for a load test, and fell so far under load that this is no excuse.",
        Remedy.RECOVER_AND_REPEAT,
    )
    RESISTANCE_HIGH = (
        "resistance-high",
        "Resistance high",
        "The internal resistance is too many times the rated one.",
        Remedy.RECOVER_AND_REPEAT,
    )
    GRAVITY_SPREAD = (
        "gravity-spread",
        "Gravities apart",
        "The specific gravities of the six cells lie too far apart.",
        Remedy.LEVEL,
    )
    GRAVITY_LOW = (
        "gravity-low",
        "Gravity low",
        "After a charge the acid of a cell is still weak.",
        Remedy.HAND_OVER,
    )
    GRAVITY_STALE = (
        "gravity-stale",
        "Gravities stale",
        "The gravities do not fit the voltage of the hold, and seem older than the charge.",
        Remedy.TAKE_NOTE,
    )
    CELL_SPREAD = (
        "cell-spread",
        "Cells apart",
        "The voltages of the four LFP cells lie too far apart.",
        Remedy.LEVEL,
    )
    CELL_OVERDISCHARGED = (
        "cell-overdischarged",
        "LFP cell over-discharged",
        "An LFP cell is below the voltage that it must not fall under.",
        Remedy.RECOVER_AND_REPEAT,
    )
