"""Options on a small home: every kind, its figures by hand, what makes it fail, and that a promise stays one."""

import json
from typing import Any

import pytest
from msgspec import structs

from circuitmap.circuits import views
from circuitmap.extension import pricebook
from circuitmap.extension.accept import accept, done
from circuitmap.extension.kinds import Asking, Option
from circuitmap.extension.option_says import as_builtins, changed_said, fit_said, headline, option_said
from circuitmap.extension.options import options
from circuitmap.extension.papers import papers
from circuitmap.extension.takeoff import Job
from circuitmap.extension.worked import as_built
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Device, Extension, Fixture, Load, Place, Point, Run, Wall, Wish
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.memo import Memo
from circuitmap.words import Country
from tests.extension.extended import DEEP, TRADE, WIDE, small_home, wish

BOOK = pricebook.load()
# Ohms a metre of twin and earth 2.5/1.5 at 20 °C: On-Site Guide Table I1, as in the tables of the trade.
R1_M, R2_M = 0.00741, 0.01210


def asked(home: Home, *wishes: Wish, **more: Any) -> Asking:
    return options(home, Extension(id="X1", name="More sockets", wishes=wishes), TRADE, BOOK, **more)


def of_kind(asking: Asking, kind: str) -> Option:
    (found,) = [each for each in asking.options if each.kind == kind]
    return found


@pytest.fixture(scope="module")
def home() -> Home:
    return small_home()


@pytest.fixture(scope="module")
def two(home: Home) -> Asking:
    return asked(home, wish(home, "M1", 0, 2000), wish(home, "M2", 2, 800))


def test_all_kinds_are_sound_and_cheapest_first(two: Asking) -> None:
    kinds = {each.kind for each in two.options}
    assert kinds == {"ring opened", "ring opened at a point", "unfused spurs", "fused spur", "radial extended",
                     "radial branched", "new way"}  # fmt: skip
    assert all(each.is_sound for each in two.options), [each.failed for each in two.options]
    totals = [each.priced.total for each in two.options if each.priced is not None]
    assert totals == sorted(totals)
    assert len(totals) == 7
    assert len({each.key for each in two.options}) == 7


def test_a_promise_is_no_fact(home: Home, two: Asking) -> None:
    """On the map as planned: the home as it is there, its circuits and their members, stays the same."""
    for option in two.options:
        planned = [a for b, a in option.change.pairs if b is None and isinstance(a, Point | Run | Device)]
        assert planned
        assert {each.phase for each in planned} == {"planned"}
        kept = [(b, a) for b, a in option.change.pairs if b is None]
        on_map = home.apply(structs.replace(option.change, pairs=tuple(kept)))
        assert [v.names for v in views(on_map, TRADE, Memo())] == [v.names for v in views(home, TRADE, Memo())]


def test_done_it_is_whole(home: Home, two: Asking) -> None:
    """As built, every new point is on one way, every shape is one that is known, nothing grave was added."""
    for option in two.options:
        after = home.apply(as_built(option.change))
        assert not after.problems()
        on = {name: view for view in views(after, TRADE, Memo()) for name in view.names}
        for point in option.points:
            shape = on[point].shape
            assert shape is not None
            assert shape.kind in ("ring", "ring with spurs", "radial", "branched radial"), option.kind
        assert not [f for f in option.added if f.code != "note"], option.kind


def test_accepted_and_done_it_is_what_was_worked_out(home: Home, two: Asking) -> None:
    """Put on the map, nothing that is there changes; done, the map is the one that the option was judged by."""
    kept = Extension(id="X1", name="More sockets", wishes=(wish(home, "M1", 0, 2000), wish(home, "M2", 2, 800)))
    with_wishes = home.apply(Change("", ((None, kept),)))
    for option in two.options:
        planned = with_wishes.apply(accept(with_wishes, "X1", [option], with_wishes))
        assert planned.existing().table(Run) == home.table(Run)
        assert planned.existing().table(Point) == home.table(Point)
        finished = planned.apply(done(planned, "X1", "2026-03-01"))
        as_worked = home.apply(as_built(option.change))
        for table in (Run, Point, Device):
            assert finished.table(table) == as_worked.table(table), option.kind


