"""``intake load new``: a load workbook with a row for each battery that is here and fit to leave."""

from collections.abc import Collection, Iterable, Sequence
from pathlib import Path

from intake.model.load import LoadedBattery, LoadKind
from intake.model.paper import Paper
from intake.model.verdict import Grade
from intake.policy.waste_streams import stream_titles
from intake.runner.loads.graded_stock import GradedStock
from intake.workbook.blank.load_workbook import write_load_workbook


def fit_to_leave(
    stocks: Iterable[GradedStock],
    gone: Collection[tuple[str, str]],
    *,
    kind: LoadKind,
    streams: Collection[str] = (),
) -> list[LoadedBattery]:
    """Return the batteries that a load of this kind may take, those of one stream together.

    Parameters
    ----------
    gone
        Batch and tag in lower case of each battery that has left.
    streams
        Only these waste streams; none: all.
    """
    found = [
        one
        for stock in stocks
        for one in stock.batteries
        if (one.batch.casefold(), one.tag.casefold()) not in gone
        and _fits(one, kind)
        and (not streams or one.stream in streams)
    ]
    return sorted(found, key=lambda one: one.stream or "")


def _fits(one: LoadedBattery, kind: LoadKind) -> bool:
    if kind is LoadKind.RETURN:
        return True
    if kind is LoadKind.SALE:
        return one.grade is Grade.RESALE
    return one.stream is not None


def write_new_load(
    path: Path,
    stocks: Sequence[GradedStock],
    batteries: Sequence[LoadedBattery],
    *,
    kind: LoadKind,
    consignee: str | None,
    paper: Paper,
) -> None:
    """Write the load workbook; what the batches agree on is filled in.

    Raises
    ------
    FileExistsError
        Something of that name is there already.
    OSError
        It could not be written.
    """
    used = {one.batch for one in batteries}
    sources = [stock.source for stock in stocks if stock.source.batch in used]
    head: dict[str, str] = {"kind": kind.value}
    for key in ("jurisdiction", "region", "site", "currency"):
        values = {stock.said.get(key) for stock in stocks if stock.source.batch in used}
        if len(values) == 1 and (value := values.pop()):
            head[key] = str(value)
    if consignee or kind is LoadKind.RECYCLING:
        agreed = {stock.said.get("consignee") for stock in stocks if stock.source.batch in used}
        receiver = consignee or (agreed.pop() if len(agreed) == 1 else None)
        if receiver:
            head["consignee"] = receiver
    write_load_workbook(
        path, head=head, batteries=batteries, sources=sources, streams=stream_titles(), paper=paper
    )
