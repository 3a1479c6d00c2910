from intake.model.finding import Finding, Severity
from intake.model.like_findings import cell_ranges, errors_last, gather_like


def finding(cell, message, severity=Severity.NOTE, hint="Look.", **more):
    return Finding(severity, message, hint, sheet="Batteries", cell=cell, field="Tag", **more)


def test_like_findings_below_one_another_are_one_with_a_range_of_cells():
    (group,) = gather_like([finding(f"A{row}", f'"{row}" was taken.') for row in range(4, 34)])
    assert ("Batteries!A4:A33", 30) == (group.place, len(group.findings))
    assert '"4" was taken. The same in 29 more cells.' == group.message


def test_what_was_read_in_each_of_a_few_cells_is_named():
    (group,) = gather_like([finding("B4", '"SLA" is a family.'), finding("B9", '"MF" is a family.')])
    assert "Batteries!B4, B9" == group.place
    assert '"SLA" is a family. The same in 1 more cell: B9 "MF".' == group.message


def test_the_same_words_are_told_once():
    (group,) = gather_like([finding("B4", "It is empty."), finding("B5", "It is empty.")])
    assert ("It is empty.", "Batteries!B4:B5") == (group.message, group.place)


def test_another_column_severity_message_or_way_out_stays_apart():
    one = finding("B4", "It is empty.")
    others = [
        finding("B5", "It is full."),
        finding("B5", "It is empty.", Severity.ERROR),
        finding("B5", "It is empty.", hint="Mend it."),
        Finding(Severity.NOTE, "It is empty.", "Look.", sheet="Batteries", cell="C5", field="Case"),
        Finding(Severity.NOTE, "It is empty.", "Look.", sheet="Prices", cell="C5", field="Tag"),
    ]
    assert 6 == len(gather_like([one, *others]))


def test_a_finding_of_the_whole_sheet_names_the_sheet():
    (group,) = gather_like([Finding(Severity.NOTE, "Hidden.", "Look.", sheet="Batteries")] * 2)
    assert "Batteries" == group.place


def test_errors_come_last_and_what_rejects_at_the_very_end():
    rejecting = finding("A1", "No.", Severity.ERROR, rejects=True)
    found = [
        rejecting,
        finding("A2", "Hm.", Severity.WARNING),
        finding("A3", "Bad.", Severity.ERROR),
        finding("A4", "So."),
    ]
    assert ["So.", "Hm.", "Bad.", "No."] == [one.message for one in errors_last(found)]


def test_cells_side_by_side_are_no_range():
    assert "A1, B1:B3" == cell_ranges(["A1", "B1", "B2", "B3"])
    assert "B2:B4, B6" == cell_ranges(["B2", "B3", "B4", "B6"])
    assert "here" == cell_ranges(["here"])