def test_options_of_two_lots_go_together(home: Home) -> None:
    """A socket and a light at once: no id is given out twice, both can be accepted."""
    light = Wish(act="add", kind="light", place=Place(storey="G1", x_mm=1000, y_mm=1000, height_mm=2400))
    moved = structs.replace(wish(home, "M1", 1, 1000), act="move", point="P2")
    kept = Extension(id="X1", name="Both", wishes=(light, moved))
    with_wishes = home.apply(Change("", ((None, kept),)))
    asking = options(with_wishes, kept, TRADE, BOOK)
    one = next(each for each in asking.options if each.wishes == (0,) and each.kind == "radial extended")
    other = next(each for each in asking.options if each.wishes == (1,) and each.kind == "unfused spurs")
    planned = with_wishes.apply(accept(with_wishes, "X1", [one, other], with_wishes))
    assert not planned.problems()
    finished = planned.apply(done(planned, "X1", "2026-03-01"))
    on = {name: view.code for view in views(finished, TRADE, Memo()) for name in view.names}
    assert on[one.points[0]] == "A3"
    assert on[other.points[0]] == "A1"
    assert "P2" not in on


def test_readings_to_expect_by_hand(home: Home, two: Asking) -> None:
    """R1 + R2 of a radial is its length times the table; a ring end to end the whole length of its loop."""
    option = of_kind(two, "radial extended")
    first, second = (route.length_mm / 1000 for route in option.routes)
    near = next(e for e in option.expected if e.point == "P12")
    far = next(e for e in option.expected if e.point == "P11")
    assert near.r1_r2_ohm == pytest.approx((10 + first) * (R1_M + R2_M), rel=0.01)
    assert far.r1_r2_ohm == pytest.approx((10 + first + second) * (R1_M + R2_M), rel=0.01)
    assert far.zs_ohm == pytest.approx(0.2 + (10 + first + second) * (R1_M + R2_M), rel=0.01)
    opened = of_kind(two, "ring opened")
    gone = sum(b is not None and isinstance(a, Run) and a.phase == "removed" for b, a in opened.change.pairs)
    loop = (7 - gone) * 5 + opened.length_mm / 1000
    assert opened.ring is not None
    assert opened.ring.r1_ohm == pytest.approx(loop * R1_M, rel=0.01)
    assert opened.ring.rn_ohm == pytest.approx(loop * R1_M, rel=0.01)
    assert opened.ring.r2_ohm == pytest.approx(loop * R2_M, rel=0.01)


def test_each_spur_has_a_ring_point_of_its_own(two: Asking) -> None:
    """On-Site Guide 7.2.2, as quoted: an unfused spur feeds one outlet."""
    option = of_kind(two, "unfused spurs")
    runs = [a for b, a in option.change.pairs if b is None and isinstance(a, Run)]
    assert len({run.a.at for run in runs}) == 2
    assert [run.b.at for run in runs] == list(option.points)


def test_an_outlet_too_many_for_a_spur(home: Home) -> None:
    """On-Site Guide 7.2.2, as quoted: one single or one twin socket."""
    option = of_kind(asked(home, wish(home, "M1", 0, 2000, gangs=3)), "unfused spurs")
    assert any("one single or one twin socket" in reason for reason in option.failed)
    assert option.priced is not None


def test_a_new_way_adds_a_circuit_with_its_papers(home: Home, two: Asking) -> None:
    option = of_kind(two, "new way")
    assert option.papers is not None
    assert option.papers.certificate == "installation certificate"
    assert option.papers.notify == "yes"
    assert of_kind(two, "ring opened").papers.certificate == "minor works"  # type: ignore[union-attr]
    assert option.demand is not None
    assert option.demand.after.total_a > option.demand.before.total_a
    (device,) = [a for b, a in option.change.pairs if isinstance(a, Device) and b is None]
    assert (device.kind, device.rating_a, device.way) == ("RCBO", 20.0, "4")


def test_no_spare_way() -> None:
    home = small_home(modules=5)
    option = of_kind(asked(home, wish(home, "M1", 0, 2000)), "new way")
    assert any("no spare way: 5 of 5" in reason for reason in option.failed)


