"""What is due, by the table's published figures, and the calendar read back by a reading of RFC 5545 of our own."""

import datetime
from pathlib import Path

import pytest

from circuitmap.cli.main import main
from circuitmap.home import Home, verbs
from circuitmap.shelf.calendar import calendar_of
from circuitmap.shelf.due import DueItem, dues, later
from circuitmap.shelf.entry import Entry
from circuitmap.shelf.reading import entry_of, replace_days
from circuitmap.trade import load
from tests.shelf import ics
from tests.shelf.homes import noted, save, small, visited


def due_of(entry: Entry) -> dict[str, DueItem]:
    return {item.key: item for item in dues(entry, load())}


def day(text: str) -> datetime.date:
    return datetime.date.fromisoformat(text)


@pytest.mark.parametrize(
    ("tenure", "country", "years"),
    [
        ("rented", "England", 5),  # published: guide on gov.uk
        ("social rented", "England", 5),
        ("tenanted", "Scotland", 5),  # from memory
        ("let", "Wales", 5),  # from memory
        ("rented", "Northern Ireland", 5),  # from memory
        ("rented", "", 5),  # from memory: GN3 Table 3.2
        ("owner-occupied", "England", 10),  # from memory: GN3 Table 3.2
        ("Owner occupied", "", 10),
        ("", "", 10),
        ("=1+1", "elsewhere", 10),
        ("outlet", "England", 10),  # "let" is a word, not letters in another one
    ],
)
def test_an_inspection_is_due_by_tenure_and_country(tenure: str, country: str, years: int) -> None:
    entry = Entry(path="a", tenure=tenure, country=country, inspected_on="2020-05-17")
    item = due_of(entry)["inspection"]
    assert item.day == datetime.date(2020 + years, 5, 17)
    assert item.source
    assert item.edition


def test_what_the_report_says_of_its_next_date_comes_first() -> None:
    entry = Entry(path="a", tenure="rented", country="England", inspected_on="2020-05-17", next_written="2023-01-01")
    assert due_of(entry)["inspection"].day == day("2023-01-01")


def test_without_an_inspection_on_record_no_day_is_invented() -> None:
    item = due_of(Entry(path="a", tenure="rented", country="England", last_visit="2026-01-05"))["inspection"]
    assert item.day is None
    assert "no periodic inspection is on record" in item.says


def test_a_change_of_occupancy_makes_an_owned_home_due_and_a_let_ones_labels() -> None:
    owned = Entry(path="a", tenure="owner-occupied", inspected_on="2020-05-17", occupied_since="2024-03-01")
    assert due_of(owned)["inspection after change"].day == day("2024-03-01")
    looked = Entry(path="a", tenure="owner-occupied", inspected_on="2024-05-17", occupied_since="2024-03-01")
    assert "inspection after change" not in due_of(looked)
    let = Entry(path="a", tenure="rented", last_visit="2024-01-01", occupied_since="2024-03-01")
    assert due_of(let)["labels after change"].day == day("2024-03-01")


def test_remedial_work_in_a_rented_home_has_28_days_for_each_code() -> None:
    """Published: guide on gov.uk to the standards in England, 28 days; C3 alone asks for nothing by then."""
    codes = {"C1": 1, "C2": 2, "FI": 1, "C3": 4, "note": 9}
    entry = Entry(path="a", tenure="rented", country="England", inspected_on="2026-01-05", codes=codes)
    found = due_of(entry)
    assert {key for key in found if key.startswith("remedial")} == {"remedial C1", "remedial C2", "remedial FI"}
    assert found["remedial C2"].day == day("2026-02-02")
    assert "make safe at once" in found["remedial C1"].says
    assert "written proof" in found["remedial C2"].says
    owned = Entry(path="a", tenure="owner-occupied", country="England", inspected_on="2026-01-05", codes=codes)
    assert not any(key.startswith("remedial") for key in due_of(owned))


def test_without_an_inspection_remedial_work_counts_from_the_last_visit_and_says_so() -> None:
    entry = Entry(path="a", tenure="rented", country="England", last_visit="2026-01-05", codes={"C2": 1})
    item = due_of(entry)["remedial C2"]
    assert item.day == day("2026-02-02")
    assert "the law counts from the inspection" in item.says


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("Replace by 2031-04-30", ["2031-04-30"]),
        ("replace by: 2031-04", ["2031-04-01"]),
        ("expires 04/2031", ["2031-04-01"]),
        ("EXPIRY DATE 4.2031", ["2031-04-01"]),
        ("renew before March 2030, use by 2029", ["2030-03-01", "2029-01-01"]),
        ("replaced the battery 2020-01-01", []),
        ("replace by 2031-13", []),
        ("replace by 2031-02-31", []),
        ("replace by Blob 2031", []),
        ("", []),
        ("2031-04", []),
    ],
)
def test_dates_at_alarms_are_read_as_they_are_written(text: str, days: list[str]) -> None:
    assert replace_days(text) == days


