"""The register on paper, read back with other libraries."""

from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

import pytest
from pypdf import PdfReader

from intake.model.account import Amount
from intake.model.finding import LeftOut
from intake.model.paper import Paper
from intake.model.register import Copy
from intake.report.json.register import register_document
from intake.report.register.write import write_register_pdf
from tests.changed import replace
from tests.register.builders import QUARTER, graded, group
from tests.report.read_pdf import flat, fonts, outside, overlapping, texts, words_by_page
from tests.report.register_builders import (
    hostile_register,
    mixed_batches,
    mixed_register,
    quarter_of_ten,
    register_of,
)

BOTH = pytest.mark.parametrize("paper", list(Paper))


def half_up(mass_kg):
    """Return a mass as printed: one decimal, half of it upwards, from its own decimals."""
    return str(Decimal(str(mass_kg)).quantize(Decimal("0.1"), ROUND_HALF_UP))


def drawn(folder, register, paper=Paper.A4):
    path = folder / "register.pdf"
    write_register_pdf(replace(register, paper=paper), path)
    return path


def whole(folder, register):
    return " ".join(flat(text) for text in texts(drawn(folder, register)))


def long_register():
    """Return four years of batches with suppliers, files and tags that fill pages."""
    period = replace(QUARTER, first=date(2022, 1, 1))
    batches = [
        graded(
            f"BATCH-{number:03d}" + "W" * 31 * (number % 7 == 0),
            (date(2022, 1, 5) + timedelta(days=13 * number)).isoformat(),
            received_from=f"Supplier {number % 9} " + "of long and windy name " * (number % 5),
            site=f"Yard {number % 3}",
            meter="M" * (40 * (number % 4)),
            calibration_due=date(2024, 1, 1) if number % 2 else None,
            jurisdiction=("US", "EU", "UK", "other")[number % 4],
            tags=tuple(f"T-{tag}" for tag in range(300)),
            groups=(
                group(count=number + 1, mass_g=1_345_678),
                group("unresolved", "unknown", count=1000, mass_g=0, without_mass=1000),
                group("resale-after-charge", "LFP", count=9_999, mass_g=99_999_999),
            ),
        )
        for number in range(130)
    ]
    left_out = tuple(LeftOut(f"{'folder/' * 90}{number}.json", "It is so. " * 90) for number in range(3))
    return register_of(batches, period=period, left_out=left_out, copies=(Copy("c" * 300, "d" * 300),))


REGISTERS = {
    "mixed": mixed_register,
    "hostile": hostile_register,
    "long": long_register,
    "nothing": lambda: register_of([]),
}


@BOTH
@pytest.mark.parametrize("name", REGISTERS)
def test_every_text_is_inside_the_margins_and_none_meets_another(tmp_path, name, paper):
    for size, words in words_by_page(drawn(tmp_path, REGISTERS[name](), paper)):
        assert [] == outside(words, size, margin=20)
        assert [] == overlapping(words)
        assert size[0] - 42 >= max(word.right for word in words)


def test_without_a_file_left_out_no_page_warns(tmp_path):
    assert "left out, in no sum" not in whole(tmp_path, register_of(mixed_batches()))


def test_three_plots_answer_a_question_each(tmp_path):
    told = whole(tmp_path, mixed_register())

    for question in ("What came in?", "What did it become?", "What is still owed a test?"):
        assert 1 == told.count(question)
    assert "2026-09 11 1 1 13 batteries, 177 kg 2026-10 1 1 battery, 15 kg" in told
    assert "flooded 4 4 8 batteries AGM 2 5 7 batteries" in told
    assert "2026-09 4 2 1 7 of 13, oldest 121 days" in told


def test_a_month_between_in_which_nothing_came_in_is_shown(tmp_path):
    told = whole(tmp_path, register_of([graded("A", "2026-09-01"), graded("B", "2026-11-01")]))

    assert "1 battery, 15 kg 2026-10 nothing 2026-11" in told