def test_unknown_number_of_ways_is_said() -> None:
    home = small_home(modules=None)
    option = of_kind(asked(home, wish(home, "M1", 0, 2000)), "new way")
    assert any("How many modules" in doubt for doubt in option.unsure)


def test_a_broken_ring_is_put_right_first() -> None:
    home = small_home(broken=True)
    asking = asked(home, wish(home, "M1", 0, 2000))
    (ring,) = [each for each in asking.options if each.kind == "ring opened" and each.way == "A1"]
    assert not ring.is_sound
    assert "put that right before" in ring.failed[0]
    assert any(each.is_sound for each in asking.options)


def test_old_cable_is_not_gone_on_with() -> None:
    home = small_home(ring="VIR 7/.029", year=1950)
    asking = asked(home, wish(home, "M1", 0, 2000))
    reasons = [reason for each in asking.options for reason in each.failed]
    assert any("nothing is added to" in reason for reason in reasons)


def test_no_ring_at_all(home: Home) -> None:
    """A home whose ring was taken away: the rest is still laid out."""
    gone = [r.id for r in home.sorted(Run) if r.a.at == "D2" or r.b.at == "D2" or (r.a.at or "P9") < "P7"]
    bare = home.apply(verbs.remove(home, *[i for i in gone if i in {f"R{n}" for n in range(1, 8)}]))
    asking = asked(bare, wish(bare, "M1", 0, 2000))
    assert any("no ring on the map" in reason for each in asking.options for reason in each.failed)
    assert of_kind(asking, "new way").is_sound


def test_without_an_rcd_its_cover_is_priced() -> None:
    """BS 7671 411.3.3, from memory: what is added has a 30 mA RCD; what is there isn't failed for having none."""
    home = small_home(rcd=False)
    option = of_kind(asked(home, wish(home, "M1", 0, 2000)), "unfused spurs")
    assert "no RCD" in option.rcd
    assert [remedy.what for remedy in option.work.remedies if not remedy.optional] == ["RCD cover"]
    covered = of_kind(asked(small_home(), wish(home, "M1", 0, 2000)), "unfused spurs")
    assert option.priced is not None
    assert covered.priced is not None
    assert option.priced.total > covered.priced.total


def test_two_cables_in_one_chase_are_chased_once(home: Home) -> None:
    """Both legs to a single wish from one point go the same way: two cables, one chase."""
    option = of_kind(asked(home, wish(home, "M1", 0, 2000)), "ring opened at a point")
    chased = sum(part.metres for part in option.work.parts if part.kind == "chase")
    one = sum(part.metres for part in option.routes[0].parts if part.kind == "chase")
    assert len(option.routes) == 2
    assert option.routes[0].length_mm == pytest.approx(option.routes[1].length_mm, rel=0.01)
    assert chased == pytest.approx(one, rel=0.02)
    assert sum(length.metres for length in option.work.lengths) == pytest.approx(option.length_mm / 1000)


def test_two_cables_in_one_chase_carry_less(home: Home) -> None:
    """Two bunched: 0.8 of 27 A by Table 4C1 and 4D5, from memory, is 21.6 A, and a ring's cable needs 20 A."""
    option = of_kind(asked(home, wish(home, "M1", 0, 2000)), "ring opened at a point")
    laid = [a for b, a in option.change.pairs if b is None and isinstance(a, Run)]
    assert [(run.method, run.grouped_with) for run in laid] == [("C", 1), ("C", 1)]
    (check,) = [each for each in option.checks if each.kind == "capacity"]
    assert check.verdict.answer == "yes"
    assert check.verdict.have_a == pytest.approx((21.6, 21.6))
    alone = of_kind(asked(home, wish(home, "M1", 0, 2000)), "ring opened")
    assert {a.grouped_with for b, a in alone.change.pairs if b is None and isinstance(a, Run)} == {None}


