"""Fit to extend: what is in order, what is not, and what nobody saw; BS 7671 132.16, from memory."""

from msgspec import structs

from circuitmap.circuits import views
from circuitmap.extension.asked import Asked
from circuitmap.extension.fit import fit_to_extend, is_refused, remedies_of
from circuitmap.extension.kinds import Fit
from circuitmap.findings import run as find
from circuitmap.home import Home
from circuitmap.home.change import Change
from circuitmap.home.records import Bond, Supply
from circuitmap.memo import Memo
from tests.extension.extended import TRADE, small_home


def fit_of(home: Home) -> tuple[Fit, ...]:
    memo = Memo()
    return fit_to_extend(Asked(home, views(home, TRADE, memo), TRADE, memo), find(home, TRADE, memo))


def with_supply(home: Home, **facts: object) -> Home:
    (supply,) = home.sorted(Supply)
    return home.apply(Change("", ((supply, structs.replace(supply, **facts)),)))


def test_a_home_in_order() -> None:
    fit = fit_of(small_home())
    assert {each.subject for each in fit} == {"supply", "earthing", "bonding", "RCD cover"}
    assert not is_refused(fit)
    assert remedies_of(fit) == ()


def test_missing_bonding_is_to_be_made_first() -> None:
    fit = fit_of(small_home(bonded=False))
    (bond,) = [each for each in fit if each.subject == "bonding"]
    assert bond.answer == "no"
    assert "gas" in bond.says
    assert [(r.what, r.optional) for r in bond.remedies] == [("main bonding", False)]


def test_what_is_assumed_of_a_bond_is_said_in_a_customers_words() -> None:
    (bond,) = [each for each in fit_of(small_home(bonded=False)) if each.subject == "bonding"]
    assert bond.says.endswith(
        "Until the map shows where the gas comes in (as “gas”), the conductor's length is assumed."
    )
    assert "of the kind" not in bond.says


def test_thin_conductors() -> None:
    """Table 54.7 and 54.8, from memory: 16 mm² earthing with tails of 25 mm², 10 mm² bonding with PME."""
    home = with_supply(small_home(), earthing_mm2=10.0, bonds=(Bond(to="gas", state="yes", mm2=6.0),))
    answers = {each.subject: each.answer for each in fit_of(home)}
    assert answers["earthing"] == "no"
    assert answers["bonding"] == "no"
    home = with_supply(small_home(), earthing="TN-S", bonds=(Bond(to="gas", state="yes", mm2=6.0),))
    assert {each.subject: each.answer for each in fit_of(home)}["bonding"] == "yes"


def test_silence_is_no_yes() -> None:
    home = small_home()
    (supply,) = home.sorted(Supply)
    silent = fit_of(home.apply(Change("", ((supply, None),))))
    assert is_refused(silent)
    assert "Nothing is recorded of the supply" in silent[0].says
    unseen = fit_of(with_supply(home, bonds=(), earthing_mm2=None, earthing="unknown", sources_asked=False))
    by_subject = {each.subject: each for each in unseen}
    assert {"earthing", "bonding", "other sources"} <= {s for s, f in by_subject.items() if f.answer == "can't judge"}
    assert all(remedy.optional for remedy in remedies_of(unseen))


def test_ways_without_an_rcd_are_named() -> None:
    (cover,) = [each for each in fit_of(small_home(rcd=False)) if each.subject == "RCD cover"]
    assert cover.answer == "can't judge"
    assert "A1, A2, A3" in cover.says
