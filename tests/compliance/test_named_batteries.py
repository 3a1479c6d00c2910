from intake.compliance.named_batteries import conditions_in_words, counts_in_words, tags_in_words
from intake.compliance.pallet import pallet_of
from tests.compliance.builders import batch, battery, no_masses, verdict


def _items(*pairs):
    batteries = [one for one, _ in pairs]
    return pallet_of(batch(*batteries), [two for _, two in pairs], no_masses(batteries))


def _numbered(count):
    return _items(*((battery(f"A{n}"), verdict()) for n in range(1, count + 1)))


def test_up_to_six_tags_are_written_out_and_the_rest_is_counted():
    assert "A1, A2, A3, A4, A5, A6" == tags_in_words(_numbered(6))
    assert "A1, A2, A3, A4, A5, A6 and 1 more" == tags_in_words(_numbered(7))


def test_chemistries_are_counted_in_the_order_of_the_choices():
    items = _items(
        (battery("A1", "unknown"), verdict()),
        (battery("A2", "LFP"), verdict()),
        (battery("A3", "flooded"), verdict()),
        (battery("A4", "LFP"), verdict()),
        (battery("A5", "other"), verdict()),
    )
    assert "1 flooded, 2 LFP, 1 of other chemistry, 1 of unknown chemistry" == counts_in_words(items)


def test_conditions_are_named_unless_intact_ones_stand_among_others():
    suspect = (battery("A1", "LFP"), verdict(handling="suspect"))
    damaged = (battery("A2", "LFP"), verdict(handling="damaged"))
    intact = (battery("A3", "LFP"), verdict())
    assert "suspect or damaged" == conditions_in_words(_items(damaged, suspect))
    assert "intact" == conditions_in_words(_items(intact))
    assert "" == conditions_in_words(_items(intact, damaged))
