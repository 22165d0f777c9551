"""Days that are written down for a home as a whole."""

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import Home
from circuitmap.home.verbs_home import WRITTEN_DAYS, set_written_day


@pytest.mark.parametrize("key", WRITTEN_DAYS)
def test_a_day_is_written_replaced_and_taken_away(key: str) -> None:
    home = Home.blank()
    home = home.apply(set_written_day(home, key, " 2024-02-29 "))
    assert home.details.choices == ((key, "2024-02-29"),)
    home = home.apply(set_written_day(home, key, "2025-01-31"))
    assert home.details.choices == ((key, "2025-01-31"),)
    assert not set_written_day(home, key, "2025-01-31").pairs
    home = home.apply(set_written_day(home, key, ""))
    assert home.details.choices == ()


@pytest.mark.parametrize("text", ["soon", "2025-02-30", "31.1.2025", "2025", "x" * 300])
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(HomeError, match="is no day"):
        set_written_day(Home.blank(), "last inspection", text)
