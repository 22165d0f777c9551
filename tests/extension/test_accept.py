"""Options on the map: planned and nothing else, taken back without a trace, done as they were laid out."""

from dataclasses import dataclass, field

import msgspec
import pytest

from circuitmap.circuits import views
from circuitmap.errors import HomeError
from circuitmap.extension.accept import Way, accept, as_done, done, drop, has_moved_on, withdraw
from circuitmap.extension.kinds import Option
from circuitmap.extension.options import options
from circuitmap.extension.pricebook import load as load_book
from circuitmap.extension.wishes import read_wish
from circuitmap.extension.worked import as_built
from circuitmap.findings.run import run as findings
from circuitmap.home import Home, verbs
from circuitmap.home.change import Change
from circuitmap.home.records import Device, End, Extension, Plate, Point, Run, Tag
from circuitmap.memo import Memo
from circuitmap.trade import load
from tests.extension.extended import small_home
from tests.extension.extended import wish as on_wall
from tests.homes import PLANS, healthy

TRADE, BOOK = load(), load_book()


def wished() -> Home:
    home = healthy(PLANS[6])
    wish = read_wish(home, Memo(), TRADE, "twin socket, M2, wall 2, 1.4 m, 1100 mm")
    moved = read_wish(home, Memo(), TRADE, "remove P4")
    return home.apply(verbs.add_extension(home, "more sockets", (wish, moved)))


def laid(home: Home) -> tuple[Option, ...]:
    return options(home, home.take(Extension, "X1"), TRADE, BOOK).options


@pytest.fixture(scope="module")
def home() -> Home:
    return wished()


@pytest.fixture(scope="module")
def sound(home: Home) -> tuple[Option, ...]:
    found = tuple(each for each in laid(home) if each.is_sound)
    assert {"ring opened", "unfused spurs", "fused spur"} <= {each.kind for each in found}
    return found


@dataclass
class Plain:
    """A way made by hand."""

    change: Change
    key: str = "by hand"
    failed: tuple[str, ...] = field(default=())


def facts(home: Home) -> tuple[object, ...]:
    memo = Memo()
    circuits = views(home, TRADE, memo)
    return findings(home, TRADE, memo), [(v.code, v.names, v.runs, v.shape, v.missing) for v in circuits]


def planned(home: Home, *ways: Way) -> Home:
    return home.apply(accept(home, "X1", ways, home))


def test_a_plan_changes_no_fact_and_undoes_without_a_trace(home: Home, sound: tuple[Option, ...]) -> None:
    before = facts(home)
    for way in sound:
        change = accept(home, "X1", [way], home)
        after = home.apply(change)
        assert facts(after) == before, way.key
        assert not after.problems()
        assert after.apply(change.inverse()) == home
        for kind in (Point, Device, Run, Plate, Tag):
            there = {
                i: each for i, each in after.table(kind).items() if getattr(each, "phase", "existing") != "planned"
            }
            assert dict(home.table(kind)).items() <= there.items()
        extension = after.take(Extension, "X1")
        assert verbs.is_planned(extension)
        assert extension.picked == way.key
        assert set(extension.puts) == {new.id for old, new in way.change.pairs if old is None and new is not None}


def test_done_is_the_home_that_the_option_was_judged_on(home: Home, sound: tuple[Option, ...]) -> None:
    for way in sound:
        meant, found = home.apply(as_built(way.change)), as_done(planned(home, way), "X1")
        for kind in (Point, Device, Plate, Tag):
            assert found.table(kind) == meant.table(kind), way.key
        for run_id, run in meant.table(Run).items():
            laid_by_us = home.find(Run, run_id) is None
            seen = msgspec.structs.replace(run, evidence="seen") if laid_by_us else run
            assert found.take(Run, run_id) == seen, way.key
        assert not found.problems()
        assert not verbs.is_planned(found.take(Extension, "X1"))


def test_a_plan_that_is_taken_back_leaves_only_what_was_picked(home: Home, sound: tuple[Option, ...]) -> None:
    for way in sound:
        plan = planned(home, way)
        back = plan.apply(withdraw(plan, "X1"))
        assert back == home.apply(verbs.pick(home, "X1", way.key))


def test_an_extension_goes_with_its_promises_and_leaves_what_was_done(home: Home, sound: tuple[Option, ...]) -> None:
    bare = home.apply(drop(home, "X1"))
    assert not bare.table(Extension)
    for way in sound:
        plan = planned(home, way)
        assert plan.apply(drop(plan, "X1")) == bare
        assert plan.apply(drop(plan, "X1")).apply(drop(plan, "X1").inverse()) == plan
    over = as_done(planned(home, sound[0]), "X1")
    after = over.apply(drop(over, "X1"))
    assert after.table(Point) == over.table(Point)
    assert after.table(Run) == over.table(Run)


