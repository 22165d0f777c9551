"""Notes and photographs of what is selected, brought in as a person does: by path, by paste, by drop, by button."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.inspector import Inspector
from circuitmap.desk.notes_card import NotesCard
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.assets import hash_of
from circuitmap.home.document import Document
from circuitmap.home.exchange import write_folder
from circuitmap.home.records import Note, Sheet
from circuitmap.pictures import take_photo
from tests.desk.conftest import Opened
from tests.desk.driving import click, px, settle, show
from tests.desk.photographs import photo_bytes, photograph

NO_BUTTON, NO_KEY = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier


@pytest.fixture
def inspector(adapter: Adapter, look: Look, qtbot: QtBot) -> Iterator[Inspector]:
    made = Inspector(adapter, look)
    qtbot.addWidget(made)
    made.resize(340, 900)
    show(made)
    yield made
    made.hide()


@pytest.fixture
def card(inspector: Inspector, adapter: Adapter) -> NotesCard:
    adapter.select("P1")
    settle()
    return inspector.notes


@pytest.fixture
def said(adapter: Adapter) -> list[str]:
    heard: list[str] = []

    def hear(sentence: str, refused: bool) -> None:
        if refused:
            heard.append(sentence)

    adapter.said.connect(hear)
    return heard


def notes(adapter: Adapter, subject: str = "P1") -> tuple[Note, ...]:
    return verbs.all_notes_of(adapter.home, subject)


def files(*paths: Path) -> QMimeData:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    return mime


def drop(widget: QWidget, mime: QMimeData, at: QPoint | None = None) -> None:
    spot = at if at is not None else widget.rect().center()
    enter = QDragEnterEvent(spot, Qt.DropAction.CopyAction, mime, NO_BUTTON, NO_KEY)
    QApplication.sendEvent(widget, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(
        widget, QDropEvent(QPointF(spot), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton, NO_KEY)
    )
    settle()


def test_a_typed_path_brings_a_photograph_in_and_onto_the_latest_note_of_the_visit(
    card: NotesCard, adapter: Adapter, tmp_path: Path
) -> None:
    first, second = photograph(tmp_path / "a.jpg", 1), photograph(tmp_path / "b.jpg", 2, (3000, 2000))
    for path in (first, second):
        card.path.setText(f'"{path}"')
        QTest.keyClick(card.path, Qt.Key.Key_Return)
        settle()
    (note,) = notes(adapter)
    assert note.photos == (take_photo(first).sha256, take_photo(second).sha256)
    assert adapter.document.asset(note.photos[1]) == take_photo(second).data
    assert card.heading.text() == "Notes and photographs (1, 2)"
    assert all(thumb.is_shown for thumb in card.boxes[note.id].thumbs.thumbs)
    assert card.path.text() == ""
    adapter.undo()
    assert notes(adapter)[0].photos == (take_photo(first).sha256,)


def test_the_same_photograph_brought_in_twice_is_on_the_note_and_in_the_home_once(
    card: NotesCard, adapter: Adapter, tmp_path: Path
) -> None:
    path = photograph(tmp_path / "a.jpg")
    card.bring([path, path], "P1")
    settle()
    card.bring([path], "P1")
    card.bring([path], "P2")
    settle()
    assert [len(note.photos) for note in (*notes(adapter), *notes(adapter, "P2"))] == [1, 1]
    assert len(adapter.document.assets()) == 1


def test_a_picture_in_the_clipboard_is_pasted_with_its_keys(card: NotesCard, adapter: Adapter) -> None:
    data = photo_bytes()
    mime = QMimeData()
    mime.setImageData(QImage.fromData(data))
    QApplication.clipboard().setMimeData(mime)
    card.write_button.setFocus()
    QTest.keyClick(card.write_button, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    settle()
    (note,) = notes(adapter)
    assert len(note.photos) == 1
    assert adapter.document.asset(note.photos[0])[:2] == b"\xff\xd8"
    # In the words of a note as well, and there onto that very note.
    adapter.do(verbs.note(adapter.home, "P1", text="another"))
    QTest.keyClick(card.boxes[note.id].text, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    settle()
    assert [each.photos for each in notes(adapter)] == [note.photos, ()]
    QTest.keyClick(card.path, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    settle()
    assert [len(each.photos) for each in notes(adapter)] == [1, 1]
    QApplication.clipboard().clear()


def test_words_are_still_pasted_as_words_and_an_empty_clipboard_is_said(
    card: NotesCard, adapter: Adapter, said: list[str]
) -> None:
    card.write()
    QApplication.clipboard().setText("charred at the neutral")
    box = next(iter(card.boxes.values()))
    QTest.keyClick(box.text, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    card.choose_button.setFocus()
    settle()
    assert notes(adapter)[0].text == "charred at the neutral"
    card.paste()
    assert said == ["There is no photograph in the clipboard; copy one first."]


def test_files_dropped_on_a_note_go_onto_it_and_elsewhere_in_the_inspector_onto_what_is_selected(
    inspector: Inspector, card: NotesCard, adapter: Adapter, tmp_path: Path
) -> None:
    adapter.do(verbs.note(adapter.home, "P1", text="older"))
    adapter.do(verbs.note(adapter.home, "P1", text="newer"))
    settle()
    older = notes(adapter)[0]
    box = card.boxes[older.id]
    spot = box.mapTo(card, box.rect().center())
    drop(card, files(photograph(tmp_path / "a.jpg"), photograph(tmp_path / "b.jpg", 2)), spot)
    assert [len(note.photos) for note in notes(adapter)] == [2, 0]
    drop(inspector, files(photograph(tmp_path / "c.jpg", 3)), QPoint(10, 10))
    assert [len(note.photos) for note in notes(adapter)] == [2, 1]


def test_files_are_chosen_with_the_button(
    card: NotesCard, adapter: Adapter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = photograph(tmp_path / "a.jpg")
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(path)], ""))
    QTest.mouseClick(card.choose_button, Qt.MouseButton.LeftButton)
    settle()
    assert len(notes(adapter)[0].photos) == 1
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([], ""))
    QTest.mouseClick(card.choose_button, Qt.MouseButton.LeftButton)
    settle()
    assert len(notes(adapter)) == 1


def test_what_is_no_photograph_is_refused_and_the_others_are_taken(
    card: NotesCard, adapter: Adapter, said: list[str], tmp_path: Path
) -> None:
    broken, text = tmp_path / "broken.jpg", tmp_path / "plan.txt"
    broken.write_bytes(photo_bytes()[:900])
    text.write_text("no picture at all")
    card.bring([broken, photograph(tmp_path / "a.jpg"), text], "P1")
    settle()
    assert len(notes(adapter)[0].photos) == 1
    assert said == [
        "broken.jpg: the JPEG picture is damaged or cut short. Save or download it again and try once more. "
        "1 more could not be used either."
    ]


def test_photographs_go_to_what_was_selected_when_they_were_brought(
    card: NotesCard, adapter: Adapter, tmp_path: Path
) -> None:
    card.bring([photograph(tmp_path / "a.jpg")], "P1")
    assert card.busy.text() == "Bringing 1 photograph in…"
    adapter.select("P2")
    settle()
    assert (len(notes(adapter)), len(notes(adapter, "P2"))) == (1, 0)
    assert card.busy.text() == ""


def test_bringing_in_can_be_stopped_and_then_goes_on_with_the_next(
    card: NotesCard, adapter: Adapter, tmp_path: Path
) -> None:
    card.bring([photograph(tmp_path / "a.jpg")], "P1")
    QTest.mouseClick(card.stop_button, Qt.MouseButton.LeftButton)
    settle()
    assert notes(adapter) == ()
    card.bring([photograph(tmp_path / "b.jpg", 2)], "P1")
    settle()
    assert len(notes(adapter)[0].photos) == 1


def test_what_went_while_a_photograph_was_read_is_said(
    card: NotesCard, adapter: Adapter, said: list[str], tmp_path: Path
) -> None:
    card.bring([photograph(tmp_path / "a.jpg")], "P1")
    adapter.do(lambda home: verbs.remove(home, "P1"))
    settle()
    assert said == ["There is no P1 in this home."]


def test_a_photograph_is_seen_large_and_gone_through_by_keys(
    inspector: Inspector, card: NotesCard, adapter: Adapter, tmp_path: Path
) -> None:
    card.bring([photograph(tmp_path / f"{n}.jpg", n) for n in range(3)], "P1")
    settle()
    (note,) = notes(adapter)
    thumbs = card.boxes[note.id].thumbs.thumbs
    assert thumbs[1].accessibleName() == f"Photograph 2 of 3, note {note.id} at P1"
    thumbs[1].setFocus()
    QTest.keyClick(thumbs[1], Qt.Key.Key_Return)
    settle()
    large = card.large
    assert large is not None
    assert (large.photo, large.picture.has_picture) == (note.photos[1], True)
    assert large.accessibleName() == "Photograph 2 of 3 · P1: 3 photographs"
    for key, at in ((Qt.Key.Key_Right, 2), (Qt.Key.Key_Right, 2), (Qt.Key.Key_Left, 1), (Qt.Key.Key_Left, 0)):
        QTest.keyClick(large, key)
        assert large.photo == note.photos[at]
    QTest.keyClick(large, Qt.Key.Key_Escape)
    assert not large.isVisible()
    assert thumbs[1].hasFocus()


def test_delete_takes_a_photograph_off_and_the_focus_stays_among_the_others(
    card: NotesCard, adapter: Adapter, tmp_path: Path
) -> None:
    card.bring([photograph(tmp_path / f"{n}.jpg", n) for n in range(3)], "P1")
    settle()
    (note,) = notes(adapter)
    card.boxes[note.id].thumbs.thumbs[1].setFocus()
    QTest.keyClick(card.boxes[note.id].thumbs.thumbs[1], Qt.Key.Key_Delete)
    settle()
    assert notes(adapter)[0].photos == (note.photos[0], note.photos[2])
    assert card.boxes[note.id].thumbs.thumbs[1].hasFocus()
    adapter.undo()
    settle()
    assert [thumb.photo for thumb in card.boxes[note.id].thumbs.thumbs] == list(note.photos)


def test_a_missing_photograph_says_so_and_is_there_once_it_is_brought_in_again(
    inspector: Inspector, adapter: Adapter, monkeypatch: pytest.MonkeyPatch
) -> None:
    from circuitmap.errors import FileError

    photo = take_photo(photo_bytes())
    adapter.do_with(
        lambda home: verbs.note(home, "P1", photos=(photo.sha256,)), {photo.sha256: (photo.media, photo.data)}
    )
    lost = True
    whole = adapter.document.asset

    def asset(name: str) -> bytes:
        if lost:
            raise FileError("home", f"has no picture {name[:12]}…; bring it in again.")
        return whole(name)

    monkeypatch.setattr(adapter.document, "asset", asset)
    adapter.select("P1")
    settle()
    (box,) = inspector.notes.boxes.values()
    (thumb,) = box.thumbs.thumbs
    assert thumb.is_missing
    assert thumb.accessibleDescription() == "This photograph is missing from the home; bring it in again."
    QTest.keyClick(thumb, Qt.Key.Key_Return)
    settle()
    large = inspector.notes.large
    assert large is not None
    assert not large.picture.has_picture
    assert large.accessibleDescription() == "This photograph is missing from the home; bring it in again."
    large.put_away()
    lost = False
    adapter.do(verbs.write_note(adapter.home, box.note.id, "found again"))
    settle()
    assert thumb.is_shown
    assert not thumb.is_missing


def test_bytes_that_are_no_picture_under_a_photographs_name_are_told_apart_from_missing_ones(
    inspector: Inspector, adapter: Adapter
) -> None:
    data = b"this was never a picture"
    name = hash_of(data)
    adapter.do_with(lambda home: verbs.note(home, "P1", photos=(name,)), {name: ("image/jpeg", data)})
    adapter.select("P1")
    settle()
    (box,) = inspector.notes.boxes.values()
    assert (
        box.thumbs.thumbs[0].accessibleDescription().startswith("This photograph can't be shown: this is no photograph")
    )


def test_words_are_saved_when_something_else_is_selected_or_the_focus_goes(card: NotesCard, adapter: Adapter) -> None:
    QTest.mouseClick(card.write_button, Qt.MouseButton.LeftButton)
    (box,) = card.boxes.values()
    assert box.text.hasFocus()
    QTest.keyClicks(box.text, "loose at the plate")
    adapter.select("P2")
    settle()
    assert notes(adapter)[0].text == "loose at the plate"
    assert card.boxes == {}
    adapter.select("P1")
    settle()
    (box,) = card.boxes.values()
    box.text.setPlainText("x" * 300 + " שלום 🔌 <b>bold</b>")
    box.settle()
    assert notes(adapter)[0].text.endswith("<b>bold</b>")


def test_a_note_is_put_right_on_a_visit_and_stands_last_then(card: NotesCard, adapter: Adapter) -> None:
    adapter.do(verbs.note(adapter.home, "P1", seen=("damp",)))
    adapter.do(verbs.note(adapter.home, "P1", text="second"))
    settle()
    first, second = notes(adapter)
    QTest.mouseClick(card.boxes[first.id].right, Qt.MouseButton.LeftButton)
    settle()
    assert notes(adapter)[0].cleared is not None
    assert next(iter(card.boxes)) == first.id
    assert card.boxes[first.id].y() > card.boxes[second.id].y()
    assert "put right on" in card.boxes[first.id].when.text()
    QTest.mouseClick(card.boxes[first.id].right, Qt.MouseButton.LeftButton)
    settle()
    assert notes(adapter)[0].cleared is None


def test_what_was_seen_is_added_and_taken_back_in_a_list_of_the_trades_words(card: NotesCard, adapter: Adapter) -> None:
    card.write()
    (box,) = card.boxes.values()
    for condition, left in (("damp", ("damp",)), ("scorched", ("damp", "scorched")), ("damp", ("scorched",))):
        box.seen.setCurrentIndex(box.seen.findData(condition))
        box.seen.activated.emit(box.seen.currentIndex())
        assert notes(adapter)[0].seen == left
        assert box.seen.currentData() == ""
    assert box.says.text() == "scorched"


@pytest.mark.parametrize("subject", ["B1", "D3", "M1", "R1", "P2"])
def test_ways_boards_rooms_and_cables_take_notes_too(
    inspector: Inspector, adapter: Adapter, subject: str, tmp_path: Path
) -> None:
    adapter.select(subject)
    settle()
    inspector.notes.path.setText(str(photograph(tmp_path / "a.jpg")))
    QTest.keyClick(inspector.notes.path, Qt.Key.Key_Return)
    settle()
    assert len(notes(adapter, subject)[0].photos) == 1


def test_while_nothing_is_selected_the_notes_are_about_the_home_and_of_several_things_about_none(
    inspector: Inspector, adapter: Adapter, said: list[str]
) -> None:
    adapter.select()
    settle()
    assert inspector.notes.subject == "home"
    adapter.select("P1", "P2")
    settle()
    assert not inspector.notes.isVisible()
    inspector.notes.bring([Path("any.jpg")], "")
    assert said == ["Select what the photograph shows first: a point, a way, a board or a room."]


def test_a_home_that_can_only_be_looked_at_shows_its_photographs_and_takes_none(
    opened: Opened, small: Home, tmp_path: Path
) -> None:
    photo = take_photo(photo_bytes())
    home = small.apply(verbs.note(small, "P1", photos=(photo.sha256,)))
    write_folder(tmp_path / "form", home, (), {photo.sha256: (photo.media, photo.data)})
    window = opened(small)
    window.adapter.switch(Document.open(tmp_path / "form"))
    window.adapter.select("P1")
    settle()
    notes_card = window.inspector.notes
    (box,) = notes_card.boxes.values()
    assert box.thumbs.thumbs[0].is_shown
    assert not any(each.isEnabled() for each in (box.more, notes_card.choose_button, notes_card.path))
    QTest.keyClick(box.thumbs.thumbs[0], Qt.Key.Key_Delete)
    assert len(notes(window.adapter)[0].photos) == 1


def test_a_photograph_dropped_on_a_point_of_the_plan_is_of_that_point_and_elsewhere_it_is_a_plan(
    opened: Opened, small: Home, tmp_path: Path
) -> None:
    window = opened(small)
    path = photograph(tmp_path / "a.jpg")
    centre = window.view.scene().glyph_centre("P3")  # type: ignore[attr-defined]  # a PlanScene
    drop(window.view.viewport(), files(path), px(window, *centre))
    assert window.adapter.selection == ("P3",)
    assert len(notes(window.adapter, "P3")[0].photos) == 1
    assert not window.adapter.home.table(Sheet)
    drop(window.view.viewport(), files(path), px(window, 1500, 3000))
    assert len(window.adapter.home.table(Sheet)) == 1


def test_the_actions_reach_photographs_by_name_and_key(opened: Opened, small: Home, tmp_path: Path) -> None:
    window: Window = opened(small)
    window.adapter.select("P1")
    QApplication.clipboard().setMimeData(files(photograph(tmp_path / "a.jpg")))
    window.view.setFocus()
    QTest.keyClick(window.view, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    settle()
    assert len(notes(window.adapter)[0].photos) == 1
    QApplication.clipboard().clear()
    thumbs = next(iter(window.inspector.notes.boxes.values())).thumbs
    assert not thumbs.visibleRegion().isEmpty(), "in sight, however long the page over it"
    window.focus_inspector()
    window.actions_["write-note"].trigger()
    settle()
    assert len(notes(window.adapter)) == 2
    (written,) = (box for box in window.inspector.notes.boxes.values() if box.text.hasFocus())
    assert written.text.visibleRegion().boundingRect().height() == written.text.height()
    click(window, window.inspector.notes.write_button)
    assert len(notes(window.adapter)) == 3


def test_photographs_are_read_and_decoded_off_the_windows_thread(
    card: NotesCard, adapter: Adapter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import threading

    from circuitmap.desk import photo_work

    threads: list[tuple[str, bool]] = []

    def told(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*args: object, **more: object) -> object:
            threads.append((name, threading.current_thread() is threading.main_thread()))
            return real(*args, **more)

        return call

    monkeypatch.setattr(photo_work, "take_photo", told("take", photo_work.take_photo))
    monkeypatch.setattr(photo_work, "shrunk", told("show", photo_work.shrunk))
    mime = QMimeData()
    mime.setImageData(QImage.fromData(photo_bytes()))
    card.take(mime)
    card.bring([photograph(tmp_path / "a.jpg")], "P1")
    settle()
    assert len(notes(adapter)[0].photos) == 2
    assert {name for name, _ in threads} == {"take", "show"}
    assert not any(on_main for _, on_main in threads)
