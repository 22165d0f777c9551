"""Words on a plan: which of them name a room, what use that is, and what a printed size says of the scale."""

import pytest

from circuitmap import trade
from circuitmap.pictures import PlacedText
from circuitmap.plan.room_names import PlanWords, Said, read_room, size_doubt, use_of, words_of

TRADE = trade.load()
BOX = ((0.0, 0.0), (360.0, 0.0), (360.0, 420.0), (0.0, 420.0))
ROOM_MM = ((0, 0), (3600, 0), (3600, 4200), (0, 4200))


def said(*lines: str, size: float = 12.0) -> Said:
    """What lines of words, one well below the other in the middle of the room, say."""
    return read_room([PlanWords(line, 180, 100 + 60 * n, size) for n, line in enumerate(lines)], BOX, TRADE)


@pytest.mark.parametrize(
    ("words", "name", "use"),
    [
        ("Kitchen", "Kitchen", "kitchen"),
        ("LIVING ROOM", "Living room", "living room"),
        ("Bedroom 2", "Bedroom 2", "bedroom"),
        ("Bed 3", "Bed 3", "bedroom"),
        ("En suite", "En suite", "bathroom"),
        ("EN-SUITE", "En-suite", "bathroom"),
        ("WC", "WC", ""),
        ("Dining / Kitchen", "Dining / Kitchen", "kitchen"),
        ("Entrance Hall", "Entrance Hall", "hall"),
        ("STUDY", "Study", "office"),
        ("Wohnküche", "Wohnküche", ""),
        ("Kitchen 3.60 x 4.20", "Kitchen", "kitchen"),
        ("Lounge (12' 6\" x 10' 3\")", "Lounge", "living room"),
        ("Lounge 12.4 m²", "Lounge", "living room"),
        ("Bath", "Bath", "bathroom"),
    ],
)
def test_a_name_is_read_with_its_use(words: str, name: str, use: str) -> None:
    found = said(words)
    assert (found.name, found.use) == (name, use)


@pytest.mark.parametrize(
    "words", ["3.60 x 4.20", "3,60 × 4,20 m", "12.4 m²", "133 sq ft", "2.40", "3600", "2.10 m", "W", "1:50", "", "  - ",
              "12'6\" x 10'3\"", "Do not scale from this drawing, all sizes to be checked on site."]
)  # fmt: skip
def test_sizes_areas_figures_and_sentences_are_no_names(words: str) -> None:
    assert said(words).name == ""


def test_a_word_that_names_a_thing_is_no_room() -> None:
    assert said("Cooker").name == ""
    assert said("Cooker", "Kitchen").name == "Kitchen"


def test_a_room_of_the_trade_wins_over_other_words_and_larger_words_over_smaller() -> None:
    assert said("Sloping ceiling", "Landing").name == "Landing"
    words = [PlanWords("Joinery", 180, 200, 8), PlanWords("Saal", 180, 100, 20)]
    assert read_room(words, BOX, TRADE).name == "Saal"


def test_only_words_inside_the_outline_are_looked_at() -> None:
    outside = [PlanWords("Kitchen", 400, 100, 12), PlanWords("Hall", -5, 100, 12)]
    assert read_room(outside, BOX, TRADE) == Said()


def test_a_name_in_two_lines_is_one_name() -> None:
    lines = [PlanWords("Living", 180, 100, 12), PlanWords("Room", 182, 115, 12)]
    assert read_room(lines, BOX, TRADE).name == "Living Room"


def test_the_middle_of_words_comes_from_where_their_line_starts_and_how_it_is_turned() -> None:
    (level,) = words_of([PlacedText(100, 50, 10, "Hall", width_px=40)])
    assert (level.x, level.y) == pytest.approx((120, 46.5))
    (upright,) = words_of([PlacedText(100, 50, 10, "Hall", turn_deg=-90, width_px=40)])
    assert (upright.x, upright.y) == pytest.approx((96.5, 30))
    (guessed,) = words_of([PlacedText(0, 0, 10, "Hall")])
    assert 5 < guessed.x < 20


@pytest.mark.parametrize(
    ("words", "size_mm", "area"),
    [
        ("3.60 x 4.20", (3600, 4200), None),
        ("3,60 × 4,20 m", (3600, 4200), None),
        ("3600 x 4200", (3600, 4200), None),
        # 12 ft 6 in = 150 in · 25.4 = 3810 mm; 10 ft = 3048 mm
        ("12' 6\" x 10'", (3810, 3048), None),
        ("12'6\" x 10'0\"", (3810, 3048), None),
        ("12.4 m²", None, 12.4),
        # 133 · 0.3048² = 12.356
        ("133 sq ft", None, 12.356),
    ],
)
def test_a_printed_size_or_area_is_read(words: str, size_mm: tuple[float, float] | None, area: float | None) -> None:
    found = said("Kitchen", words)
    assert found.name == "Kitchen"
    assert found.size_mm == (pytest.approx(size_mm) if size_mm else None)
    assert found.area_m2 == (pytest.approx(area, abs=0.001) if area else None)


def test_a_printed_size_that_fits_says_nothing_whichever_way_round() -> None:
    assert size_doubt(Said(size_mm=(4200, 3600)), ROOM_MM) == ""
    assert size_doubt(Said(size_mm=(3650, 4150)), ROOM_MM) == ""
    assert size_doubt(Said(area_m2=15.1), ROOM_MM) == ""
    assert size_doubt(Said(name="Kitchen"), ROOM_MM) == ""


def test_a_printed_size_that_differs_is_said_with_both_figures() -> None:
    narrow = ((0, 0), (3350, 0), (3350, 3910), (0, 3910))
    doubt = size_doubt(Said(size_mm=(3600, 4200)), narrow)
    assert "3.35 m wide" in doubt or "3.91 m wide" in doubt
    assert "The plan says" in doubt
    assert size_doubt(Said(size_mm=(3600, 3910)), narrow) == (
        "The plan says 3.60 m, the outline is 3.35 m wide: check the scale."
    )


def test_a_printed_area_that_differs_is_said() -> None:
    assert "12.4 m²" in size_doubt(Said(area_m2=12.4), ROOM_MM)


def test_a_room_turned_on_the_sheet_is_measured_along_its_own_sides() -> None:
    # 3-4-5: the sides (4000, 3000) and (-2400, 3200) are 5 m and 4 m long and stand square
    turned = ((0, 0), (4000, 3000), (1600, 6200), (-2400, 3200))
    assert size_doubt(Said(size_mm=(5000, 4000)), turned) == ""


def test_a_use_is_read_from_a_typed_name_too() -> None:
    assert use_of("Bathroom", TRADE) == "bathroom"
    assert use_of("Room 3", TRADE) == ""
