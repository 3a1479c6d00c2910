"""Each waste stream: proposed description, codes, packing, storage, what else holds, its batteries."""

from intake.model.compliance import Statement
from intake.report.disposal.batteries import StreamBatteries
from intake.report.disposal.content import DisposalContent, StreamPart
from intake.report.drawing.blocks import stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.headed_rows import SMALL, WITHHELD, Clauses
from intake.report.drawing.marks import rectangle
from intake.report.drawing.palette import PALE, SLATE
from intake.report.drawing.typesetter import Style
from intake.report.words.form_entries import load_form_entries

_PROPOSAL = Style(11, Face.BOLD)
_LABEL = Style(7.5, Face.BOLD, SLATE)
_PADDING = 6.0
_WORTH_STARTING = 220.0
"""Points of room in which the section of a stream is begun."""
_SHARED = "What holds for several streams"
_NO_LINE = Statement(heading="Transport description", text=None, source="")


class StreamSections:
    """Sets and places one section a stream, then what several of them share."""

    def __init__(self, clauses: Clauses) -> None:
        self._clauses = clauses
        self._batteries = StreamBatteries(clauses)

    def place(self, flow: Flow, content: DisposalContent) -> None:
        """Place every stream."""
        for part in content.parts:
            self._stream(flow, part)
        if content.shared:
            told = "Each is said once, with the numbers of the streams it holds for."
            self._clauses.section(flow, _SHARED, told)
        with self._clauses.continued(flow, _SHARED):
            for one in content.shared:
                numbers = ", ".join(map(str, one.numbers))
                self._clauses.statement(flow, one.statement, f"streams {numbers}")

    def _stream(self, flow: Flow, part: StreamPart) -> None:
        if flow.room < _WORTH_STARTING:
            flow.turn_page()
        self._clauses.section(flow, part.name, _amount(part))
        with self._clauses.continued(flow, part.name):
            self._reminders(flow, part)
        self._batteries.place(flow, part)

    def _reminders(self, flow: Flow, part: StreamPart) -> None:
        stream, of = part.stream, f"of stream {part.number}"
        flow.place(self._proposal(stream.transport_line or _NO_LINE))
        self._clauses.statements(flow, f"Waste codes {of}", stream.waste_codes)
        self._clauses.statements(flow, f"Packing {of}", stream.packing)
        self._clauses.statements(flow, f"Storage {of}", part.storage)
        self._clauses.statements(flow, f"Other statements {of}", part.statements)
        if part.shared:
            headings = "; ".join(one.heading for one in part.shared)
            self._clauses.text_row(flow, "See also", f"{_SHARED}, further on: {headings}.")
        self._clauses.part(flow, f"To fill in for stream {part.number}")
        width = self._clauses.column_width(2)
        lines = [self._clauses.to_fill(label, width=width) for label in _lines_to_fill(part)]
        flow.place(stack(self._clauses.in_columns(lines, columns=2)))

    def _proposal(self, line: Statement) -> Block:
        """Return the description that is proposed, on a pale ground."""
        clauses, width = self._clauses, self._clauses.width - 2 * _PADDING
        lines = text_lines(clauses.setter, line.heading, _LABEL, width)
        if line.text is None:
            lines.append(clauses.to_fill(WITHHELD, width=width))
        else:
            lines += text_lines(clauses.setter, line.text, _PROPOSAL, width)
        small = " · ".join(one for one in (line.source, line.checked) if one and line.text is not None)
        lines += text_lines(clauses.setter, small, SMALL, width) if small else []
        inside = stack(lines, x=_PADDING)
        height = inside.height + 2 * _PADDING - 2
        ground = rectangle(0, 0, clauses.width, height, fill=PALE)
        moved = [(mark, dx, dy + _PADDING - 1) for mark, dx, dy in inside.placed]
        return Block(height, [(ground, 0.0, 0.0), *moved])


def _amount(part: StreamPart) -> str:
    total = part.total
    words = [f"{total.count} {'battery' if total.count == 1 else 'batteries'}"]
    if total.count > total.without_mass:
        words.append(f"{total.mass_kg:.1f} kg net, {total.mass_estimated_kg:.1f} kg of it estimated")
    if total.without_mass:
        words.append(f"{total.without_mass} without a mass")
    if part.largest_kg is not None:
        words.append(f"heaviest {part.largest_kg:.1f} kg")
    return " · ".join(words)


def _lines_to_fill(part: StreamPart) -> list[str]:
    family = _family(part.stream.key)
    return [
        one.label for one in load_form_entries().stream_lines if not one.families or family in one.families
    ]


def _family(key: str) -> str:
    if key.startswith("lead-acid"):
        return "lead-acid"
    return "lithium" if key.startswith("lfp") else "other"
