"""Survey states: told by shape and tone, upright, and never by colour alone."""

import itertools
import math

import pytest

from circuitmap.drawing.marks import STATES, Glyph, State
from circuitmap.drawing.paths import sampled
from circuitmap.drawing.states import STATE_TITLES, Part, glyph_parts, reach_units
from circuitmap.drawing.symbols import NAMES
from circuitmap.words import OUTCOMES


def glyph(state: State, name: str = "socket", turn_deg: float = 0.0) -> Glyph:
    return Glyph("symbol", name, (0, 0), turn_deg, state, "circuit:0", 24.0, "circuit:1")


def test_every_outcome_of_a_check_has_a_state() -> None:
    assert {"off": "went off"}.get(OUTCOMES[0]) in STATES
    assert set(OUTCOMES[1:]) <= set(STATES)
    assert set(STATE_TITLES) == set(STATES) - {""}


def test_no_state_is_called_dead() -> None:
    assert not [title for title in STATE_TITLES.values() if "dead" in title]
    assert "not proof" in STATE_TITLES["went off"]


def test_states_differ_in_shape_even_without_colour() -> None:
    def shape(state: State) -> list[tuple[object, ...]]:
        return [
            (part.path, part.dx, part.dy, bool(part.fill), bool(part.stroke), part.dash)
            for part in glyph_parts(glyph(state))
        ]

    for a, b in itertools.combinations(STATES, 2):
        assert shape(a) != shape(b), (a, b)


@pytest.mark.parametrize("state", STATES)
def test_the_symbol_itself_is_in_every_state(state: State) -> None:
    assert [part for part in glyph_parts(glyph(state)) if part.outline_of == "socket strokes"]


def test_not_checked_is_dotted_and_the_other_outlines_are_whole() -> None:
    dashed = {state for state in STATES for part in glyph_parts(glyph(state)) if part.dash}
    assert dashed == {"not checked"}


def test_went_off_is_filled_with_ink_and_its_bar_reaches_past_the_plate() -> None:
    parts = glyph_parts(glyph("went off"))
    assert parts[0].fill == "off"
    bar = [x for x, _ in sampled(parts[-1].path)]
    plate = [x for x, _ in sampled(parts[0].path)]
    assert min(bar) < min(plate) < max(plate) < max(bar)


def test_settled_is_filled_with_its_circuits_colour_and_in_doubt_with_two() -> None:
    assert glyph_parts(glyph("settled"))[0].fill == "circuit:0"
    assert {part.fill for part in glyph_parts(glyph("in doubt"))} >= {"circuit:0/half", "circuit:1/half"}


@pytest.mark.parametrize("state", ["still on", "faint glow", "can't tell", "went off"])
def test_a_states_own_mark_stays_upright_when_the_symbol_is_turned(state: State) -> None:
    def own(turn_deg: float) -> list[Part]:
        return [part for part in glyph_parts(glyph(state, turn_deg=turn_deg)) if not part.outline_of]

    for flat, turned in zip(own(0), own(90), strict=True):
        assert turned.turn_deg == 0
        assert turned.path == flat.path


def test_the_plate_follows_the_middle_of_a_turned_wall_symbol() -> None:
    plate = glyph_parts(glyph("settled", turn_deg=90))[0]
    assert (plate.dx, plate.dy) == pytest.approx((50, 0))


@pytest.mark.parametrize("state", STATES)
def test_nothing_of_a_glyph_lies_beyond_its_reach(state: State) -> None:
    for name in NAMES:
        marked = glyph(state, name, 90)
        for part in glyph_parts(marked):
            cos, sin = math.cos(math.radians(part.turn_deg)), math.sin(math.radians(part.turn_deg))
            for x, y in sampled(part.path):
                far = math.hypot(cos * x - sin * y + part.dx, sin * x + cos * y + part.dy) + part.width / 2
                assert far <= reach_units(marked) + 0.01 or part.stroke == "paper", (name, state)