def test_wishes_that_can_not_be_are_refused_and_the_rest_computed(home: Home) -> None:
    good = wish(home, "M1", 0, 2000)
    in_air = structs.replace(good, place=Place(storey="G1", x_mm=2000, y_mm=1700, height_mm=900, faces_deg=90.0))
    too_high = structs.replace(good, place=structs.replace(good.place, height_mm=3000))  # type: ignore[type-var]
    nowhere = structs.replace(good, place=None)
    asking = asked(home, in_air, good, too_high, nowhere)
    assert [number for number, _ in asking.refused] == [0, 2, 3]
    assert all(says.startswith(f"Requirement {number + 1}: ") for number, says in asking.refused)
    assert any(each.is_sound and each.wishes == (1,) for each in asking.options)


def test_nothing_in_the_zones_of_a_bath(home: Home) -> None:
    """BS 7671 701.512.3: no socket within zones 0 to 2."""
    spot = Place(storey="G1", x_mm=2000, y_mm=350, height_mm=0, faces_deg=0.0)
    bath = Fixture(id="F1", kind="bath", place=spot)
    with_bath = home.apply(structs.replace(verbs.edit(home, "home", name="Wet"), pairs=((None, bath),)))
    asking = asked(with_bath, wish(with_bath, "M1", 0, 2000))
    assert len(asking.refused) == 1
    assert "of a bathroom" in asking.refused[0][1]


def test_a_wall_too_thin_for_the_box(home: Home) -> None:
    """A box 35 mm deep in a stud wall of 40 mm: its other board leaves no room for it; depths are common practice."""
    place = wish(home, "M1", 0, 2000).place
    assert place is not None
    wall = home.take(Wall, place.wall or "")
    (x_a, _), (x_b, _) = wall.a_mm, wall.b_mm
    slim = structs.replace(wall, build="stud", thickness_mm=40, a_mm=(x_a, -20), b_mm=(x_b, -20))
    thin = home.apply(Change("", ((wall, slim),)))
    deep = structs.replace(wish(thin, "M1", 0, 2000), deep=True)
    asking = asked(thin, deep, wish(thin, "M2", 2, 800))
    laid = [each for each in asking.options if each.priced is not None]
    assert laid
    assert all(any(reason.startswith("Box and wall") for reason in each.failed) for each in laid)
    unknown = asked(home, wish(home, "M1", 0, 2000))
    assert all(any("isn't known" in doubt for doubt in each.unsure) for each in unknown.options)
    assert all(each.is_sound for each in unknown.options)


def test_a_supply_that_was_too_small_is_not_loaded_further() -> None:
    """What was over before is said first; a heavy load of its own then fails, one more socket doesn't."""
    home = small_home()
    small = home.apply(verbs.edit(home, "E1", fuse_a=30.0))
    sockets = of_kind(asked(small, wish(small, "M1", 0, 2000)), "new way")
    assert sockets.is_sound
    assert any("more than the 30 A" in doubt for doubt in sockets.unsure)
    shower = structs.replace(wish(small, "M1", 0, 2000, 1500, "shower", 1), loads=(Load(what="shower", power_w=8500),))
    (option,) = asked(small, shower).options
    assert any("more than the 30 A" in reason for reason in option.failed)
    just = home.apply(verbs.edit(home, "E1", fuse_a=45.0))
    assert not of_kind(asked(just, wish(just, "M1", 0, 2000)), "new way").is_sound


def test_a_load_of_its_own_gets_a_way_by_its_current(home: Home) -> None:
    """7.2 kW at 230 V is 31.3 A: a 32 A device, and a cable that carries it by the worst method; 4D5, from memory."""
    cooker = structs.replace(
        wish(home, "M1", 0, 2000, 1100, "cooker connection unit", 1), loads=(Load(what="cooker", power_w=7200.0),)
    )
    (option,) = asked(home, cooker).options
    (device,) = [a for b, a in option.change.pairs if isinstance(a, Device) and b is None]
    assert device.rating_a == 32.0
    assert option.cable == "T&E 6/2.5"
    unsaid = structs.replace(cooker, kind="outbuilding feed", loads=())
    assert asked(home, unsaid).options or asked(home, unsaid).refused