def test_over_many_years_only_the_months_with_a_batch_are_shown(tmp_path):
    period = replace(QUARTER, first=date(2000, 1, 1))
    told = whole(tmp_path, register_of([graded("A", "2001-01-01"), graded("B", "2026-11-01")], period=period))

    assert "nothing" not in told.split("What came in?")[1].split("What did it become?")[0]


def test_where_no_test_is_owed_it_says_so(tmp_path):
    assert "Nothing: every battery is either shown by a hold" in whole(tmp_path, register_of([graded("A")]))


def test_the_tables_give_the_lines_of_the_document(tmp_path):
    told, document = whole(tmp_path, mixed_register()), register_document(mixed_register())

    for line in (*document["views"]["by_jurisdiction"], *document["views"]["by_month"], document["totals"]):
        grades = line["by_grade"]
        figures = (
            line["title"],
            line["batches"],
            line["count"],
            half_up(line["mass_kg"]),
            half_up(line["mass_estimated_kg"]),
            grades["resale-after-charge"],
            f"{100 * grades['resale-after-charge'] / line['count']:.1f}",
            f"{100 * grades['unresolved'] / line['count']:.1f}",
            line["owed_a_test"],
        )
        assert " ".join(map(str, figures)) in told
    assert "rongly accepted" not in told


def test_meters_tags_storage_files_and_batches_are_named(tmp_path):
    told = whole(tmp_path, mixed_register())

    assert "Bench 1 Yard 2 2026-09-30 2027-01-15 calibration due soon 2 past: S-1" in told
    assert "Meter, site" in told
    assert "B-1 OLD (2026-03-01, outside the period), S-1 (2026-09-01)" in told
    assert "Site Yard 2; Depot north" in told
    assert "OLD US 2026-03-01 not given 305 over the limit 1 15.0" in told
    assert "N-1 Depot north" not in told  # shipped in time
    assert "x/x-results.json It is empty." in told
    assert "old/S-1-results.json The same bytes as S-1/S-1-results.json, which is counted." in told
    assert "S-1 2026-09-01 Harbour garage 10 131.3 cccccccccccc aaaaaaaaaaaa" in told


def test_a_receiver_who_counted_fewer_is_named_on_page_one_and_beside_the_load(tmp_path):
    register = quarter_of_ten()
    first, *others = [flat(text) for text in texts(drawn(tmp_path, register))]

    assert (
        "L-1: the receiver's count or weight differs from the load's. The account goes by the load." in first
    )
    assert "load L-1: the receiver counted 8, the load has 10" in first
    assert "L-2: no receipt yet; ask the receiver." in first
    loads = " ".join(others).partition("Receiver counted")[2]
    assert "L-1 2026-10-20 recycling Recycler A 2026-10-21 10 8 150.0 120.0 differs" in loads
    assert "L-2 2026-11-20 recycling Recycler A not yet 5 – 75.0 – " in loads


def test_parts_of_the_account_that_are_0_in_every_line_are_told_in_one_sentence(tmp_path):
    told = whole(tmp_path, quarter_of_ten())

    assert "0 in every line: on hand before, sold, returned, difference." in told
    assert "All 480 7200.0 15 225.0 465 6975.0" in told


def test_an_account_of_every_part_has_its_kilograms_in_a_table_of_their_own(tmp_path):
    register = quarter_of_ten(sold=True)
    told = whole(tmp_path, register)

    assert "The same in kg" in told
    assert "0 in every line: difference." in told


def test_a_quarter_of_ten_batches_takes_four_pages(tmp_path):
    assert len(texts(drawn(tmp_path, quarter_of_ten()))) <= 4
    assert len(texts(drawn(tmp_path, quarter_of_ten(), Paper.LETTER))) <= 5


def test_what_was_never_charged_and_never_left_is_on_hand_twenty_on_paper(tmp_path):
    assert "And 445 more: the sheet On hand of the workbook." in whole(tmp_path, quarter_of_ten())