def test_what_the_work_takes_stays_until_it_is_done(home: Home, sound: tuple[Option, ...]) -> None:
    way = next(each for each in sound if each.kind == "ring opened")
    plan = planned(home, way)
    (run,) = plan.take(Extension, "X1").takes
    assert plan.take(Run, run).phase == "existing"
    assert run in {each.id for view in views(plan, TRADE, Memo()) for each in view.runs}
    over = as_done(plan, "X1")
    assert over.take(Run, run).phase == "removed"
    (ring,) = [view for view in views(over, TRADE, Memo()) if way.points[0] in view.names]
    assert ring.shape is not None
    assert ring.shape.kind in ("ring", "ring with spurs")
    assert run not in {each.id for each in ring.runs}


def test_a_home_that_moved_on_is_laid_out_again_or_refused(home: Home, sound: tuple[Option, ...]) -> None:
    way = next(each for each in sound if each.kind == "unfused spurs")
    later = home.apply(verbs.add_point(home, "socket", room="M1"))
    with pytest.raises(HomeError, match="The map has changed since the options were laid out"):
        accept(later, "X1", [way], home)
    after = later.apply(accept(later, "X1", [way], home, laid))
    assert set(after.take(Extension, "X1").puts).isdisjoint(later.table(Point))
    assert after.take(Extension, "X1").picked == way.key
    with pytest.raises(HomeError, match="is no option any more"):
        accept(later, "X1", [way], home, lambda _: ())


def test_what_is_seen_on_a_visit_is_no_reason_to_lay_out_again(home: Home, sound: tuple[Option, ...]) -> None:
    later = home.apply(verbs.start_visit(home, "2026-02-03"))
    later = later.apply(verbs.note(later, "P3", text="cracked plate"))
    assert not has_moved_on(later, home)
    assert accept(later, "X1", sound[:1], home).pairs
    undone = later.apply(verbs.add_point(later, "socket", room="M1"))
    undone = undone.apply(verbs.remove(undone, undone.sorted(Point)[-1].id))
    assert has_moved_on(undone, home), "an id was given out meanwhile, and is never given out twice"


def test_a_failing_way_is_refused_with_its_reason(home: Home) -> None:
    way = Plain(Change("", ()), failed=("The board has no spare way.",))
    with pytest.raises(HomeError, match="no sound way: The board has no spare way"):
        accept(home, "X1", [way], home)


def two_more_cables(home: Home, run: str, point: str, n: int) -> Plain:
    old = home.take(Point, point)
    new = Run(id=home.next_id(Run, n), a=End(at=point), b=End(at=run), evidence="assumed")
    fewer = msgspec.structs.replace(old, cables_seen=(old.cables_seen or 0) + 1)
    return Plain(Change("", ((None, new), (old, fewer))), key=f"way {n}")


def test_cables_counted_by_two_ways_add_up_and_so_do_those_counted_meanwhile(home: Home) -> None:
    before = home.take(Point, "P3").cables_seen
    assert before is not None
    ways = [two_more_cables(home, "P5", "P3", 0), two_more_cables(home, "P6", "P3", 1)]
    plan = planned(home, *ways)
    assert plan.take(Point, "P3").cables_seen == before
    assert plan.take(Extension, "X1").picked == "way 0; way 1"
    assert as_done(plan, "X1").take(Point, "P3").cables_seen == before + 2
    counted = plan.apply(verbs.count_cables(plan, "P3", before + 1))
    assert as_done(counted, "X1").take(Point, "P3").cables_seen == before + 3


def test_two_ways_that_alter_the_same_thing_are_refused(home: Home) -> None:
    run = home.take(Run, "R2")
    gone = Plain(Change("", ((run, msgspec.structs.replace(run, phase="removed")),)))
    longer = Plain(Change("", ((run, msgspec.structs.replace(run, length_mm=9000)),)))
    for pair in ((gone, gone), (gone, longer), (longer, gone)):
        with pytest.raises(HomeError, match="both change"):
            accept(home, "X1", pair, home)


