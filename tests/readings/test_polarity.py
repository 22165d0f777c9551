"""Polarity: each lamp pattern against what puts the mains between which pins, and what stays hidden.

What such testers can and can't show: HSE on socket testers, trade guides, a trade article.
"""

from itertools import product

import pytest

from circuitmap.quantities import parse_measured
from circuitmap.quantities.indicated import INDICATED
from circuitmap.readings.polarity import (
    Swap,
    blind_spots,
    judge_continuity,
    judge_indicated,
    judge_lampholder,
    judge_polarity,
    judge_switch,
    lamps_of,
    shows_swap,
)
from circuitmap.readings.verdict import Rules, Verdict
from circuitmap.trade import load
from circuitmap.words import Core

RULES = Rules(load())
Pins = tuple[Core | None, Core | None, Core | None]


def words(lit: tuple[bool, bool, bool]) -> str:
    return "lamps " + ", ".join("on" if one else "off" for one in lit)


def shown(pins: Pins) -> Verdict:
    return judge_indicated(RULES, words(lamps_of(*pins)))


@pytest.mark.parametrize(
    ("pins", "kind", "level"),
    [
        (("L", "N", "E"), "correct", "fine"),
        (("N", "L", "E"), "line and neutral reversed", "fails"),
        (("E", "N", "L"), "line and earth reversed", "fails"),
        (("L", "N", None), "no earth", "fails"),
        (("L", None, "E"), "no neutral", "fails"),
        ((None, "N", "E"), "no line", "can't tell"),
    ],
)
def test_an_indicator_shows_reversed_lines_and_missing_conductors(pins: Pins, kind: str, level: str) -> None:
    verdict = shown(pins)
    assert (verdict.kind, verdict.level) == (kind, level)


def test_neutral_and_earth_interchanged_or_joined_look_correct() -> None:
    for pins in (("L", "E", "N"), ("L", "N", "N"), ("L", "E", "E")):
        verdict = judge_indicated(RULES, words(lamps_of(*pins)))
        assert verdict.level == "fine"
        assert "interchanged" in verdict.why
        assert "joined" in verdict.why


def test_a_missing_neutral_behind_a_load_looks_like_line_and_earth_reversed() -> None:
    # A page on what such testers mistake: the neutral pin rises to the line through whatever is switched on.
    verdict = shown(("L", "L", "E"))
    assert verdict.kind == "line and earth reversed"
    assert "missing neutral" in verdict.why


@pytest.mark.parametrize("lit", list(product((False, True), repeat=3)))
def test_every_pattern_of_lamps_has_a_sentence(lit: tuple[bool, bool, bool]) -> None:
    verdict = judge_indicated(RULES, words(lit))
    assert verdict.says.endswith(".")
    assert verdict.source
    assert (verdict.level == "fine") == (lit == (True, True, False))


def test_the_correct_pattern_may_hide_live_metal_and_says_so() -> None:
    # Over all that three pins may hold: the line alone on the line pin, or on both of the others.
    hidden = {
        pins
        for pins in product(("L", "N", "E", None), repeat=3)
        if lamps_of(*pins) == (True, True, False) and pins[0] != "L"
    }
    assert hidden == {("N", "L", "L"), ("E", "L", "L")}
    assert "metal is live" in judge_indicated(RULES, "correct").why


def test_unlit_lamps_never_prove_anything_dead() -> None:
    verdict = judge_indicated(RULES, "lamps off, off, off")
    assert verdict.level == "can't tell"
    assert "never proves" in verdict.why
    assert lamps_of("L", "L", "L") == (False, False, False)  # all three pins live and no lamp lit
    assert "all three" in verdict.why


def test_what_a_person_typed_is_understood() -> None:
    assert judge_indicated(RULES, parse_measured("on on off", "plug-in indicator")).level == "fine"
    assert judge_indicated(RULES, parse_measured("live earth reverse", "plug-in indicator")).level == "fails"
    assert judge_indicated(RULES, parse_measured("not possible: no access", "plug-in indicator")).level == "can't tell"


@pytest.mark.parametrize("word", INDICATED)
def test_every_word_of_a_record_is_judged(word: str) -> None:
    plugged, tested = judge_indicated(RULES, word), judge_polarity(word)
    assert plugged.says.endswith(".")
    assert tested.level == ("fine" if word == "correct" else "fails")


@pytest.mark.parametrize("word", ["neutral and earth reversed", "switched in the neutral"])
def test_what_an_indicator_cant_show_is_doubted_when_it_is_said_to_have(word: str) -> None:
    assert judge_indicated(RULES, word).level == "query"
    assert judge_indicated(RULES, "all fine I think").level == "can't tell"
    assert judge_polarity("perhaps").level == "can't tell"


def test_blind_spots_by_class_of_tester() -> None:
    simple = blind_spots(RULES).says
    for what in (
        "neutral and earth interchanged", "neutral and earth joined", "a poor earth", "poor insulation",
        "a broken ring",
        "current the wiring can carry", "which circuit",
    ):  # fmt: skip
        assert what in simple
    assert "a poor earth" not in blind_spots(RULES, "advanced").says
    assert "a poor earth" not in blind_spots(RULES, "professional").says
    assert "interchanged" in blind_spots(RULES, "professional").says
    assert blind_spots(RULES).says in judge_indicated(RULES, "correct").why


# continuity ---------------------------------------------------------------------------------------------------

LN: frozenset[Core] = frozenset({"L", "N"})
LE: frozenset[Core] = frozenset({"L", "E"})


@pytest.mark.parametrize(
    ("swap", "in_step_2", "in_step_3"),
    [("line and neutral", False, True), ("line and earth", True, False), ("neutral and earth", True, True)],
)
def test_each_step_hides_the_swap_of_its_own_pair(swap: Swap, in_step_2: bool, in_step_3: bool) -> None:
    assert shows_swap(LN, swap) == in_step_2
    assert shows_swap(LE, swap) == in_step_3


def test_linked_steps_prove_polarity_only_at_the_front_and_only_both() -> None:
    # A trainee forum: only if measured at the socket's front.
    assert judge_continuity(has_step_2=True, has_step_3=True, at_front=True).level == "fine"
    assert judge_continuity(has_step_2=True, has_step_3=True, at_front=False).level == "can't tell"
    assert "line and neutral" in judge_continuity(has_step_2=True, has_step_3=False, at_front=True).says
    assert "line and earth" in judge_continuity(has_step_2=False, has_step_3=True, at_front=True).says
    assert judge_continuity(has_step_2=False, has_step_3=False, at_front=True).level == "can't tell"


# switches and lampholders -------------------------------------------------------------------------------------


def test_single_pole_devices_stand_in_the_line() -> None:
    # From memory: BS 7671 643.6.
    assert judge_switch("L").level == "fine"
    assert judge_switch("N").level == judge_switch("E").level == "fails"
    assert judge_switch(None).level == "can't tell"


def test_an_edison_screw_has_its_line_on_the_centre_and_some_are_left_out() -> None:
    # From memory: BS 7671 643.6; E14 and E27 to BS EN 60238 are left out.
    assert judge_lampholder("ES", "L").level == "fine"
    assert judge_lampholder("ES", "N").level == "fails"
    assert judge_lampholder("ES", None).level == "can't tell"
    for centre in ("L", "N"):
        assert judge_lampholder("E14 or E27 to BS EN 60238", centre).level == "fine"
        assert judge_lampholder("BC", centre).level == "fine"
