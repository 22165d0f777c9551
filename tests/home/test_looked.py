"""A home looked at as it was: by mark, by day, from a home file and from a text form."""

import datetime
from collections.abc import Iterator
from pathlib import Path

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import MarkedHome, write_folder
from circuitmap.home.looked import look_at, look_into


@pytest.fixture
def dated(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home begun on 5 May at noon, with a storey on 6 May, a mark, and another on 8 May late in the evening (UTC)."""
    at = iter(f"2026-05-{day}Z" for day in ("05T12:00:00", "06T12:00:00", "06T12:30:00", "08T12:00:00"))
    monkeypatch.setattr("circuitmap.home.document.now_text", lambda: next(at))
    path = tmp_path / "home.cmap"
    with Document.create(path, Home.blank("Dated")) as document:
        document.do(verbs.add_storey(document.home, "Ground"))
        document.mark("as found")
        document.do(verbs.add_storey(document.home, "First", 1))
    return path


@pytest.fixture
def zone(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    import time

    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def storeys(home: Home) -> list[str]:
    from circuitmap.home.records import Storey

    return [storey.name for storey in home.sorted(Storey)]


@pytest.mark.usefixtures("zone")
def test_a_day_gives_the_home_at_its_end(dated: Path) -> None:
    with look_at(dated) as looked:
        assert storeys(looked.at("2026-05-05")) == []
        assert storeys(looked.at("2026-05-06")) == ["Ground"]
        assert storeys(looked.at("2026-05-07")) == ["Ground"]
        assert storeys(looked.at("2026-05-08")) == ["Ground", "First"]
        assert storeys(looked.on(datetime.date(2030, 1, 1))) == ["Ground", "First"]
        assert storeys(looked.at("As Found")) == ["Ground"]
        assert storeys(looked.at("now")) == ["Ground", "First"]
        with pytest.raises(HomeError) as caught:
            looked.at("2026-05-04")
        assert str(caught.value) == (
            "This home was begun here on 5 May 2026; of 4 May 2026 it has no history. Compare with a later day, or "
            "with a mark."
        )


@pytest.mark.usefixtures("zone")
def test_a_document_that_is_open_gives_the_same_days(dated: Path) -> None:
    with Document.open(dated) as document:
        looked = look_into(document)
        assert storeys(looked.at("2026-05-06")) == ["Ground"]
        assert storeys(looked.at("2026-05-08")) == ["Ground", "First"]


@pytest.mark.usefixtures("zone")
def test_a_text_form_goes_by_its_marks(dated: Path, tmp_path: Path) -> None:
    with Document.open(dated) as document:
        marks = [*document.marked(), MarkedHome("as left", "2026-05-09T10:00:00Z", document.home)]
        home = document.home.apply(verbs.add_storey(document.home, "Loft", 2))
    write_folder(tmp_path / "form", home, marks)
    with look_at(tmp_path / "form") as looked:
        assert storeys(looked.at("2026-05-07")) == ["Ground"]
        assert storeys(looked.at("2026-05-10")) == ["Ground", "First", "Loft"]
        with pytest.raises(HomeError, match="This text form has no log of edits, and no mark of 1 May 2026 or before"):
            looked.at("2026-05-01")


@pytest.mark.parametrize("typed", ["2026-13-01", "yesterday", "20260101", "2026-02-30"])
def test_what_is_neither_mark_nor_day_is_refused_with_the_marks_there_are(dated: Path, typed: str) -> None:
    with look_at(dated) as looked, pytest.raises(HomeError) as caught:
        looked.at(typed)
    assert str(caught.value) == f"There is no mark “{typed}” in this home; there are: “as found”."
