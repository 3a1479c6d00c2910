"""The tables of a register: its views, meters, repeated tags, what is held, files and batches."""

from collections.abc import Iterator, Sequence

from intake.model.kilograms import grams_in_words
from intake.model.register import Register
from intake.model.verdict import Grade
from intake.report.drawing.list_table import Align, Column, Row
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.writer import Writer
from intake.report.register.views import Line, View, supplier_of
from intake.report.register.words import counted, kilograms
from intake.report.words.batch_facts import NOT_GIVEN
from intake.report.words.sources import CONFIRM, Sources

_MOST_NAMED, _MOST_TAGS = 12, 200
_DIGEST_DIGITS, _LONGEST = 12, 400
_WORKBOOK = "register.xlsx"
_WIDTH, _GAP = 510.0, 8.0
"""Of a table in parts, and what each column takes beside its own."""
_NUMBER = Column("number", 32, Align.POINT)
_KILOGRAMS = (Column("kg", 44, Align.POINT), Column("kg of it estimated", 44, Align.POINT))


def _figure(header: str, width: float) -> Column:
    return Column(header, width, Align.POINT)


_DIVIDED = (
    _NUMBER,
    *_KILOGRAMS,
    _figure("for resale", 34),
    _figure("yield %", 29),
    _figure("unresolved %", 46),
    _figure("owed a test", 34),
)
_BATCHES = _figure("batches", 34)
_GROUP = Column("", 50)


class Tables:
    """Sets and places the tables, each over as many pages as it needs."""

    def __init__(self, writer: Writer, sources: Sources) -> None:
        self._writer = writer
        self._sources = sources

    def view(self, view: View, whole: Line, title: str, remark: str = "") -> None:
        """Place one view with its sum; nothing where it has no line."""
        if not view.lines:
            return
        columns = (*((_BATCHES,) if view.by_batch else ()), *_DIVIDED)
        if view.key in ("grade", "stream"):
            columns = (_NUMBER, *_KILOGRAMS, _figure("without mass", 40), _figure("% of all", 40))
        rows: list[Row] = [tuple(_cells(view, line, whole)) for line in view.lines]
        rows.append(tuple(_cells(view, whole, whole)))
        self._table(title, remark, [_rest(view.heading, columns), *columns], rows, sums=1)

    def divided(self, views: Sequence[View], whole: Line) -> None:
        """Place the views that divide the batches as one table, each under its own heading, and their sum."""
        columns = (_BATCHES, *_DIVIDED)
        rows: list[Row] = []
        for view in (one for one in views if one.lines):
            rows += [
                (view.key.capitalize() if place == 0 else "", *_cells(view, line, whole))
                for place, line in enumerate(view.lines)
            ]
        if not rows:
            return
        rows.append(("", *_cells(views[0], whole, whole)))
        heads = [_GROUP, _rest("", (_GROUP, *columns)), *columns]
        self._table("By jurisdiction, supplier and month", "", heads, rows, sums=1)

    def meters(self, register: Register) -> None:
        """Place the meters and how their calibration stands."""
        columns = (
            Column("last used", 56),
            Column("calibration due", 56),
            Column("standing on the closing date", 96),
            _figure("batches", 38),
            Column("batches read past calibration, or without a date", 130),
        )
        sites = {one.site for one in register.meters}
        rows = [
            (
                one_line(one.meter or NOT_GIVEN) + (f"\n{one_line(one.site)}" if len(sites) > 1 else ""),
                one.last_used.isoformat(),
                one.due.isoformat() if one.due else NOT_GIVEN,
                one.standing.value,
                str(len(one.batches)),
                "\n".join(_lacks(one.used_past_due, one.without_date)) or "none",
            )
            for one in register.meters
        ]
        remark = "Judged by the latest date that a Batch sheet gives; due within 30 days counts as soon.†"
        heads = [_rest("Meter, site" if len(sites) > 1 else "Meter", columns), *columns]
        self._table("Meters", remark, heads, rows, none="No batch, so no meter.")

    def tags(self, register: Register) -> None:
        """Place the tags that stand in more than one batch."""
        found = register.repeated_tags
        if not found:
            return
        columns = (Column("Tag", 130), Column("Batches, with the day received", _WIDTH - 138))
        rows: list[Row] = []
        for one in found[:_MOST_TAGS]:
            places = [
                f"{seen.batch} ({seen.received}{'' if seen.in_period else ', outside the period'})"
                for seen in one.sightings
            ]
            rows.append((one.tag, _some(places)))
        remark = "The same battery twice, or a tag used twice: case does not matter. Go and look."
        if len(found) > _MOST_TAGS:
            remark += f" The first {_MOST_TAGS} of {len(found)}; all stand in {_WORKBOOK}."
        self._table("Tags in more than one batch", remark, columns, rows)

    def storage(self, register: Register) -> None:
        """Place what was held on the closing date, and what is known of the rules."""
        period = register.period
        limit = period.storage_limit_days
        columns = (
            Column("rules", 32),
            Column("received", 54),
            Column("ship date", 54),
            _figure("days held", 34),
            Column("standing", 92),
            _figure("number", 34),
            _figure("kg", 44),
        )
        sites = {one.site for one in register.storage}
        rows = [
            (
                one.batch + (f"\n{one_line(one.site)}" if len(sites) > 1 else ""),
                one.jurisdiction,
                one.received.isoformat(),
                one.ship_date.isoformat() if one.ship_date else NOT_GIVEN,
                str(one.days),
                one.standing.value,
                str(one.count),
                grams_in_words(one.mass_g),
            )
            for one in register.storage
        ]
        given = "not given" if limit is None else f"{limit} days, as given for this register"
        remark = (
            f"Graded recycle, from batches of the period and earlier ones. Days from Received to "
            f"{period.closing}, or to the day on which the last of them left by loads or Ship date. "
            f"The site's limit: {given}."
        )
        title = f"Held on {period.closing}"
        heads = [_rest("Batch, site" if len(sites) > 1 else "Batch", columns), *columns]
        self._table(title, remark, heads, rows, none="Nothing, as far as the files tell.")
        self._reminders(register)

    def _reminders(self, register: Register) -> None:
        """Place what the rules say of storage in two columns, what was not checked once below it."""
        told, open_ones = [], []
        for reminder in register.storage_reminders:
            for one in reminder.statements:
                named = f"{reminder.jurisdiction}: {one.heading}"
                if one.text is None:
                    open_ones.append(named)
                else:
                    told.append((named, one.text + self._sources.note(one.source)))
        if open_ones:
            told.append((CONFIRM.capitalize(), "; ".join(open_ones)))
        if told:
            self._writer.part("Storage: confirm with local rules")
            self._writer.columns(told)

    def not_counted(self, register: Register) -> None:
        """Place the files that are in no sum, each with its reason."""
        if not (register.left_out or register.copies):
            return
        columns = (Column("Results file", 190), Column("Why", _WIDTH - 198))
        rows: list[Row] = [(_short(one.file), _short(one.reason)) for one in register.left_out]
        rows += [
            (_short(one.file), _short(f"The same bytes as {one.of}, which is counted."))
            for one in register.copies
        ]
        self._table("Not counted", "", columns, rows)

    def batches(self, register: Register) -> None:
        """Place the batches that are counted, with the digests to find them by."""
        columns = (
            Column("received", 54),
            Column("received from", 110),
            _NUMBER,
            _figure("kg", 46),
            Column("results SHA-256", 80),
            Column("policy SHA-256", 80),
        )
        rows = [
            (
                one.batch,
                one.received.isoformat(),
                supplier_of(one),
                str(sum(group.count for group in one.groups)),
                grams_in_words(sum(group.mass_g for group in one.groups)),
                one.file_sha256[:_DIGEST_DIGITS],
                one.policy_sha256[:_DIGEST_DIGITS],
            )
            for one in register.batches
        ]
        remark = f"The first {_DIGEST_DIGITS} digits; whole digests and file names stand in {_WORKBOOK}."
        heads = [_rest("Batch", columns), *columns]
        self._table("Batches counted", remark, heads, rows, none="None.")

    def _table(
        self,
        title: str,
        remark: str,
        columns: Sequence[Column],
        rows: Sequence[Row],
        *,
        none: str = "",
        sums: int = 0,
    ) -> None:
        if not rows:
            self._writer.section(title)
            self._writer.text(none)
            return
        self._writer.section(title, remark)
        self._writer.table(columns, rows, title=title, sum_rows=sums)


