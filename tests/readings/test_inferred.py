"""The ring drawn from readings is offered stretch by stretch; what is drawn is recognised, contradictions are named."""

from itertools import pairwise

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.records import End, Run
from circuitmap.readings.inferred import Offer, infer_run, offers
from tests.readings.swept import Swept

RING = ("D1", *Swept.ORDER, "D1")


def offered(home: Swept) -> tuple[Offer, ...]:
    return offers(home.home, home.view, home.drawn)


def only(home: Swept, a: str, b: str) -> Offer:
    (found,) = [offer for offer in offered(home) if (offer.a, offer.b) == (a, b)]
    return found


def swept(*drawn: tuple[str | End, str | End]) -> Swept:
    home = Swept()
    for a, b in drawn:
        home.run(a, b)
    home.read_all()
    return home


def test_every_stretch_and_the_spur_are_offered_with_length_and_odds() -> None:
    """The truth is 60 m of ring in six legs of 10 m, and 4 m of spur at the third point (CHECKS 2b)."""
    home = swept(("D1", "P3"))
    found = offered(home)
    assert [(o.a, o.b, o.part) for o in found] == [
        *((a, b, "ring") for a, b in pairwise(RING)),
        ("P4", "P6", "spur"),
    ]
    for offer in found:
        wanted_m = 4 if offer.part == "spur" else 10
        assert offer.length_m is not None
        assert offer.tolerance is not None
        assert offer.length_m == pytest.approx(wanted_m, rel=0.1)
        assert abs(offer.length_m - wanted_m) < offer.tolerance * offer.length_m
        assert offer.sure > 0.9
        assert offer.says
        assert not offer.warns


def test_an_accepted_offer_is_one_inferred_run_and_one_step_to_undo() -> None:
    home = swept(("D1", "P3"))
    before = home.home
    offer = only(home, "P3", "P1")
    change = infer_run(home.home, offer)
    after = before.apply(change)
    (run_id,) = change.added(Run)
    run = after.take(Run, run_id)
    assert (run.a.at, run.b.at, run.evidence, run.length_from) == ("P3", "P1", "inferred", "reading")
    assert run.cable == "T&E 2.5/1.5"
    assert run.length_mm == pytest.approx(10_000, rel=0.1)
    assert run.length_tolerance == offer.tolerance
    assert after.apply(change.inverse()).table(Run) == before.table(Run)


def test_accepted_one_by_one_the_offers_make_the_whole_ring() -> None:
    home = swept()
    for a, b in [(o.a, o.b) for o in offered(home)]:
        home.do(infer_run(home.home, only(home, a, b)))
    assert home.joined() == {frozenset(pair) for pair in (*pairwise(RING), ("P4", "P6"))}
    shape = home.view.shape
    assert shape is not None
    assert shape.kind == "ring with spurs"
    assert shape.loop == ("D1", *Swept.ORDER)
    assert all(offer.is_drawn for offer in offered(home))
    legs = {run.a.leg or run.b.leg for run in home.home.table(Run).values() if "D1" in (run.a.at, run.b.at)}
    assert legs == {1, 2}


def test_what_is_drawn_already_is_recognised_and_gets_its_length() -> None:
    home = swept(("D1", "P3"), ("P1", "P3"))
    offer = only(home, "P3", "P1")
    assert offer.drawn == ("R2",)
    home.do(infer_run(home.home, offer))
    run = home.home.take(Run, "R2")
    assert run.length_from == "reading"
    assert run.length_mm == pytest.approx(10_000, rel=0.1)
    assert run.evidence == "seen"
    assert len(home.home.table(Run)) == 2


def test_a_length_that_was_measured_stays() -> None:
    home = swept(("D1", "P3"), ("P1", "P3"))
    home.do(verbs.edit(home.home, "R2", "", length_mm=9800, length_from="measured"))
    with pytest.raises(HomeError, match="measured: nothing to add"):
        infer_run(home.home, only(home, "P3", "P1"))


def test_a_stretch_drawn_through_what_was_not_read_is_drawn() -> None:
    home = Swept()
    joint = home.point("junction box")
    home.run("P3", joint)
    home.run(joint, "P1")
    home.read_all()
    home.do(verbs.tag(home.home, joint, home.way))
    home.run(home.way, "P3")
    offer = only(home, "P3", "P1")
    assert offer.drawn == ("R1", "R2")
    with pytest.raises(HomeError, match="R1 and R2 on the map are this stretch"):
        infer_run(home.home, offer)


