"""Extensions and their wishes: begun, added to, altered and taken away; what is planned or done stays as it is."""

import msgspec
import pytest

from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.change import Change
from circuitmap.home.exchange import to_text
from circuitmap.home.records import Extension, Place, Wish
from tests.build import Builder

TWIN = Wish(act="add", kind="socket", gangs=2, place=Place(storey="G1", x_mm=10, y_mm=20, height_mm=450))
LIGHT = Wish(act="add", kind="light")


@pytest.fixture
def begun() -> Builder:
    b = Builder()
    b.storey()
    b.do(verbs.add_extension(b.home, "  sockets in the kitchen ", (TWIN,)))
    return b


def held(b: Builder) -> Extension:
    return b.home.take(Extension, "X1")


def test_wishes_are_added_altered_and_taken_away(begun: Builder) -> None:
    assert (held(begun).name, held(begun).wishes) == ("sockets in the kitchen", (TWIN,))
    begun.do(verbs.add_wish(begun.home, "X1", LIGHT))
    begun.do(verbs.set_wish(begun.home, "X1", 0, msgspec.structs.replace(TWIN, gangs=1)))
    assert held(begun).wishes == (msgspec.structs.replace(TWIN, gangs=1), LIGHT)
    begun.do(verbs.drop_wish(begun.home, "X1", 0))
    assert held(begun).wishes == (LIGHT,)


def test_a_pick_is_let_go_when_the_wishes_change_and_only_then(begun: Builder) -> None:
    begun.do(verbs.pick(begun.home, "X1", "ring opened R3"))
    assert verbs.set_wish(begun.home, "X1", 0, TWIN).pairs == ()
    assert held(begun).picked == "ring opened R3"
    begun.do(verbs.add_wish(begun.home, "X1", LIGHT))
    assert held(begun).picked == ""


def test_what_is_not_there_is_refused(begun: Builder) -> None:
    with pytest.raises(HomeError, match="has one requirement; there is no number 2"):
        verbs.drop_wish(begun.home, "X1", 1)
    with pytest.raises(HomeError, match="needs a name"):
        verbs.add_extension(begun.home, " ")
    with pytest.raises(HomeError, match="no extension X9"):
        verbs.add_wish(begun.home, "X9", TWIN)


def test_planned_or_done_work_keeps_its_wishes(begun: Builder) -> None:
    point = begun.point()
    begun.do(verbs.edit(begun.home, "X1", puts=(point,)))
    assert verbs.is_planned(held(begun))
    with pytest.raises(HomeError, match="on the map as planned"):
        verbs.add_wish(begun.home, "X1", TWIN)
    begun.do(verbs.edit(begun.home, "X1", done_on="2026-03-02"))
    assert not verbs.is_planned(held(begun))
    with pytest.raises(HomeError, match="is done"):
        verbs.pick(begun.home, "X1", "another")
    begun.do(verbs.remove(begun.home, point))
    assert held(begun).puts == ()


def test_how_the_work_is_done_stays_with_the_extension(begun: Builder) -> None:
    assert (held(begun).lived_in, held(begun).others_make_good) == (True, False)
    begun.do(verbs.pick(begun.home, "X1", "ring opened R3"))
    begun.do(verbs.set_method(begun.home, "X1", lived_in=False))
    begun.do(verbs.set_method(begun.home, "X1", others_make_good=True))
    assert (held(begun).lived_in, held(begun).others_make_good) == (False, True)
    assert held(begun).picked == "ring opened R3"  # the same way, at another price
    begun.do(verbs.set_method(begun.home, "X1", on_surface=True))
    assert (held(begun).lived_in, held(begun).others_make_good, held(begun).on_surface) == (False, True, True)
    assert verbs.set_method(begun.home, "X1", lived_in=False).pairs == ()
    done = msgspec.structs.replace(held(begun), done_on="2026-03-01")
    begun.do(Change("done", ((held(begun), done),)))
    with pytest.raises(HomeError, match="is done; begin another extension"):
        verbs.set_method(begun.home, "X1", lived_in=True)


def test_an_extension_from_before_reads_as_lived_in_and_made_good(begun: Builder) -> None:
    text = to_text(begun.home)
    assert b"lived_in" not in text  # as usual is left out, so that homes written before read the same
    assert b"others_make_good" not in text
    assert b"on_surface" not in text
