"""What has to be known before the figures of a register are used."""

from datetime import date

import pytest

from intake.model.account import Difference
from intake.model.finding import LeftOut
from intake.model.register import Copy
from intake.model.verdict import Evidence
from intake.report.register.views import whole_line
from intake.report.register.words import (
    counted,
    differences_in_words,
    kilograms,
    owed_in_words,
    register_remarks,
)
from tests.changed import replace
from tests.register.builders import QUARTER, graded, group
from tests.report.register_builders import register_of

SOUND = graded(
    "A",
    "2026-11-20",
    calibration_due=date(2027, 6, 1),
    groups=(group(), group("resale-after-charge", evidence=Evidence.LONG_HOLD)),
)


def said(*batches, **fields):
    return " ".join(register_remarks(register_of(batches or [SOUND], **fields)))


def test_a_sound_register_is_told_only_what_always_holds():
    told = register_remarks(register_of([SOUND]))

    assert 2 == len(told)
    assert told[0].startswith("The results files were read as they are.")
    assert told[1].startswith("The storage list counts from Received")


@pytest.mark.parametrize(
    ("batches", "fields", "says"),
    [
        ([], {}, "No batch was received from 2026-09-01 to 2026-11-30"),
        ([SOUND], {"left_out": (LeftOut("x", "y"),)}, "1 results file left out and in no sum"),
        ([SOUND], {"left_out": (LeftOut("x", "y"),) * 2}, "2 results files left out and in no sum"),
        ([SOUND], {"copies": (Copy("x", "y"),)}, "1 results file with the same bytes as another one"),
        (
            [replace(SOUND, tags=("T",)), replace(SOUND, batch="B", tags=("t",))],
            {},
            "1 tag in more than one batch",
        ),
        ([SOUND, replace(SOUND, batch="B", policy_sha256="0" * 64)], {}, "by 2 different policies"),
        ([SOUND, replace(SOUND, batch="B", version="0.0.1")], {}, "versions of intake: 0.0.1, 9.9.9"),
        (
            [replace(SOUND, groups=(group("resale-after-charge", count=3),))],
            {},
            "3 batteries of the 3 graded for resale: no hold has shown anything yet",
        ),
        (
            [replace(SOUND, groups=(group("resale-after-charge", count=3, apart=("T-15",)),))],
            {},
            "2 batteries of the 3 graded for resale: no hold has shown anything yet",
        ),
        (
            [replace(SOUND, groups=(group("resale-after-charge", count=3, apart=("T-15",)),))],
            {},
            "1 battery of the 3 graded for resale is set apart for a second look. Do not charge or sell it",
        ),
        ([replace(SOUND, groups=(group(mass_estimated_g=1),))], {}, "an estimate is no declaration"),
        ([replace(SOUND, groups=(group(without_mass=1),))], {}, "1 battery has no mass"),
        ([replace(SOUND, wrong_acceptances=None)], {}, "1 batch gives no expected wrong acceptances"),
        (
            [replace(SOUND, calibration_due=date(2026, 11, 19))],
            {},
            "1 batch read with a meter past its calibration",
        ),
        ([replace(SOUND, calibration_due=None)], {}, "the state of its meter is not known"),
        (
            [replace(SOUND, received=date(2026, 10, 31))],
            {},
            "1 batch over the site's storage limit of 60 days",
        ),
        (
            [SOUND],
            {"period": replace(QUARTER, storage_limit_days=None)},
            "whether they are too many is not known",
        ),
    ],
)
def test_what_puts_figures_in_doubt_is_said_and_only_then(batches, fields, says):
    assert says in " ".join(register_remarks(register_of(batches, **fields)))
    assert says not in said()


def test_nobody_is_sent_to_charge_what_stands_apart():
    tags = tuple(f"T-{number}" for number in range(14))
    told = said(
        replace(
            SOUND,
            groups=(
                group("recycle", count=1, apart=("T-99",)),
                group("resale-after-charge", count=13, apart=tags[:13]),
                group("resale-after-charge", count=2, apart=tags[13:], evidence=Evidence.LONG_HOLD),
            ),
        )
    )

    assert "no hold has shown" not in told
    assert "14 batteries of the 15 graded for resale are set apart" in told
    assert "A/T-11 and 2 more." in told
    assert "T-99" not in told


@pytest.mark.parametrize(
    ("apart", "says"),
    [
        ((), ""),
        (("T-1",), "1 of the 3 batteries still owed a test is set apart: damaged"),
        (("T-1", "T-2"), "2 of the 3 batteries still owed a test are set apart: damaged"),
    ],
)
def test_what_is_set_apart_is_not_sent_to_a_test(apart, says):
    batch = replace(SOUND, groups=(group("unresolved", count=3, apart=apart),))
    told = said(batch)

    assert says in told
    assert bool(says) == ("nothing is charged or tested before that" in told)
    line = whole_line(register_of([batch]))
    assert owed_in_words(line) == "3 batteries" + (f", {len(apart)} of them set apart" if apart else "")


def test_batteries_of_which_the_same_is_said_stand_together_after_the_loads():
    told = differences_in_words(
        [
            Difference("L-1", "A", "B-1", "left, but no graded batch has it"),
            Difference("L-1", "A", "B-2", "left, but no graded batch has it"),
            Difference("L-2", "A", "B-3", "left, but no graded batch has it"),
            Difference("L-1", "", "", "the receiver counted 2, the load has 3"),
        ]
    )

    assert [
        "load L-1: the receiver counted 2, the load has 3",
        "load L-1, A/B-1, A/B-2: left, but no graded batch has it",
        "load L-2, A/B-3: left, but no graded batch has it",
    ] == told


def test_one_and_many():
    assert "1 day" == counted(1, "day")
    assert "0 days" == counted(0, "day")
    assert "2 batches" == counted(2, "batch", "batches")


@pytest.mark.parametrize(("whole_g", "text"), [(99_999_999, "12.3"), (100_000_000, "12")])
def test_a_large_register_needs_no_decimal(whole_g, text):
    assert text == kilograms(12_345, whole_g)
