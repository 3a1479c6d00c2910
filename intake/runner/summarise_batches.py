"""Results files of many batches into one register, and its three files onto the disk."""

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from hashlib import sha256
from pathlib import Path

from intake import __version__
from intake.compliance.storage_reminders import storage_reminders
from intake.model.finding import LeftOut
from intake.model.paper import Paper
from intake.model.register import Copy, GradedBatch, Period, Register
from intake.policy.handling_texts import load_wording
from intake.policy.rule_data import load_rules
from intake.register.account import account_of
from intake.register.meters import meter_uses
from intake.register.repeated_tags import repeated_tags
from intake.register.storage import storage_of
from intake.report.json.register import register_bytes
from intake.report.register.write import write_register_pdf
from intake.report.xlsx.register import write_register_workbook
from intake.runner.loads.read_loads import WrittenLoad, read_load, sent_load
from intake.runner.read_many import process_lost
from intake.runner.read_results import ResultsRefused, read_results
from intake.runner.replace_folder import replace_folder
from intake.runner.sums import SUMS, digest_of, sums_of
from intake.runner.workers.in_order import Workers
from intake.runner.workers.workplace import Workplace

DOCUMENTS = ("register.json", "register.xlsx", "register.pdf", SUMS)


NamedFile = tuple[str, Path]


def read_each(files: Sequence[NamedFile], *, at: Workplace | None) -> Iterator[GradedBatch | LeftOut]:
    """Read each results file and keep a small record of it, or why it is left out; in the order given.

    Raises
    ------
    WorkplaceLost
        The place where it is done is gone.
    """
    with Workers(at) as workers:
        yield from workers.each(_read_one, files, lost=_lost)


def _read_one(file: NamedFile) -> GradedBatch | LeftOut:
    name, path = file
    try:
        return read_results(path, name)
    except ResultsRefused as refusal:
        return LeftOut(name, str(refusal))


def _lost(file: NamedFile) -> LeftOut:
    return LeftOut(file[0], process_lost().message)


def summarise(
    read_or_not: Iterable[GradedBatch | LeftOut],
    closed: Sequence[LeftOut],
    period: Period,
    *,
    paper: Paper,
    rules_folder: Path | None = None,
    loads: Iterable[tuple[str, Path]] = (),
) -> Register:
    """Gather what the register says of the results files that were read.

    Parameters
    ----------
    read_or_not
        What :func:`read_each` gives.
    closed
        What could not even be looked into.
    period
        The days that count.
    paper
        For the files of the register.
    rules_folder
        A site's own rule data, beside the shipped ones.
    loads
        Name in the register and path of each load.
    """
    read: list[GradedBatch] = []
    left_out = list(closed)
    for one in read_or_not:
        if isinstance(one, LeftOut):
            left_out.append(one)
        else:
            read.append(one)
    taken, unread = _loads_once(loads)
    left_out += unread
    batches, copies, clashing = _each_batch_once(read)
    inside = [one for one in batches if period.covers(one.received)]
    sent = [sent_load(one) for _, one in taken]
    account = account_of((item for one in batches for item in one.stock), sent, period)
    held = (one.item for one in account.on_hand)
    storage = storage_of(batches, period, loads=sent, on_hand=held)
    return Register(
        version=__version__,
        period=period,
        batches=tuple(inside),
        before=sum(one.received < period.first for one in batches),
        after=sum(one.received > period.last for one in batches),
        left_out=tuple(sorted((*left_out, *clashing), key=lambda one: one.file)),
        copies=tuple(copies),
        inputs_sha256=_digest(read),
        meters=meter_uses(inside, period.closing),
        repeated_tags=repeated_tags(batches, period),
        storage=storage,
        storage_reminders=storage_reminders(storage, batches, period, load_rules(rules_folder)),
        account=account,
        results=tuple((one.file, one.file_sha256) for one in read),
        loads=tuple((name, one.sha256) for name, one in taken),
        cautions=load_wording().cautions,
        paper=paper,
    )


def _loads_once(
    files: Iterable[tuple[str, Path]],
) -> tuple[list[tuple[str, WrittenLoad]], list[LeftOut]]:
    """Return each load once; of two that differ under one name the first, and the other is named."""
    by_name: dict[str, tuple[str, WrittenLoad]] = {}
    left_out: list[LeftOut] = []
    for name, path in files:
        try:
            load = read_load(path)
        except ResultsRefused as refusal:
            left_out.append(LeftOut(name, str(refusal)))
            continue
        earlier_name, earlier = by_name.setdefault(load.name.casefold(), (name, load))
        if earlier.sha256 != load.sha256:
            reason = f"Load {load.name} stands in {earlier_name} with other contents, which is counted."
            left_out.append(LeftOut(name, reason))
    return list(by_name.values()), left_out


def _each_batch_once(read: Sequence[GradedBatch]) -> tuple[list[GradedBatch], list[Copy], list[LeftOut]]:
    """Count copies with the same bytes once; of batches that differ under one name count none."""
    by_name: dict[str, list[GradedBatch]] = {}
    for one in read:
        by_name.setdefault(one.batch.casefold(), []).append(one)
    batches: list[GradedBatch] = []
    copies: list[Copy] = []
    clashing: list[LeftOut] = []
    for ones in by_name.values():
        if len({one.file_sha256 for one in ones}) == 1:
            batches.append(ones[0])
            copies += [Copy(one.file, ones[0].file) for one in ones[1:]]
            continue
        for one in ones:
            others = ", ".join(other.file for other in ones if other is not one)
            clashing.append(
                LeftOut(
                    one.file,
                    f"Batch {one.batch} stands in another results file with other contents: {others}. "
                    "Which one holds cannot be told, so none is counted.",
                )
            )
    return sorted(batches, key=lambda one: (one.received, one.batch.casefold())), copies, clashing


def _digest(read: Iterable[GradedBatch]) -> str:
    lines = "".join(f"{one.file_sha256}  {one.file}\n" for one in read)
    return sha256(lines.encode(errors="surrogateescape")).hexdigest()


def write_register(register: Register, target: Path, *, overwrite: bool) -> tuple[str, ...]:
    """Write the files of a register into the folder ``target``, all of them or none.

    Returns
    -------
    tuple of str
        The names of what lies there beside them and was left as it is.

    Raises
    ------
    FolderInTheWay
        ``target`` exists without ``overwrite``.
    OSError
        It could not be written; nothing half-written is left.
    """
    fill = partial(fill_register, register)
    return replace_folder(target, fill, overwrite=overwrite, documents=DOCUMENTS)


def fill_register(register: Register, folder: Path) -> None:
    """Write the files of a register into an empty folder, their digests last.

    Raises
    ------
    OSError
        A file could not be written.
    """
    as_json, as_workbook, on_paper, sums = (folder / name for name in DOCUMENTS)
    as_json.write_bytes(register_bytes(register))
    write_register_workbook(register, as_workbook)
    write_register_pdf(register, on_paper)
    sums.write_bytes(sums_of({one.name: digest_of(one) for one in (as_json, as_workbook, on_paper)}))
