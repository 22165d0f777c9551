"""Rules of the supply page: bonding, earthing, other sources; one note where there is no page.

BS 7671 132.16, 411.3.1.2, 514.15.1, from memory.
"""

import pytest

from circuitmap.home.records import Bond, OtherSource
from tests.findings.ask import Wired, one, only, said


def test_no_supply_page_is_one_note() -> None:
    b = Wired()
    assert one(b.home, "supply-page").code == "note"
    b.supply()
    assert not [
        f for f in said(b.home) if f.rule in ("supply-page", "bonding", "bonding-unseen", "earthing", "source-notice")
    ]


def test_missing_main_bonding_is_c2_in_one_line() -> None:
    b = Wired()
    b.supply(bonds=(Bond(to="gas", state="no"), Bond(to="water", state="no"), Bond(to="oil", state="yes")))
    finding = one(b.home, "bonding")
    assert finding.code == "C2"
    assert "gas and water are not bonded" in finding.says


def test_bonding_not_seen_is_a_note() -> None:
    b = Wired()
    b.supply(bonds=(Bond(to="gas", state="not seen"),))
    assert one(b.home, "bonding-unseen").code == "note"
    assert not only(b.home, "bonding")


def test_unknown_earthing_is_a_note() -> None:
    b = Wired()
    b.supply(earthing="unknown")
    assert one(b.home, "earthing").code == "note"


@pytest.mark.parametrize(
    ("kind", "notice", "found"), [("PV", "no", 1), ("PV", "yes", 0), ("PV", "not seen", 0), ("UPS", "no", 0)]
)
def test_two_sources_want_a_notice(kind: str, notice: str, found: int) -> None:
    b = Wired()
    b.supply(sources=(OtherSource(kind=kind, notice=notice),))  # type: ignore[arg-type]
    assert [f.code for f in only(b.home, "source-notice")] == ["C3"] * found
