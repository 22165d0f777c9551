"""Faults in words: every form is read, read again from its own words, and refused in one sentence where it can't be."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.errors import PersonError
from circuitmap.readings.drawn import network_of
from circuitmap.readings.faults import (
    Fault,
    Joint,
    LowInsulation,
    OpenCore,
    Stretched,
    Swapped,
    bridge,
    missing_cpc,
    with_faults,
)
from circuitmap.readings.network import ReadingError
from circuitmap.readings.spurred import on_spur
from circuitmap.readings.told import FORMS, SAME_LEG, SameLeg, Told, parse_fault, words_of
from circuitmap.trade import load
from circuitmap.words import CORES, Core
from tests.readings.wired import Wired, reference

TRADE = load()
WIRED, POINTS = reference()
VIEW = WIRED.on_way
NETWORK = network_of(VIEW, TRADE)
RUNS = [run.id for run in VIEW.runs]
ENDS = [(run.a.at or "", run.id) for run in VIEW.runs] + [(run.b.at or "", run.id) for run in VIEW.runs]


def read(text: str) -> Told:
    return parse_fault(text, VIEW, TRADE)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("open line between P4 and P5", OpenCore("R5", ("L",))),
        ("OPEN Line  between p4 and p 5.", OpenCore("R5", ("L",))),
        ("“open cpc in r3”", OpenCore("R3", ("E",))),
        ("open earth in R 3", OpenCore("R3", ("E",))),
        ("broken neutral between A1 and P1", OpenCore("R1", ("N",))),
        ("open phase between the board and P1", OpenCore("R1", ("L",))),
        ("open L,N,E between P3 and P4", OpenCore("R4", CORES)),
        ("open E, L and N between P3 and P4", OpenCore("R4", CORES)),
        ("cut cable between P3 and P4", OpenCore("R4", CORES)),
        ("open line and neutral in R4 at P4", OpenCore("R4", ("L", "N"), 1.0)),
        ("open line in R4 at 30%", OpenCore("R4", ("L",), 0.3)),
        ("open conductor in R4", None),
        ("missing cpc in R4", missing_cpc("R4")),
        ("no earth between P3 and P4", missing_cpc("R4")),
        ("bad joint of 0.4 ohm on the line at P4 towards P5", Joint("P4", "R5", "L", 0.4)),
        ("high-resistance joint of 400 mΩ on N at P4 from R5", Joint("P4", "R5", "N", 0.4)),
        ("Loose joint of .4 Ohms in the cpc at P4 to P3", Joint("P4", "R4", "E", 0.4)),
        ("swapped line and neutral at P4", Swapped("P4")),
        ("line and cpc swapped at P4 from R4", Swapped("P4", ("L", "E"), "R4")),
        ("reversed L and E at P4 towards P3", Swapped("P4", ("L", "E"), "R4")),
        ("bridge of 6 m between P1 and P5", bridge("P1", "P5", 6, TRADE)),
        ("bridge of 600 cm of t&e 4/1.5 between P1 and P5", bridge("P1", "P5", 6, TRADE, "T&E 4/1.5")),
        ("low insulation of 0.3 megohm between line and cpc at P5", LowInsulation(("L", "E"), 0.3, "P5")),
        ("Low insulation of 300 kΩ between N and E along R4", LowInsulation(("N", "E"), 0.3, run="R4")),
        ("low insulation of 0.3 Megohms between L and N in R4 at 20 per cent",
         LowInsulation(("L", "N"), 0.3, run="R4", share=0.2)),
        ("low insulation of 2 MΩ between L and E between P1 and P2", LowInsulation(("L", "E"), 2.0, run="R2")),
        ("R4 1.8 times as long", Stretched("R4", 1.8)),
        ("between P3 and P4 is 1,8 times as long as on the map", Stretched("R4", 1.8)),
        ("P5 on a spur of 4 m", on_spur(VIEW, NETWORK, TRADE, "P5", 4)),
        ("p5 hangs on a spur of 4 metres off P4", on_spur(VIEW, NETWORK, TRADE, "P5", 4, at="P4")),
        ("links on the same leg", SameLeg()),
        ("Both links made on same leg", SameLeg()),
        ("links on the same leg for line and cpc", SameLeg(("L", "E"))),
    ],
)  # fmt: skip
def test_each_form_is_read_whatever_its_case_plural_and_unit(text: str, fault: Told | None) -> None:
    if fault is None:
        with pytest.raises(ReadingError, match="isn't understood"):
            read(text)
    else:
        assert read(text) == fault


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Say what is wrong"),
        ("the mouse ate it", "isn't understood as a fault; write it like “open line between P4 and P5”"),
        ("open line between P4 and P9", "P9 isn't on A1; on it are P1, P2, P3, P4, P5"),
        ("open line between P1 and P4", "No run is drawn between P1 and P4 on A1; beside P1 are A1, P2"),
        ("open line between P1 and P1", "No run is drawn between P1 and P1"),
        ("open line in R77", "R77 is no run of A1; its runs are R1, R2"),
        ("open line in R4 at P1", "R4 doesn't end at P1"),
        ("open line in R4 at 130 %", "beyond the end"),
        ("open live in R4", "“live” may be the line or the neutral"),
        ("bad joint of 0.4 ohm on the line at P4", "At P4 end R4, R5: say which, like “from R4”"),
        ("bad joint of 0.4 ohm on the line at P4 from R1", "R1 doesn't end at P4; there end R4, R5"),
        ("bad joint of 0 ohm on the line at P4 from R4", "A resistance of nothing is no fault"),
        ("bad joint of 4 m on the line at P4 from R4", "m is a length"),
        ("swapped line and L at P4", "line and L are the same conductor"),
        ("bridge of 6 m between P2 and P2", "joins two places"),
        ("bridge of 6 kg between P2 and P4", "kg is a weight"),
        ("bridge of 6 m of string between P2 and P4", "no cable called “string”"),
        ("R4 0 times as long", "can't be 0 times as long"),
        ("P3 on a spur of 4 m from P1", "P1 is no neighbour of P3"),
        ("P9 on a spur of 4 m", "P9 isn't on A1"),
        ("A1 on a spur of 4 m", "can't be on a spur"),
        ("x" * 201, "201 characters are too many"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence_that_says_what_and_why(text: str, says: str) -> None:
    with pytest.raises(PersonError) as error:
        read(text)
    assert says in str(error.value)
    assert "\n" not in str(error.value)


def test_every_example_in_the_list_of_forms_is_understood() -> None:
    wired = Wired()
    sockets = wired.ring(*[5] * 13)
    view = wired.on_way
    assert (len(sockets), len(view.runs)) == (12, 13)
    known = {"R3": "R4"}  # the examples name what need not be neighbours on this ring
    for form in FORMS:
        text = form
        for name, other in known.items():
            text = text.replace(name, other) if "swapped" in text else text
        parse_fault(text.replace("R12 at P4", "R12 at P12"), view, TRADE)


def test_two_cables_between_the_same_places_are_told_apart_by_their_run() -> None:
    wired = Wired()
    a, b, *_ = wired.ring(4, 5, 6)
    second = wired.length(a, b, 3)
    with pytest.raises(ReadingError, match=rf"R2, {second} all run between P1 and P2: name one of them"):
        parse_fault("open line between P1 and P2", wired.on_way, TRADE)
    fault = parse_fault(f"open line in {second}", wired.on_way, TRADE)
    assert words_of(fault, wired.on_way, TRADE) == f"open line in {second}"


def test_a_core_that_a_cable_has_not_got_cannot_be_open() -> None:
    wired = Wired()
    _, b = wired.ring(4, 5, 6)
    bare = wired.length(b, wired.point(), 3, cable="T 1.0 no cpc")
    with pytest.raises(ReadingError, match=f"{bare} has no cpc on the map"):
        parse_fault(f"missing cpc in {bare}", wired.on_way, TRADE)


def figures(least: int, most: int) -> st.SearchStrategy[float]:
    return st.integers(least, most).map(lambda each: each / 1000)


cores = st.sampled_from(CORES)
pairs = st.tuples(cores, cores).filter(lambda pair: pair[0] != pair[1])
runs, points, ends = st.sampled_from(RUNS), st.sampled_from(POINTS), st.sampled_from(ENDS)
shares = figures(0, 1000)


def _some(chosen: set[Core]) -> tuple[Core, ...]:
    return tuple(core for core in CORES if core in chosen)


ALL: st.SearchStrategy[Told] = st.one_of(
    st.builds(OpenCore, runs, st.sets(cores, min_size=1).map(_some), st.one_of(st.just(0.5), shares)),
    st.builds(missing_cpc, runs),
    st.builds(lambda end, core, ohm: Joint(end[0], end[1], core, ohm), ends, cores, figures(1, 5_000_000)),
    st.builds(lambda end, two, is_one: Swapped(end[0], two, end[1] if is_one else ""), ends, pairs, st.booleans()),
    st.builds(
        lambda two, length_m, cable: bridge(two[0], two[1], length_m, TRADE, cable),
        st.tuples(points, points).filter(lambda two: two[0] != two[1]),
        figures(100, 90_000),
        st.sampled_from(("T&E 2.5/1.5", "T&E 4/1.5", "T&E 7/.029")),
    ),
    st.builds(LowInsulation, pairs, figures(1, 900_000), points),
    st.builds(LowInsulation, pairs, figures(1, 900_000), st.just(""), runs, shares),
    st.builds(Stretched, runs, figures(1, 30_000)),
    st.builds(
        lambda point, length_m, at: on_spur(VIEW, NETWORK, TRADE, point, length_m, at=at),
        points, figures(100, 90_000), st.one_of(st.none(), shares),
    ),
    st.builds(SameLeg, st.one_of(st.just(()), pairs)),
)  # fmt: skip


@given(ALL)
@settings(max_examples=300, deadline=None)
def test_words_of_a_fault_are_read_as_the_same_fault(fault: Told) -> None:
    words = words_of(fault, VIEW, TRADE)
    again = parse_fault(words, VIEW, TRADE)
    if isinstance(fault, SameLeg):
        assert again == fault
        assert words.startswith(SAME_LEG)
        return
    assert not isinstance(again, SameLeg)
    assert type(again) is type(fault)
    assert words_of(again, VIEW, TRADE) == words
    assert edges(again) == pytest.approx(edges(fault), rel=1e-9)


@given(st.text(max_size=60))
@settings(max_examples=200, deadline=None)
def test_no_text_ends_in_anything_but_a_fault_or_a_sentence(text: str) -> None:
    said = ""
    try:
        said = words_of(read(text), VIEW, TRADE)
    except PersonError as error:
        said = str(error)
    assert said
    assert "\n" not in said


def edges(fault: Fault) -> list[float]:
    """The whole network with the fault in it, as figures."""
    network = with_faults(NETWORK, [fault])
    return [figure for edge in network.edges for figure in (edge.a, edge.b, edge.ohm)]