def test_an_alarm_with_a_date_written_at_it_is_due_and_one_without_is_not() -> None:
    built = small()
    first, second = built.point("smoke alarm", room="M1"), built.point("CO alarm", room="M1")
    noted(built, first, text="Made 2021. Replace by 2031-04")
    built.point("socket", room="M1", where="replace by 2020")
    found = {k: v for k, v in due_of(entry_of(built.home, "a", load())).items() if k.startswith("alarm")}
    assert set(found) == {f"alarm {first}"}
    assert found[f"alarm {first}"].day == day("2031-04-01")
    assert second


def test_days_written_in_a_home_are_read_from_its_choices() -> None:
    built = small(tenure="owner-occupied", choices=(
        ("Last inspection", "2019-06-01"), ("next inspection", "2024-06-01"), ("occupied since", "soon"),
    ))  # fmt: skip
    entry = entry_of(built.home, "a", load())
    assert (entry.inspected_on, entry.next_written, entry.occupied_since) == ("2019-06-01", "2024-06-01", "")
    visited(built, "2025-01-01", "periodic")
    entry = entry_of(built.home, "a", load())
    assert (entry.inspected_on, entry.next_written) == ("2025-01-01", "")


def test_months_end_with_the_month() -> None:
    assert later(day("2023-01-31"), 1, 0) == day("2023-02-28")
    assert later(day("2024-02-29"), 12, 0) == day("2025-02-28")
    assert later(day("2025-12-31"), 0, 28) == day("2026-01-28")


# -- the calendar -------------------------------------------------------------------------------------------------

NAMES = (
    "Let flat", "Commas, semicolons; and \\ backslash", "line\nbreak\r\nin it\x07", "شقة ٥، طريق الطاحونة", "👩‍🔧" * 40,
    "x" * 300, "BEGIN:VEVENT", "ﬁ é " * 30,
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_the_calendar_is_sound_whatever_a_home_is_called(name: str) -> None:
    """RFC 5545, read by a reading of our own (tests/shelf/ics.py)."""
    entry = Entry(path=f"{name}.cmap", name=name, address=name, tenure="rented", country="England",
                  inspected_on="2026-01-05", codes={"C2": 1})  # fmt: skip
    data, count = calendar_of([(entry, dues(entry, load()))])
    events = ics.check(data)
    assert count == len(events) == 2
    shown = "".join(c if c.isprintable() or c == "\u200d" else " " for c in name)
    assert ics.text_of(events[0]["LOCATION"][0][1]) == shown
    assert {event["DTSTART"][0][1] for event in events} == {"20260202", "20310105"}
    assert {event["DTSTAMP"][0][1] for event in events} == {"20260105T000000Z"}


def test_the_same_homes_give_the_same_bytes_and_uids_stay(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    homes = tmp_path / "homes"
    homes.mkdir()
    built = small("Let flat", tenure="rented", country="England")
    visited(built, "2026-01-05", "periodic")
    noted(built, "P1", "scorched")
    save(built.home, homes / "a.cmap")
    first, second = tmp_path / "1.ics", tmp_path / "2.ics"
    assert main(["shelf", str(homes), "--due", str(first)]) == 0
    assert main(["shelf", str(homes), "--due", str(second), "--today", "2031-01-01"]) == 0
    assert first.read_bytes() == second.read_bytes()
    assert "2 days that are due" in capsys.readouterr().err
    uids = [event["UID"][0][1] for event in ics.check(first.read_bytes())]
    (homes / "a.cmap").unlink()
    moved = built.home.apply(verbs.edit(built.home, "home", name="Renamed"))
    save(moved, homes / "a.cmap")
    assert main(["shelf", str(homes), "--due", str(second)]) == 2  # other days stand in it
    assert main(["shelf", str(homes), "--due", str(second), "--replace"]) == 0
    again = ics.check(second.read_bytes())
    assert [event["UID"][0][1] for event in again] == uids
    assert "Renamed" in again[0]["SUMMARY"][0][1]


def test_a_calendar_that_cannot_be_written_gets_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    homes = tmp_path / "homes"
    homes.mkdir()
    built = small(tenure="rented", country="England")
    visited(built, "2026-01-05", "periodic")
    save(built.home, homes / "a.cmap")
    assert main(["shelf", str(homes), "--due", str(tmp_path / "no" / "d.ics")]) == 3
    assert "can't be written" in capsys.readouterr().err
    assert main(["shelf", str(homes), "--due", str(tmp_path / "d.txt")]) == 2


def test_nothing_due_writes_no_calendar(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    save(Home.blank("Blank"), tmp_path / "a.cmap")
    assert main(["shelf", str(tmp_path), "--due", str(tmp_path / "d.ics")]) == 0
    assert not (tmp_path / "d.ics").exists()
    assert "no calendar was written" in capsys.readouterr().err
