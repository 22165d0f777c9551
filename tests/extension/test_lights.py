"""Lights and what works them: on with one that is there, a switch of their own, a second switch.

How two-way and intermediate switches are joined by a cable of three cores is common practice, no source.
"""

import msgspec
import pytest

from circuitmap.circuits import views
from circuitmap.extension import pricebook
from circuitmap.extension.accept import accept, as_done
from circuitmap.extension.kinds import Asking, Option
from circuitmap.extension.options import options
from circuitmap.home import Home, verbs
from circuitmap.home.records import End, Extension, Place, Point, Run, Wish
from circuitmap.memo import Memo
from tests.extension.extended import DEEP, TRADE, WIDE, small_home, wish

BOOK = pricebook.load()
CEILING = Place(storey="G1", x_mm=1000, y_mm=DEEP // 2, height_mm=2400)


@pytest.fixture(scope="module")
def home() -> Home:
    """The small home with a switch for the kitchen's light; the lounge's light hangs on it by a switched line."""
    bare = small_home()
    switch = Point(
        id="P11", kind="switch", cables_seen=1, controls=("P9", "P10"), switching="one way",
        place=Place(storey="G1", x_mm=WIDE, y_mm=1500, height_mm=1200, faces_deg=180.0),
    )  # fmt: skip
    drop = Run(id="R90", a=End(at="P9"), b=End(at="P11"), role="switch drop", cable="T&E 1.5/1.0", evidence="seen")
    on = next(run for run in bare.sorted(Run) if {run.a.at, run.b.at} == {"P9", "P10"})
    rest = [each for each in bare.all() if each.id != on.id]
    return Home.of([*rest, msgspec.structs.replace(on, role="switched"), switch, drop])


def asked(home: Home, *wishes: Wish) -> Asking:
    return options(home, Extension(id="X1", name="light", wishes=wishes), TRADE, BOOK)


def light() -> Wish:
    return Wish(act="add", kind="light", place=CEILING)


def of_kind(asking: Asking, kind: str) -> list[Option]:
    return [each for each in asking.options if each.kind == kind]


def built(home: Home, option: Option, *wishes: Wish) -> Home:
    kept = home.apply(verbs.add_extension(home, "light", wishes))
    record = kept.sorted(Extension)[-1]
    (again,) = [o for o in options(kept, record, TRADE, BOOK).options if o.key == option.key]
    plan = kept.apply(accept(kept, record.id, [again], kept))
    assert plan.existing().table(Point).keys() == home.table(Point).keys()
    return as_done(plan, record.id)


def new_points(before: Home, after: Home) -> list[Point]:
    return [point for point in after.sorted(Point) if before.find(Point, point.id) is None]


def new_runs(before: Home, after: Home) -> list[Run]:
    return [run for run in after.sorted(Run) if before.find(Run, run.id) is None]


def test_a_new_light_goes_on_with_one_that_is_there_and_its_switch(home: Home) -> None:
    (option,) = of_kind(asked(home, light()), "on with a light")
    assert option.is_sound
    after = built(home, option, light())
    (point,), (run,) = new_points(home, after), new_runs(home, after)
    assert after.take(Point, "P11").controls == ("P9", "P10", point.id)
    assert (run.role, run.a.at) == ("switched", "P9")
    (view,) = [v for v in views(after, TRADE, Memo()) if v.code == "A3"]
    assert point.id in view.names


def test_nothing_is_fed_for_good_from_a_light_that_its_switch_puts_out(home: Home) -> None:
    """P10 has a switched line only: a smoke alarm there would go out with the light."""
    alarm = Wish(act="add", kind="smoke alarm", place=Place(storey="G1", x_mm=WIDE + 2000, y_mm=900, height_mm=2400))
    for option in asked(home, alarm).options:
        assert not any("P10" in (run.a.at, run.b.at) for _, run in option.change.pairs if isinstance(run, Run))
    assert any(option.is_sound for option in of_kind(asked(home, alarm), "radial branched"))


def test_a_light_that_nothing_works_says_so(home: Home) -> None:
    (option,) = of_kind(asked(home, light()), "radial branched")
    assert any("What is to work the new light isn't planned" in says for says in option.unsure)
    assert not any("What is to work" in says for says in of_kind(asked(home, light()), "on with a light")[0].unsure)


def test_a_switch_wished_with_lights_of_its_room_comes_down_from_the_first(home: Home) -> None:
    other = msgspec.structs.replace(light(), place=msgspec.structs.replace(CEILING, x_mm=3000))
    wishes = (light(), other, wish(home, "M1", 3, 2800, 1200, kind="switch", gangs=1))
    (option,) = of_kind(asked(home, *wishes), "radial branched")
    assert option.is_sound, option.failed
    assert option.wishes == (0, 1, 2)
    after = built(home, option, *wishes)
    lights = [point for point in new_points(home, after) if point.kind == "light"]
    (switch,) = [point for point in new_points(home, after) if point.kind == "switch"]
    assert set(switch.controls) == {each.id for each in lights}
    roles = sorted(run.role for run in new_runs(home, after))
    assert roles == ["feed", "switch drop", "switched"]
    (feed,) = [run for run in new_runs(home, after) if run.role == "feed"]
    (drop,) = [run for run in new_runs(home, after) if run.role == "switch drop"]
    assert feed.b.at == drop.a.at  # the light with the lasting feed is the one that the switch hangs on
    assert option.priced is not None
    assert any("switch" in line.title.casefold() for line in option.priced.lines)


def test_a_second_switch_makes_both_two_way_and_a_third_makes_one_intermediate(home: Home) -> None:
    second = msgspec.structs.replace(wish(home, "M1", 3, 1500, 1200, kind="switch", gangs=1), point="P9")
    asking = asked(home, second)
    (option,) = asking.options
    assert option.is_sound, option.failed
    after = built(home, option, second)
    (new,), (run,) = new_points(home, after), new_runs(home, after)
    old = after.take(Point, "P11")
    assert (old.switching, new.switching, new.controls) == ("two way", "two way", ("P9", "P10"))
    assert (run.role, run.cable, {run.a.at, run.b.at}) == ("strappers", "3C&E 1.0", {"P11", new.id})
    third = msgspec.structs.replace(wish(home, "M1", 0, 500, 1200, kind="switch", gangs=1), point="P11")
    (more,) = [each for each in asked(after, third).options if each.is_sound]
    last = built(after, more, third)
    # The far one of the pair comes to stand between two others: the light's own cable stays at P11.
    assert [last.take(Point, i).switching for i in ("P11", new.id)] == ["two way", "intermediate"]
    (strap,) = new_runs(after, last)
    assert new.id in (strap.a.at, strap.b.at)


def test_a_switch_for_a_light_that_none_works_comes_down_from_it() -> None:
    home = small_home()
    wanted = msgspec.structs.replace(wish(home, "M1", 3, 1500, 1200, kind="switch", gangs=1), point="P9")
    (option,) = asked(home, wanted).options
    assert option.kind == "switch for a light"
    (run,) = new_runs(home, built(home, option, wanted))
    assert (run.role, run.a.at) == ("switch drop", "P9")
    assert any("isn't recorded" in says for says in option.unsure)


def test_a_switch_that_nothing_tells_what_it_works_is_told_how_to_say_it() -> None:
    home = small_home()
    rest = Home.of([each for each in home.all() if not (isinstance(each, Point) and each.kind == "light")
                    and not (isinstance(each, Run) and {each.a.at, each.b.at} & {"P9", "P10"})])  # fmt: skip
    asking = asked(rest, wish(rest, "M1", 3, 1500, 1200, kind="switch", gangs=1))
    assert asking.options == ()
    ((number, says),) = asking.refused
    assert number == 0
    assert "name a light or a switch" in says
