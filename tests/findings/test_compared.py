"""What changed between two states of a home: every sort of change planted by hand, and nothing else told."""

from collections.abc import Callable

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap import trade
from circuitmap.findings import run
from circuitmap.findings.compared import Compared, Difference, compare, summary
from circuitmap.home import Change, Home, verbs
from circuitmap.home.assets import hash_of
from circuitmap.home.records import Device, Note, Place, Point, Run
from circuitmap.memo import Memo
from tests.build import Builder

TRADE = trade.load()


def house() -> Builder:
    """A ring of four sockets on way 1 and a light on way 2, in two rooms, with an RCD over both."""
    build = Builder("Compared")
    build.storey()
    build.room("Kitchen", "G1", (0, 0, 4000, 3000), use="kitchen")
    build.room("Hall", "G1", (4000, 0, 8000, 3000), use="hall")
    build.board("A")
    build.device("B1", "", "main switch", 100)
    build.device("B1", "1", "MCB", 32, label="Sockets", curve="B", upstream="D1")
    build.device("B1", "2", "MCB", 6, label="Lights", curve="B", upstream="D1")
    for x in (500, 1500, 2500, 5000):
        build.point(at=("G1", x, 0), cables=2, gangs=2)
    build.point("light", at=("G1", 6000, 1500))
    build.chain("D2", "P1", "P2", "P3", "P4", "D2")
    build.run("D3", "P5", cable="T&E 1.0/1.0")
    return build


def changed(*changes: Callable[[Home], Change]) -> Compared:
    build = house()
    before = build.home
    for make in changes:
        build.do(make(build.home))
    return compare(before, build.home, TRADE)


def only(compared: Compared, kind: str, how: str) -> Difference:
    (found,) = compared.of(kind, how)  # type: ignore[arg-type]  # words of the two literals
    return found


def test_a_home_is_no_different_from_itself_and_an_empty_one_from_another() -> None:
    home = house().home
    assert compare(home, home, TRADE) == Compared((), 0)
    assert summary(compare(home, home, TRADE)).startswith("Nothing on the map")
    assert compare(Home.blank(), Home.blank("named"), TRADE) == Compared((), 0)


def test_a_new_point_and_its_cable_are_new_and_what_they_hang_on_is_told() -> None:
    compared = changed(
        lambda home: verbs.add_point(home, "socket", Place(storey="G1", x_mm=1000, y_mm=0), name="Kettle", gangs=2),
        lambda home: verbs.join(home, "P1", "P6", cable="T&E 2.5/1.5", evidence="seen"),
    )
    assert only(compared, "point", "new").title == "Socket P6 “Kettle”, Kitchen"
    assert only(compared, "cable", "new").title == "Cable R7, P1 (Kitchen) to P6 (Kitchen)"
    assert only(compared, "circuit", "changed").says == "ring with spurs, was ring"
    assert not compared.of("point", "changed")


def test_what_was_removed_is_gone_under_the_name_it_had() -> None:
    compared = changed(lambda home: verbs.remove(home, "P4"))
    assert only(compared, "point", "gone").title == "Socket P4, Hall"
    assert {each.id for each in compared.of("cable", "gone")} == {"R4", "R5"}
    assert only(compared, "circuit", "changed").says == "not known enough, was ring"


def test_what_was_taken_out_or_is_only_planned_is_not_there() -> None:
    assert only(changed(lambda home: verbs.edit(home, "P4", phase="removed")), "point", "gone").id == "P4"
    build = house()
    before = build.home
    build.do(verbs.add_point(build.home, "socket", Place(storey="G1", x_mm=100, y_mm=0)))
    build.do(verbs.edit(build.home, "P6", phase="planned"))
    assert compare(before, build.home, TRADE) == Compared((), 0)


@pytest.mark.parametrize(
    ("record", "fields", "says"),
    [
        ("P1", {"name": "Fridge"}, "name Fridge, was not recorded"),
        ("P1", {"gangs": 1}, "gangs 1, was 2"),
        ("P1", {"kind": "fused unit", "fuse_a": 13.0}, "kind fused unit, was socket; fuse 13 A, was not recorded"),
        ("P2", {"cables_seen": 3}, "cables counted 3, was 2"),
        ("D2", {"rating_a": 20.0, "label": "Kitchen"}, "rating 20 A, was 32 A; label Kitchen, was Sockets"),
        ("D2", {"upstream": None}, "under nothing, was Main switch D1"),
        ("R1", {"length_mm": 4200, "evidence": "tested"}, "length 4.20 m, was not recorded; known by tested, was seen"),
        ("R1", {"cable": "T&E 4.0/1.5"}, "cable T&E 4.0/1.5, was T&E 2.5/1.5"),
        ("B1", {"name": "Cupboard"}, "name Cupboard, was not recorded"),
        ("M1", {"name": "Galley"}, "name Galley, was Kitchen"),
    ],
)
def test_a_changed_fact_is_told_as_it_is_and_as_it_was(record: str, fields: dict[str, object], says: str) -> None:
    compared = changed(lambda home: verbs.edit(home, record, "", **fields))
    found = next(each for each in compared.differences if each.id == record)
    assert (found.how, found.says) == ("changed", says)