def test_what_the_rule_data_do_not_know_is_left_to_the_locals(tmp_path):
    told = whole(tmp_path, register_of([graded("A", jurisdiction="other")]))

    assert "Storage: confirm with local rules Confirm locally other: Storage time: local law decides" in told


def test_without_a_limit_nothing_is_judged(tmp_path):
    register = register_of(mixed_batches(), period=replace(QUARTER, storage_limit_days=None))
    told = whole(tmp_path, register)

    assert "The site's limit: not given." in told
    assert "over the limit" not in told
    assert "within the limit" not in told


def test_remarks_and_cautions_stand_in_it(tmp_path):
    register = mixed_register()
    told = whole(tmp_path, register)

    for text in (*register_document(register)["remarks"], *register.cautions):
        assert flat(text) in told


def test_long_lists_say_where_the_rest_stands(tmp_path):
    told = whole(tmp_path, long_register())

    assert "and 118 more in register.xlsx" in told
    assert "The first 200 of 300; all stand in register.xlsx." in told
    assert "… whole in register.xlsx" in told
    assert "Batches counted, continued" in told


def test_markup_formulas_and_links_are_plain_text(tmp_path):
    path = drawn(tmp_path, hostile_register())
    told = " ".join(flat(text) for text in texts(path))

    assert "<b>bold</b> & <img src='x.png'/>" in told
    assert "=1+1" in told
    assert "could not be printed; shown as □" in told
    for page in PdfReader(path).pages:
        assert "/Annots" not in page


def test_many_policies_are_counted_not_listed(tmp_path):
    ones = [replace(one, policy_sha256=f"{n:x}" * 64) for n, one in enumerate(mixed_batches())]

    assert "· policy 4 · intake 9.9.9" in whole(tmp_path, register_of(ones))


def test_a_register_of_nothing_says_so(tmp_path):
    told = whole(tmp_path, register_of([]))

    assert "No batch was received from 2026-09-01 to 2026-11-30: every sum is zero." in told
    assert "What came in?" not in told
    assert "Nothing, as far as the files tell." in told
    assert "Not counted" not in told


def test_the_file_describes_itself_by_the_closing_date_and_is_always_the_same(tmp_path):
    path = drawn(tmp_path, mixed_register())
    reader = PdfReader(path)

    assert "Period register 2026-09-01 to 2026-11-30" == reader.metadata.title
    assert "19 used 12 V batteries of 4 batches" == reader.metadata.subject
    assert "D:20261231000000+00'00'" == reader.metadata["/CreationDate"]
    assert {"By jurisdiction, supplier and month", "Meters", "Cautions"} <= {
        entry.title for entry in reader.outline if not isinstance(entry, list)
    }
    (tmp_path / "again").mkdir()
    assert path.read_bytes() == drawn(tmp_path / "again", mixed_register()).read_bytes()


def test_fonts_are_embedded(tmp_path):
    assert all(name.endswith(" embedded") for name in fonts(drawn(tmp_path, mixed_register())))


def test_where_no_battery_of_a_line_has_a_mass_no_kilograms_stand(tmp_path):
    unknown = group("unresolved", "unknown", count=2, mass_g=0, without_mass=2)
    partly = group("unresolved", "other", count=2, mass_g=5_000, without_mass=1)
    text = whole(tmp_path, register_of([graded("S-1", "2026-09-01", groups=(unknown, partly))]))

    assert "other 2 5.0 0.0 0" in text
    assert "unknown 2 – – 0" in text


def test_no_word_of_an_account_of_five_parts_is_broken(tmp_path):
    register = quarter_of_ten()
    more = {"sold": Amount(1, 15_000), "difference": Amount(1, 15_000)}
    account = replace(
        register.account,
        whole=replace(register.account.whole, **more),
        by_chemistry=tuple(replace(one, **more) for one in register.account.by_chemistry),
    )
    told = whole(tmp_path, replace(register, account=account)).split()
    assert not {"floode", "unkno", "Differen"} & set(told)
    assert {"flooded", "unknown", "Difference"} <= set(told)