def test_a_drawn_run_that_the_order_does_not_have_is_named_and_left() -> None:
    home = swept(("D1", "P3"), ("P3", "P2"))  # P2 is the fourth, 30 m on
    for a, b in (("P3", "P1"), ("P4", "P2"), ("P2", "P5")):
        offer = only(home, a, b)
        assert offer.against == ("R2",)
        assert "R2 joins P2 and P3" in offer.warns
    assert not only(home, "P1", "P4").against
    home.do(infer_run(home.home, only(home, "P3", "P1")))
    assert home.home.find(Run, "R2") is not None


def test_a_spur_drawn_on_the_wrong_point_is_named() -> None:
    home = swept(("D1", "P3"), ("P3", "P1"), ("P1", "P6"))
    assert only(home, "P4", "P6").against == ("R3",)


def test_the_leg_that_was_linked_must_lead_to_the_nearest_point() -> None:
    home = Swept()
    leg = home.run(home.way, "P5")
    home.read_all(leg=leg)
    assert only(home, "D1", "P3").against == ()
    assert leg in only(home, "P5", "D1").against
    assert leg in only(home, "P2", "P5").against


def test_cables_at_the_board_that_nobody_followed_are_followed() -> None:
    home = Swept()
    legs = [home.run(End(at=home.way, leg=n), End(state="unknown")) for n in (1, 2)]
    home.read_all(leg=legs[1])
    first, last = only(home, "D1", "P3"), only(home, "P5", "D1")
    assert (first.leg, last.leg) == (legs[1], legs[0])
    home.do(infer_run(home.home, first))
    run = home.home.take(Run, legs[1])
    assert {run.a.at, run.b.at} == {home.way, "P3"}
    assert (run.evidence, run.length_from) == ("inferred", "reading")
    assert len(home.home.table(Run)) == 2
    assert only(home, "D1", "P3").drawn == (legs[1],)
    home.do(infer_run(home.home, only(home, "P5", "D1")))
    assert frozenset((home.way, "P5")) in home.joined()


def test_an_offer_that_was_accepted_in_the_meantime_is_refused() -> None:
    home = swept(("D1", "P3"))
    offer = only(home, "P3", "P1")
    home.do(infer_run(home.home, offer))
    with pytest.raises(HomeError, match="already joins"):
        infer_run(home.home, offer)


def test_without_a_scale_runs_are_offered_without_a_length() -> None:
    home = swept()
    offer = only(home, "P3", "P1")
    assert offer.length_m is None
    assert "% of the loop" in offer.says
    run = home.home.apply(infer_run(home.home, offer)).table(Run)["R1"]
    assert (run.length_mm, run.length_from, run.cable) == (None, "", "")


def two_on_a_spur(cables: int | None = None) -> Swept:
    """P7 reads 3 m further along the spur than P6 (CHECKS R14)."""
    home = Swept()
    home.run("D1", "P3")
    seven = home.point("socket")
    home.do(verbs.tag(home.home, seven, home.way))
    if cables is not None:
        home.do(verbs.count_cables(home.home, "P6", cables))
    home.read_all()
    home.take(f"{37 * 0.01951:.2f}", "L", "E", at=seven, link="one leg")
    home.take(f"{0.2223 + 7 * 0.01482:.2f}", "L", "N", at=seven, link="cross")
    return home


def test_a_second_point_on_a_spur_is_offered_both_ways_and_only_one_can_be_accepted() -> None:
    home = two_on_a_spur()
    on, own = only(home, "P6", "P7"), only(home, "P4", "P7")
    assert on.sure == pytest.approx(own.sure)
    assert on.sure < 0.6
    assert on.length_m == pytest.approx(3, abs=1)
    assert own.length_m == pytest.approx(7, abs=1)
    assert "count the cables" in on.why
    home.do(infer_run(home.home, on))
    with pytest.raises(HomeError, match="already joins P7 to P6"):
        infer_run(home.home, own)


@pytest.mark.parametrize(("cables", "start"), [(1, "P4"), (2, "P6")])
def test_cables_counted_on_the_spur_tell_which_way_it_goes_on(cables: int, start: str) -> None:
    home = two_on_a_spur(cables)
    best = max((o for o in offered(home) if o.b == "P7"), key=lambda o: o.sure)
    assert best.a == start
    assert best.sure > 0.8


def test_where_nothing_can_be_drawn_nothing_is_offered() -> None:
    home = Swept()
    home.ends("L", "N", "E")
    assert offered(home) == ()