def test_a_point_that_was_moved_tells_how_far_and_a_hair_is_no_move() -> None:
    def moved(x_mm: int) -> Callable[[Home], Change]:
        return lambda home: verbs.move(home, "P1", Place(storey="G1", x_mm=x_mm, y_mm=0))

    assert not changed(moved(540)).differences
    found = only(changed(moved(2000)), "point", "changed")
    assert found.moved_mm == pytest.approx(1500)
    assert found.says == "place 1.50 m away, was elsewhere"


def test_a_point_on_another_way_tells_both() -> None:
    compared = changed(
        lambda home: verbs.remove(home, "R6"),
        lambda home: verbs.join(home, "D2", "P5", cable="T&E 1.0/1.0", evidence="seen"),
    )
    assert only(compared, "point", "changed").says == "fed by A1, was A2"


def reading(home: Home, value: str, visit: str) -> Change:
    return verbs.record_reading(home, visit, "Zs", value, device="D2", at="P1")


def readings_before() -> Builder:
    build = house()
    build.visit("2026-01-05")
    build.visit("2026-02-05")
    build.do(verbs.edit(build.home, "V2", purpose="after work"))
    return build


def test_readings_are_held_beside_each_other_place_by_place() -> None:
    build = readings_before()
    build.do(reading(build.home, "0.50", "V1"))
    before = build.home
    build.do(reading(build.home, "1.90", "V2"))
    found = only(compare(before, build.home, TRADE), "reading", "changed")
    assert found.title == "A1 Zs at P1 (Kitchen)"
    assert found.says == "higher: 1.90 Ω, was 0.50 Ω"
    first = only(compare(readings_before().home, before, TRADE), "reading", "new")
    assert first.says == "read for the first time: 0.50 Ω"
    assert only(compare(before, readings_before().home, TRADE), "reading", "gone").says == "gone; it read 0.50 Ω"


def test_trip_times_are_told_apart_by_their_current_and_half_wave() -> None:
    build = readings_before()
    before = build.home
    for amps, phase, value in ((0.03, 0, "24.6"), (0.03, 180, "31.2"), (0.15, 0, "11.8")):
        build.do(verbs.record_reading(build.home, "V2", "RCD trip", value, device="D2", test_a=amps, phase_deg=phase))
    build.do(verbs.record_reading(build.home, "V2", "insulation", ">200", device="D2", cores=("L", "E")))
    found = compare(before, build.home, TRADE).of("reading")
    assert [each.title for each in found] == [
        "A1 RCD trip 30 mA 0°", "A1 RCD trip 30 mA 180°", "A1 RCD trip 150 mA 0°", "A1 insulation L–E"
    ]  # fmt: skip


def test_a_reading_taken_again_with_the_same_result_is_counted_only() -> None:
    build = readings_before()
    build.do(reading(build.home, "0.50", "V1"))
    before = build.home
    build.do(reading(build.home, "0.52", "V2"))
    assert compare(before, build.home, TRADE) == Compared((), 1)


def test_findings_that_came_and_went_are_those_that_the_rules_give() -> None:
    build = house()
    build.do(verbs.note(build.home, "P2", seen=("damp",)))
    before = build.home
    visit = build.visit()
    build.do(verbs.clear(build.home, "N1", visit))
    build.do(verbs.note(build.home, "P1", seen=("scorched",)))
    after = build.home
    compared = compare(before, after, TRADE)
    was = {f.key for f in run(before, TRADE, Memo()) if not f.aside}
    now = {f.key for f in run(after, TRADE, Memo()) if not f.aside}
    assert len(compared.of("finding", "new")) == len(now - was) == 1
    assert len(compared.of("finding", "gone")) == len(was - now) == 1
    assert only(compared, "finding", "new").title.startswith("C2: The twin socket in Kitchen (P1) ")
    assert only(compared, "finding", "gone").title.startswith("FI: The twin socket in Kitchen (P2) is damp")
    assert only(compared, "note", "changed").says == "put right"
    assert only(compared, "note", "new").title == "Note N2 at P1 (Kitchen): scorched"