def test_a_long_way_gets_a_thicker_cable() -> None:
    """20 A over more than 32 m of 2.5 mm² loses over 5 %: 18 mV/A/m of Table 4D5, from memory; 4 mm² takes 11."""
    far = small_home(wide=17_000)
    option = of_kind(asked(far, wish(far, "M2", 1, 1700, gangs=1)), "new way")
    (drop,) = [check for check in option.checks if check.kind == "volt drop"]
    assert option.length_mm > 32_000
    assert option.cable == "T&E 4/1.5"
    assert drop.verdict.answer == "yes"
    near = small_home()
    assert of_kind(asked(near, wish(near, "M2", 1, 1700, gangs=1)), "new way").cable == "T&E 2.5/1.5"


def test_a_ring_is_cut_where_its_cable_can_be_reached(home: Home) -> None:
    """Only where a path is on record: two joints, the old cable in two parts as long as before, one loop afterwards."""
    path = (("G1", 3000, 0, 450), ("G1", 3000, 0, 2400), ("G1", 3000, 300, 2450), ("G1", 5100, 300, 2450),
            ("G1", 5100, 0, 2400), ("G1", 5100, 0, 450))  # fmt: skip
    known = home.apply(verbs.edit(home, "R3", path_mm=path))
    option = of_kind(asked(known, wish(known, "M1", 0, 2500)), "ring opened in a void")
    assert option.is_sound, option.failed
    assert option.work.joints == 2
    after = known.apply(as_built(option.change))
    assert not after.problems()
    (view,) = [v for v in views(after, TRADE, Memo()) if v.code == "A1"]
    assert view.shape is not None
    assert view.shape.kind == "ring"
    old = [r for r in after.sorted(Run) if r.id == "R3" or (r.id not in option.runs and known.find(Run, r.id) is None)]
    assert sum(r.length_mm or 0 for r in old) == 5000
    assert option.ring is not None
    assert option.ring.r1_ohm == pytest.approx((35 + option.length_mm / 1000) * R1_M, rel=0.01)
    assert "ring opened in a void" not in {each.kind for each in asked(home, wish(home, "M1", 0, 2500)).options}


def test_a_light_goes_on_lighting(home: Home) -> None:
    place = Place(storey="G1", x_mm=1000, y_mm=1000, height_mm=2400)
    asking = asked(home, Wish(act="add", kind="light", place=place))
    assert {each.way for each in asking.options} == {"A3", "A4"}
    assert {each.cable for each in asking.options if each.way == "A3"} == {"T&E 1.5/1.0"}
    assert any(each.is_sound for each in asking.options)


def test_taking_out_leaves_the_ring_whole(home: Home) -> None:
    (option,) = asked(home, Wish(act="remove", point="P3")).options
    assert option.is_sound, option.failed
    after = home.apply(as_built(option.change))
    (view,) = [v for v in views(after, TRADE, Memo()) if v.code == "A1"]
    assert view.shape is not None
    assert view.shape.kind == "ring"
    assert "P3" not in view.names
    (end,) = asked(home, Wish(act="remove", point="P8")).options
    after = home.apply(as_built(end.change))
    (view,) = [v for v in views(after, TRADE, Memo()) if v.code == "A2"]
    assert "P8" not in view.names
    assert [a.cables_seen for b, a in end.change.pairs if isinstance(a, Point) and a.id == "P7"] == [1]


def test_moving_takes_the_old_one_out(home: Home) -> None:
    moved = structs.replace(wish(home, "M1", 1, 1000), act="move", point="P2")
    option = of_kind(asked(home, moved), "ring opened")
    assert option.is_sound, option.failed
    after = home.apply(as_built(option.change)).existing()
    (view,) = [v for v in views(after, TRADE, Memo()) if v.code == "A1"]
    assert "P2" not in view.names
    assert set(option.points) <= set(view.names)
    assert [p.kind for p in after.sorted(Point) if p.name == "where P2 was"] == ["blank plate"]


def test_stopped_when_told(home: Home) -> None:
    seen: list[str] = []
    ticket = Ticket(lambda done, total, words: seen.append(words) if done < 1 else ticket.stop())
    with pytest.raises(StoppedError):
        asked(home, wish(home, "M1", 0, 2000), ticket=ticket)
    assert "Where cables may run" in seen