def test_what_was_altered_meanwhile_in_another_respect_stays_and_in_the_same_is_refused(home: Home) -> None:
    point = home.take(Point, "P3")
    plan = planned(home, Plain(Change("", ((point, msgspec.structs.replace(point, gangs=4)),))))
    assert plan.take(Point, "P3").gangs == point.gangs
    named = plan.apply(verbs.edit(plan, "P3", name="by the window"))
    over = as_done(named, "X1").take(Point, "P3")
    assert (over.gangs, over.name) == (4, "by the window")
    other = plan.apply(verbs.edit(plan, "P3", gangs=3))
    with pytest.raises(HomeError, match="changed since it was planned to change"):
        done(other, "X1")
    gone = plan.apply(verbs.remove(plan, "P3"))
    assert gone.take(Extension, "X1").alters == ()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"id":"P3"}', '{"id":"P4","kind":"socket"}', "\ud800"])
def test_a_plan_that_was_spoilt_by_hand_is_told_and_can_be_taken_back(home: Home, text: str) -> None:
    point = home.take(Point, "P3")
    plan = planned(home, Plain(Change("", ((point, msgspec.structs.replace(point, gangs=4)),))))
    (alter,) = plan.take(Extension, "X1").alters
    records = [each for each in plan.all() if each.id != "X1"]
    spoilt = msgspec.structs.replace(plan.take(Extension, "X1"), alters=(msgspec.structs.replace(alter, becomes=text),))
    after = Home.of([*records, spoilt], plan.counters)
    with pytest.raises(HomeError, match="What the plan holds for P3 can't be read"):
        done(after, "X1")
    assert after.apply(withdraw(after, "X1")).take(Extension, "X1").alters == ()


def test_what_no_plan_can_do_is_refused(home: Home) -> None:
    extension = home.take(Extension, "X1")
    with pytest.raises(HomeError, match="A plan can't change"):
        accept(home, "X1", [Plain(Change("", ((extension, msgspec.structs.replace(extension, name="x")),)))], home)
    with pytest.raises(HomeError, match="A plan can't bring"):
        accept(home, "X1", [Plain(Change("", ((None, Extension(id="X9", name="x")),)))], home)
    with pytest.raises(HomeError, match="Nothing is picked"):
        accept(home, "X1", [], home)


def test_each_step_waits_for_the_one_before(home: Home, sound: tuple[Option, ...]) -> None:
    for step in (done, withdraw):
        with pytest.raises(HomeError, match="Nothing of “more sockets” is on the map"):
            step(home, "X1")
    plan = planned(home, sound[0])
    with pytest.raises(HomeError, match="planned already"):
        accept(plan, "X1", sound[:1], plan)
    over = plan.apply(done(plan, "X1", "2026-03-02"))
    assert over.take(Extension, "X1").done_on == "2026-03-02"
    for again in (lambda: done(over, "X1"), lambda: withdraw(over, "X1"), lambda: accept(over, "X1", sound[:1], over)):
        with pytest.raises(HomeError, match="done already"):
            again()


def two_new_ways(modules: int | None) -> tuple[Home, list[Option]]:
    home = small_home(modules=modules)
    home = home.apply(verbs.add_extension(home, "sockets and a light", (
        on_wall(home, "M1", 0, 2000), on_wall(home, "M2", 2, 800, 2000, kind="light", gangs=1),
    )))  # fmt: skip
    return home, [way for way in laid(home) if way.kind == "new way" and way.is_sound]


def test_two_new_ways_that_are_planned_at_once_get_ways_and_modules_of_their_own() -> None:
    home, ways = two_new_ways(10)
    assert len(ways) == 2
    plan = as_done(planned(home, *ways), "X1")
    devices = [d for d in plan.devices_on("B1") if home.find(Device, d.id) is None]
    assert sorted(d.way for d in devices) == ["4", "5"]
    taken = [m for d in plan.devices_on("B1") for m in range(d.module or 0, (d.module or 0) + d.modules)]
    assert len(taken) == len(set(taken))


def test_a_way_planned_earlier_is_left_alone_by_the_next_extension() -> None:
    home, (way, *_) = two_new_ways(10)
    first = planned(home, way)
    second = first.apply(verbs.add_extension(first, "one more", (on_wall(first, "M2", 0, 2000),)))
    found = options(second, second.take(Extension, "X2"), TRADE, BOOK).options
    (again,) = [each for each in found if each.kind == "new way"]
    both = second.apply(accept(second, "X2", [again], second))
    promised = [d for d in both.devices_on("B1") if d.phase == "planned"]
    assert sorted(d.way for d in promised) == ["4", "5"]


def test_a_board_without_room_for_both_ways_says_so() -> None:
    home, ways = two_new_ways(6)  # five modules are taken
    with pytest.raises(HomeError, match="no room for one more way"):
        accept(home, "X1", ways, home)
