"""The home's details on the desk: what papers and the shelf need is typed in beside its supply."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from circuitmap.desk.fields import TextField
from circuitmap.desk.inspect_home import HomeDetails
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.shelf.due import dues
from circuitmap.shelf.reading import entry_of
from circuitmap.trade import load
from tests.desk.driving import settle

Opened = Callable[[Home], Window]


def write(field: TextField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    settle()


def details(window: Window) -> HomeDetails:
    window.focus_inspector()
    (found,) = window.findChildren(HomeDetails)
    return found


def test_what_is_typed_is_kept_and_tells_what_is_due(opened: Opened, small: Home) -> None:
    window = opened(small)
    page = details(window)
    write(page.address, "3 Mill Lane")
    write(page.call, "Agent 555 0100")
    write(page.days["last inspection"], "2024-05-17")
    window.adapter.do(lambda home: verbs.edit(home, "home", tenure="rented", country="England"))
    settle()
    held = window.adapter.home.details
    assert (held.address, held.call) == ("3 Mill Lane", "Agent 555 0100")
    assert held.choices == (("last inspection", "2024-05-17"),)
    assert page.tenure.currentText() == "rented"
    days = {item.what: item.day for item in dues(entry_of(window.adapter.home, "a", load()), load())}
    assert str(days["inspection"]) == "2029-05-17"
    window.adapter.undo()
    window.adapter.undo()
    settle()
    assert page.days["last inspection"].text() == ""


def test_what_is_no_day_springs_back_with_a_sentence(opened: Opened, small: Home) -> None:
    window = opened(small)
    page = details(window)
    write(page.days["next inspection"], "soon")
    assert "is no day" in window.message
    assert page.days["next inspection"].text() == ""
    assert window.adapter.home == small


def test_a_tenure_in_other_words_is_shown_as_it_is(opened: Opened, small: Home) -> None:
    window = opened(small.apply(verbs.edit(small, "home", tenure="let to a friend")))
    assert details(window).tenure.currentText() == "let to a friend"