def _rest(head: str, columns: Sequence[Column]) -> Column:
    """Return the first column, which takes the width that the others leave."""
    return Column(head, _WIDTH - sum(one.share + _GAP for one in columns))


def _cells(view: View, line: Line, whole: Line) -> Iterator[str]:
    yield line.title
    if view.by_batch:
        yield str(line.batches)
    yield str(line.count)
    known = line.without_mass < line.count or not line.count
    yield kilograms(line.mass_g, whole.mass_g) if known else "–"
    yield kilograms(line.mass_estimated_g, whole.mass_g) if known else "–"
    if view.key in ("grade", "stream"):
        yield str(line.without_mass)
        yield f"{100 * line.count / whole.count:.1f}" if whole.count else "–"
        return
    yield str(line.by_grade[Grade.RESALE])
    yield _share(line, Grade.RESALE)
    yield _share(line, Grade.UNRESOLVED)
    yield str(line.owed)


def _share(line: Line, grade: Grade) -> str:
    share = line.share_percent(grade)
    return "–" if share is None else f"{share:.1f}"


def _lacks(past: Sequence[str], without: Sequence[str]) -> Iterator[str]:
    if past:
        yield f"past: {_some(past)}"
    if without:
        yield f"no date: {_some(without)}"


def _short(text: str) -> str:
    """Return a text on one line, cut where it would fill a page."""
    line = one_line(text)
    return line if len(line) <= _LONGEST else f"{line[:_LONGEST]}… whole in {_WORKBOOK}"


def _some(names: Sequence[str]) -> str:
    """Return the first names, and how many more there are."""
    more = len(names) - _MOST_NAMED
    text = ", ".join(names[:_MOST_NAMED])
    return text if more <= 0 else f"{text} and {counted(more, 'more', 'more')} in {_WORKBOOK}"
