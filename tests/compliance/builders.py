"""Small batches for the tests of this room."""

from datetime import date

from intake.model.battery import Batch, Battery, Chemistry
from intake.model.verdict import Evidence, Grade, Handling, Verdict

RECEIVED = date(2026, 11, 20)


def verdict(grade="recycle", *, handling="intact", evidence="none"):
    return Verdict(Grade(grade), Evidence(evidence), Handling(handling), "", (), ())


def battery(tag, chemistry="flooded", *, case="sound", **fields):
    return Battery(tag=tag, row=2, chemistry=Chemistry(chemistry), case=case, **fields)


def batch(*batteries, jurisdiction="US", received=RECEIVED, ship_date=None, region=None):
    return Batch(
        batch="B-1",
        site="Yard",
        received=received,
        inspector="Inspector",
        jurisdiction=jurisdiction,
        ship_date=ship_date,
        region=region,
        batteries=batteries,
    )


def no_masses(batteries):
    return [(None, False)] * len(batteries)