def test_a_ruling_changes_a_finding_and_says_so() -> None:
    build = house()
    build.do(verbs.note(build.home, "P1", seen=("scorched",)))
    before = build.home
    key = next(f.key for f in run(before, TRADE, Memo()) if f.rule == "scorched")
    build.do(verbs.rule_on(build.home, key, "changed", "C3", "old mark, tested sound"))
    found = only(compare(before, build.home, TRADE), "finding", "changed")
    assert found.says == "C3 now, by a ruling (changed), was C2"


def test_photographs_that_were_added_are_told() -> None:
    build = house()
    build.do(verbs.note(build.home, "P1", text="edge"))
    before = build.home
    build.do(verbs.add_photos(build.home, "N1", (hash_of(b"1"), hash_of(b"2"))))
    assert only(compare(before, build.home, TRADE), "note", "changed").says == "photographs 2, was 0"


def test_a_note_with_words_and_photographs_is_one_sentence() -> None:
    build = house()
    before = build.home
    build.do(verbs.note(build.home, "P1", text="Browned round the pin. Unplugged."))
    build.do(verbs.add_photos(build.home, "N1", (hash_of(b"1"),)))
    told = only(compare(before, build.home, TRADE), "note", "new").title
    assert told.endswith(": Browned round the pin. Unplugged; 1 photograph")


def test_the_summary_counts_what_is_told() -> None:
    compared = changed(
        lambda home: verbs.add_point(home, "socket", Place(storey="G1", x_mm=1000, y_mm=0)),
        lambda home: verbs.remove(home, "P5"),
        lambda home: verbs.edit(home, "D2", "", label="Ring"),
    )
    counts = compared.counts()
    said = summary(compared)
    assert sum(counts.values()) == len(compared.differences)
    assert said.startswith(f"{counts['new']} new, {counts['gone']} gone and {counts['changed']} changed: ")
    assert "1 way" in said


def test_labels_of_any_kind_stay_words() -> None:
    for label in ("x" * 300, "مطبخ", "🔌🔥", '=HYPERLINK("x")', "<b>&</b>"):
        found = only(changed(lambda home, label=label: verbs.edit(home, "D2", "", label=label)), "way", "changed")  # type: ignore[misc]  # a default binds the loop's value
        assert len(found.says) <= 200
        assert label[:40] in found.says


EDITS = st.lists(
    st.sampled_from(
        [
            lambda home: verbs.edit(home, "P1", "", name="Other"),
            lambda home: verbs.edit(home, "D3", "", rating_a=10.0),
            lambda home: verbs.note(home, "P2", seen=("damp",)),
            lambda home: verbs.add_point(home, "light", Place(storey="G1", x_mm=700, y_mm=700)),
            lambda home: verbs.edit(home, "R2", "", length_mm=3000),
        ]
    ),
    max_size=5,
)


@settings(max_examples=25, deadline=None)
@given(EDITS)
def test_looked_at_from_the_other_end_new_is_gone_and_changed_the_other_way_round(
    edits: list[Callable[[Home], Change]],
) -> None:
    build = house()
    before = build.home
    for make in edits:
        build.do(make(build.home))
    there, back = compare(before, build.home, TRADE), compare(build.home, before, TRADE)
    other = {"new": "gone", "gone": "new", "changed": "changed"}
    assert sorted((d.kind, d.how, d.id) for d in there.differences) == sorted(
        (d.kind, other[d.how], d.id) for d in back.differences
    )
    turned = {(d.id, t.fact): (t.was, t.now) for d in there.differences for t in d.turned if t.fact != "place"}
    assert turned == {(d.id, t.fact): (t.now, t.was) for d in back.differences for t in d.turned if t.fact != "place"}
    kinds = (Device, Note, Point, Run)
    touched = {r.id for r in build.home.all() if isinstance(r, kinds) and before.peek(r.id) != r}
    assert touched == {d.id for d in there.differences if d.kind in ("point", "way", "cable", "note")}


def test_comparing_reads_and_changes_nothing() -> None:
    home = house().home
    kept = {record.id: msgspec.json.encode(record) for record in home.all()}
    compare(home, home.apply(verbs.remove(home, "P1")), TRADE)
    assert {record.id: msgspec.json.encode(record) for record in home.all()} == kept