def test_nothing_wished_still_says_what_comes_first(home: Home) -> None:
    asking = asked(home)
    assert asking.options == ()
    assert fit_said(asking.fit)


def test_a_danger_on_the_circuit_is_said_with_the_option(home: Home) -> None:
    """Scorching is C2, suggested: the practitioner's page. It is put right before the circuit is added to."""
    visit = home.apply(verbs.start_visit(home, "2026-01-05"))
    seen = visit.apply(verbs.note(visit, "P2", seen=("scorched",), visit="V1"))
    asking = asked(seen, wish(seen, "M1", 0, 2000))
    for option in asking.options:
        doubts = [doubt for doubt in option.unsure if "on A1 as it is" in doubt]
        assert bool(doubts) == (option.way == "A1"), option.kind
    assert any(each.subject == "defects" and each.answer == "no" for each in asking.fit)
    bare = visit.apply(verbs.note(visit, "P2", seen=("live part touchable",), visit="V1"))
    for option in asked(bare, wish(bare, "M1", 0, 2000)).options:
        assert option.is_sound == (option.way != "A1"), option.kind


def test_what_makes_it_fit_is_priced_apart(home: Home) -> None:
    """The practitioner's page: making the existing installation fit is a block of its own, in no option's total."""
    bare = small_home(bonded=False)
    asking = asked(bare, wish(bare, "M1", 0, 2000))
    assert [why for why, _ in asking.first] == ["bonding of gas (assumed 8 m)"]
    ((low, high),) = asking.first_ranges
    assert low < asking.first[0][1] < high
    assert all(net > 0 for _, net in asking.first)
    assert asked(home, wish(home, "M1", 0, 2000)).first == ()
    here, there = (of_kind(each, "unfused spurs").priced for each in (asking, asked(home, wish(home, "M1", 0, 2000))))
    assert here is not None
    assert there is not None
    assert here.total == there.total
    assert [each.line.why for each in here.optional]


def test_said_in_words_and_for_a_program(home: Home, two: Asking) -> None:
    for option in two.options:
        assert headline(option).startswith(option.title)
        said = option_said(option)
        assert any(line.startswith("Certificate: ") for line in said)
        assert changed_said(home, option.change)
    whole = json.loads(json.dumps(as_builtins(two, home)))
    assert len(whole["options"]) == 7
    assert whole["options"][0]["price"]["total"] > 0
    assert "competent person" in whole["caution"]


def test_making_good_by_others_costs_less(home: Home, two: Asking) -> None:
    others = asked(home, wish(home, "M1", 0, 2000), wish(home, "M2", 2, 800), job=Job(making_good="by others"))
    ours, theirs = of_kind(two, "new way").priced, of_kind(others, "new way").priced
    assert ours is not None
    assert theirs is not None
    assert theirs.total < ours.total


@pytest.mark.parametrize(
    ("country", "kitchen", "new"),
    [("England", "no", "yes"), ("Wales", "yes", "yes"), ("Northern Ireland", "no", "no"),
     ("Scotland", "not known", "not known"), ("", "not known", "not known")],
)  # fmt: skip
def test_notification_by_country(country: Country, kitchen: str, new: str) -> None:
    """The practitioner's page: Wales lists kitchens, Scotland has building standards, Northern Ireland no Part P."""
    in_kitchen = papers(TRADE, country, is_new_circuit=False, places=frozenset({"kitchen"}))
    assert (in_kitchen.notify, in_kitchen.certificate) == (kitchen, "minor works")
    circuit = papers(TRADE, country, is_new_circuit=True, places=frozenset())
    assert (circuit.notify, circuit.certificate) == (new, "installation certificate")
    assert "ask" in in_kitchen.says or "country" in in_kitchen.says


def test_new_points_stay_in_their_rooms(home: Home, two: Asking) -> None:
    for option in two.options:
        for _, after in option.change.pairs:
            if isinstance(after, Point) and after.place is not None:
                assert 0 <= after.place.x_mm <= 2 * WIDE + 100
                assert 0 <= after.place.y_mm <= DEEP
