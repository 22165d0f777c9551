"""Handing over on the desk, by real clicks and keys: documents, their choices, their preview, saving."""

import io
import os
from pathlib import Path

import pypdf
import pypdfium2
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QCheckBox, QComboBox

from circuitmap.desk import prefs
from circuitmap.desk.handing import press
from circuitmap.desk.handing.chosen import Chosen, file_stem, fit_for, moments, subjects, usual
from circuitmap.desk.handing.press import _report as report
from circuitmap.desk.handing.showing import today
from circuitmap.errors import OurError
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Board, Device, Point, Room
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from tests.desk.conftest import Opened, small_home
from tests.desk.driving import click
from tests.desk.handed import come, settled, take, until
from tests.paper.invented import BROKEN, CARD, DEAF, DRAWING, INVENTED, NEVER, PAGES, SLOW

Patch = pytest.MonkeyPatch


def rows(window: object) -> dict[str, str]:
    """What the table on show says."""
    made = window.hand_over.showing.made  # type: ignore[attr-defined]
    return {row[0]: row[1] for row in made.files[0].sheets[0].rows}


def choose(field: QComboBox, words: str) -> None:
    """Choose from a field by keys: walk its list, and Enter."""
    field.setFocus()
    for _ in range(field.count()):
        QTest.keyClick(field, Qt.Key.Key_Up)
    for _ in range(field.count()):
        if field.currentText() == words:
            break
        QTest.keyClick(field, Qt.Key.Key_Down)
    assert field.currentText() == words
    QTest.keyClick(field, Qt.Key.Key_Return)


def enter(field: QComboBox, words: str) -> None:
    """Type into a field that looks for what fits, and Enter where the keys go."""
    line = field.lineEdit()
    line.setFocus()
    line.selectAll()
    QTest.keyClicks(line, words)
    popup = field.completer().popup()
    QTest.keyClick(popup if popup.isVisible() else line, Qt.Key.Key_Return)
    QApplication.processEvents()


def tick(box: QCheckBox) -> None:
    """Click a box on its square."""
    QTest.mouseClick(box, Qt.MouseButton.LeftButton, pos=QPoint(8, box.height() // 2))
    QApplication.processEvents()


def test_the_stage_shows_the_first_document_and_gives_the_plan_back(
    opened: Opened, small: Home, monkeypatch: Patch
) -> None:
    window = opened(small)
    stage = come(window, INVENTED, monkeypatch)
    preview = window.hand_over.preview
    assert window.middle is window.hand_over.preview_page
    assert preview.isVisibleTo(window)
    assert not window.view.isVisibleTo(window)
    assert preview.title.startswith("Room list: PDF, ")
    assert stage.list.hasFocus()
    assert [stage.list.item(n).text() for n in range(stage.list.count())] == [paper.title for paper in INVENTED]
    # What is on show is what an independent reader finds in the file.
    assert preview.pages.count == window.hand_over.showing.made.files[0].pages_pt.__len__()
    QTest.keyClick(window, Qt.Key.Key_F3)
    assert window.middle is window.view
    assert window.view.isVisibleTo(window)
    QTest.keyClick(window, Qt.Key.Key_F7)
    assert window.middle is window.hand_over.preview_page
    until(lambda: settled(window))


def test_a_change_of_the_home_or_of_a_choice_makes_it_anew(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    stage = come(window, INVENTED, monkeypatch)
    choose(stage.choices.form_, "table of text (CSV)")
    until(lambda: settled(window))
    assert rows(window)["Kitchen"] == "kitchen"
    room = next(room for room in small.sorted(Room) if room.name == "Kitchen")
    window.adapter.do(verbs.edit(window.adapter.home, room.id, name="Scullery"))
    until(lambda: "Scullery" in rows(window) and settled(window))
    window.adapter.undo()
    until(lambda: "Kitchen" in rows(window) and settled(window))
    choose(stage.choices.form_, "PDF")
    until(lambda: settled(window))
    wide, high = window.hand_over.showing.made.files[0].pages_pt[0]
    choose(stage.choices.turned, "landscape")
    until(lambda: settled(window))
    assert window.hand_over.showing.made.files[0].pages_pt[0] == (high, wide)
    pages = window.hand_over.preview.pages.count
    tick(stage.choices.large_print)
    until(lambda: settled(window))
    assert window.hand_over.preview.pages.count > pages


def test_only_what_a_document_declares_can_be_chosen(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    stage = come(window, INVENTED, monkeypatch)
    fields = stage.choices
    every = (fields.form_, fields.size_, fields.turned, fields.subject, fields.scale, fields.large_print, fields.dark)

    def shown() -> list[str]:
        return [each.objectName() or each.text() for each in every if each.isVisibleTo(window)]  # type: ignore[attr-defined]

    assert len(shown()) == len(every)
    take(window, SLOW)
    assert shown() == ["Large print and plain words"]
    take(window, CARD)
    assert shown() == ["subject"]
    found = [fields.subject.itemText(n) for n in range(fields.subject.count())]
    assert found[0] == "All of the home"
    assert len(found) == 1 + len(small.table(Board)) + len(small.table(Point))  # boards and points, no devices
    take(window, NEVER)
    assert shown() == []


def test_a_subject_is_found_by_a_part_of_its_name(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    choose(stage.choices.form_, "table of text (CSV)")
    light = next(point for point in small.sorted(Point) if point.kind == "light")
    field = stage.choices.subject
    enter(field, "IGHT p")  # which is "light P…" and not the way called "Lights"
    until(lambda: settled(window))
    assert light.id in field.currentText()
    points = {point.id for point in small.sorted(Point)}
    assert points & set(rows(window)) == {light.id}
    enter(field, "nothing of that name")
    until(lambda: settled(window))
    assert light.id in field.currentText()  # it springs back


def test_two_moments_are_compared_and_what_is_private_left_out(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    window.adapter.document.mark("as found")
    window.adapter.do(verbs.edit(window.adapter.home, "home", "", address="7 Invented Row"))
    before = len(window.adapter.home.table(Point))
    window.adapter.do(lambda home: verbs.remove(home, small.sorted(Point)[-1].id))
    stage = come(window, (PAGES,), monkeypatch)
    choose(stage.choices.form_, "table of text (CSV)")
    fields = stage.choices
    mark = next(
        fields.earlier.itemText(n) for n in range(fields.earlier.count()) if "as found" in fields.earlier.itemText(n)
    )
    choose(fields.earlier, mark)
    until(lambda: settled(window))
    assert rows(window)["earlier"] == "as found → now"
    assert rows(window)["earlier points"] == str(before)
    assert rows(window)["address"] == "7 Invented Row"
    tick(fields.leave_out["address"])
    tick(fields.leave_out["history"])
    until(lambda: settled(window))
    assert rows(window)["address"] == ""
    assert "earlier" not in rows(window)
    choose(fields.later, mark)
    until(lambda: settled(window))
    assert len([each for each in rows(window) if each.startswith("P")]) == before


def test_pages_are_turned_and_zoomed_by_keys_and_wheel(opened: Opened, monkeypatch: Patch) -> None:
    window = opened(read_folder(sample_homes() / "older-terrace").home)
    stage = come(window, (PAGES,), monkeypatch)
    tick(stage.choices.large_print)
    until(lambda: settled(window))
    pages = window.hand_over.preview.pages
    assert pages.count > 2
    storey = window.adapter.storey
    pages.setFocus()
    QTest.keyClick(pages, Qt.Key.Key_PageDown)
    assert pages.page == 1
    QTest.keyClick(pages, Qt.Key.Key_End)
    assert pages.page == pages.count - 1
    QTest.keyClick(pages, Qt.Key.Key_PageUp)
    assert pages.page == pages.count - 2
    QTest.keyClick(pages, Qt.Key.Key_Home)
    assert pages.page == 0
    assert window.adapter.storey == storey  # the plan's keys are not the pages'
    click(window, window.hand_over.preview.on)
    assert pages.page == 1
    window.actions_["page-back"].trigger()
    assert pages.page == 0
    before = pages.zoom
    QTest.keyClick(pages, Qt.Key.Key_Plus)
    assert pages.zoom == pytest.approx(before * 1.25)
    spot = QPointF(200, 150)
    wheel = QWheelEvent(
        spot, QPointF(pages.viewport().mapToGlobal(spot.toPoint())), QPoint(0, 0), QPoint(0, -120),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.ControlModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(pages.viewport(), wheel)
    assert pages.zoom == pytest.approx(before)
    click(window, window.hand_over.preview.whole)
    assert pages.fits == "page"
    rect = pages._rect_of(0)
    assert rect.height() <= pages.viewport().height()
    until(lambda: settled(window))


def test_a_page_on_show_is_the_page_of_the_file(
    opened: Opened, small: Home, monkeypatch: Patch, tmp_path: Path
) -> None:
    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    window.hand_over.saving.set_folder(str(tmp_path))
    click(window, stage.save_button)
    until(lambda: settled(window))
    preview = window.hand_over.preview.pages
    preview.zoom_to(1.0)
    until(lambda: settled(window))
    shot = preview.viewport().grab().toImage()
    rect = preview._rect_of(0)
    document = pypdfium2.PdfDocument(next(tmp_path.iterdir()))
    page = document[0].render(scale=96 / 72).to_pil().convert("L")
    document.close()
    alike = total = 0
    for y in range(4, 400, 3):
        for x in range(4, 780, 3):
            spot = QPoint(int(rect.left()) + x, int(rect.top()) + y)
            if shot.rect().contains(spot):
                total += 1
                alike += abs(shot.pixelColor(spot).lightness() - page.getpixel((x, y))) < 48
    assert total > 5000
    assert alike / total > 0.98


def test_drawings_tables_and_texts_are_shown_too(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    stage = come(window, (DRAWING, PAGES), monkeypatch)
    preview = window.hand_over.preview
    for words in ("drawing (SVG)", "picture (PNG)", "drawing in layers (DXF)"):
        choose(stage.choices.form_, words)
        until(lambda: settled(window))
        assert preview.current is preview.pages, words
        assert preview.title.startswith(f"Drawing out: {words}")
    choose(stage.choices.form_, "places (GeoJSON)")
    until(lambda: settled(window))
    assert preview.current is preview.text
    assert "FeatureCollection" in preview.text.toPlainText()
    QTest.keyClick(window, Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    until(lambda: settled(window))
    choose(stage.choices.form_, "spreadsheet (XLSX)")
    until(lambda: settled(window))
    assert preview.current is preview.table
    model = preview.table.table.model()
    assert model.index(0, 0).data() == small.sorted(Room)[0].name
    assert preview.table.tabs.count() == 2
    assert not preview.pages.isVisibleTo(window)
    assert not window.hand_over.stage.print_button.isEnabled()


def test_what_cannot_be_made_is_a_sentence_in_place_of_it(opened: Opened, monkeypatch: Patch) -> None:
    window = opened(Home.blank("An empty house"))
    come(window, INVENTED, monkeypatch)
    assert window.hand_over.stage.remarks == "No room is drawn yet, so none is listed."
    take(window, NEVER)
    assert window.hand_over.preview.says == (
        "There is no way on any board of An empty house, so there is nothing to list."
    )
    assert not window.hand_over.stage.save_button.isEnabled()
    QTest.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert window.message == window.hand_over.showing.refusal
    take(window, PAGES)
    assert window.hand_over.preview.says == ""
    assert window.hand_over.stage.save_button.isEnabled()


def test_what_breaks_goes_to_a_report_and_the_window_goes_on(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    come(window, INVENTED, monkeypatch)
    broken: list[str] = []
    monkeypatch.setattr(press, "_report", broken.append)  # which raises what the program writes to a report
    take(window, BROKEN)
    until(lambda: broken)
    assert "ZeroDivisionError: pdf" in broken[0]
    with pytest.raises(OurError, match="ZeroDivisionError"):
        report(broken[0])
    assert "went wrong" in window.hand_over.preview.says
    take(window, PAGES)
    assert window.hand_over.preview.says == ""


def test_a_long_one_tells_how_far_it_is_and_is_stopped(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    come(window, INVENTED, monkeypatch)
    preview = window.hand_over.preview
    take(window, SLOW, wait=False)
    until(lambda: preview.is_waiting and "of 40" in preview._waiting_says.text())
    assert preview._progress.maximum() == 40
    click(window, preview.stop_button)
    assert not preview.is_waiting
    assert preview.says == "Stopped."
    click(window, preview.again_button)
    until(lambda: preview.is_waiting)
    take(window, PAGES)
    assert preview.title.startswith("Room list")
    take(window, SLOW)
    assert preview.title.startswith("Slow one")


def test_one_that_never_looks_up_is_stopped_by_the_next(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    come(window, INVENTED, monkeypatch)
    take(window, DEAF, wait=False)
    until(lambda: window.hand_over.preview.is_waiting)
    take(window, PAGES)  # its process is ended and another begun: the homes are sent again
    assert window.hand_over.preview.title.startswith("Room list")
    assert window.hand_over.preview.is_drawn


def test_older_wishes_are_dropped(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    stage = come(window, INVENTED, monkeypatch)
    seen = []
    window.hand_over.showing.changed.connect(lambda: seen.append(window.hand_over.showing.shown[0].name))
    stage.list.setFocus()
    for _ in range(3):
        QTest.keyClick(stage.list, Qt.Key.Key_Down)
        QTest.qWait(2)
    until(lambda: settled(window))
    assert window.hand_over.preview.title.startswith("Slow one")
    assert seen[-1] == "slow-one"
    assert len(seen) <= 2


def test_nothing_is_made_while_nobody_looks(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    assert not window.hand_over.press.is_begun
    come(window, (PAGES,), monkeypatch)
    made = window.hand_over.showing.made
    QTest.keyClick(window, Qt.Key.Key_F1)
    window.adapter.do(verbs.edit(window.adapter.home, "home", "", name="Another name"))
    QTest.qWait(400)
    assert window.hand_over.showing.made is made
    QTest.keyClick(window, Qt.Key.Key_F7)
    until(lambda: settled(window) and window.hand_over.showing.made is not made)


def test_a_document_is_saved_with_one_key_under_a_sensible_name(
    opened: Opened, small: Home, monkeypatch: Patch, tmp_path: Path
) -> None:
    window = opened(small)
    stage = come(window, INVENTED, monkeypatch)
    stage.folder.setFocus()
    stage.folder.selectAll()
    QTest.keyClicks(stage.folder, str(tmp_path / "papers"))
    QTest.keyClick(stage.folder, Qt.Key.Key_Return)
    QTest.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    until(lambda: settled(window))
    name = f"Small house - Room list - {today().isoformat()}.pdf"
    assert [path.name for path in (tmp_path / "papers").iterdir()] == [name]
    assert window.message == f"Wrote {name} to {tmp_path / 'papers'}."
    reader = pypdf.PdfReader(io.BytesIO((tmp_path / "papers" / name).read_bytes()))
    text = "\n".join(page.extract_text() for page in reader.pages)
    assert all(room.name in text for room in small.sorted(Room))
    assert prefs.load().papers_folder == str(tmp_path / "papers")


def test_all_documents_go_into_a_folder_of_their_own(
    opened: Opened, small: Home, monkeypatch: Patch, tmp_path: Path
) -> None:
    window = opened(small)
    stage = come(window, (PAGES, NEVER, DRAWING, SLOW), monkeypatch)
    window.hand_over.saving.set_folder(str(tmp_path))
    click(window, stage.all_button)
    until(lambda: stage.busy_says.startswith("4 of 4"))
    assert not stage.save_button.isEnabled()
    until(lambda: settled(window))
    into = tmp_path / f"Small house - documents - {today().isoformat()}"
    assert sorted(path.suffix for path in into.iterdir()) == [".pdf", ".pdf", ".svg"]
    assert window.message == (
        f"Wrote 3 files to {into}. 1 of 4 documents couldn't be made; the reasons stand in the panel."
    )
    assert "Not made: Never: There is no way on any board of Small house" in stage.remarks


def test_saving_all_is_stopped_and_what_is_written_stays_whole(
    opened: Opened, small: Home, monkeypatch: Patch, tmp_path: Path
) -> None:
    window = opened(small)
    stage = come(window, (PAGES, SLOW, DRAWING), monkeypatch)
    window.hand_over.saving.set_folder(str(tmp_path))
    window.actions_["save-papers"].trigger()
    until(lambda: stage.busy_says.startswith("2 of 3"))
    QTest.qWait(150)
    click(window, stage.stop_button)
    until(lambda: settled(window))
    into = next(tmp_path.iterdir())
    assert [path.suffix for path in into.iterdir()] == [".pdf"]


@pytest.mark.skipif(os.geteuid() == 0, reason="the administrator may write anywhere")
def test_a_folder_that_may_not_be_written_is_one_sentence(
    opened: Opened, small: Home, monkeypatch: Patch, tmp_path: Path
) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    closed.chmod(0o500)
    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    window.hand_over.saving.set_folder(str(closed))
    click(window, stage.save_button)
    until(lambda: settled(window))
    assert "can't be written" in window.message


def test_a_folder_that_is_none_is_one_sentence(opened: Opened, small: Home, monkeypatch: Patch, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("kept")
    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    window.hand_over.saving.set_folder(str(tmp_path / "file" / "within"))
    click(window, stage.save_button)
    until(lambda: settled(window))
    assert window.message.endswith("can't be made a folder (Not a directory). Choose another place.")
    for typed, says in (
        ("somewhere", "“somewhere” is no folder from the root; type it whole, or choose it."),
        (str(tmp_path / "file"), f"{tmp_path / 'file'}: is a file, not a folder. Choose another place."),
    ):
        stage.folder.setFocus()
        stage.folder.selectAll()
        QTest.keyClicks(stage.folder, typed)
        click(window, stage.save_button)
        until(lambda: settled(window))
        assert window.message == says
    assert [path.name for path in tmp_path.iterdir()] == ["file"]
    assert (tmp_path / "file").read_text() == "kept"


def test_a_home_in_a_file_is_handed_over_while_it_is_open(
    opened: Opened, small: Home, monkeypatch: Patch, tmp_path: Path
) -> None:
    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    tick(stage.choices.leave_out["address"])
    enter(stage.choices.subject, "Board A")
    other = Home.of([*(each for each in small.all() if not isinstance(each, Room))])
    window.adapter.switch(Document.create(tmp_path / "other.cmap", other))
    until(lambda: settled(window) and bool(window.hand_over.stage.remarks))
    assert window.hand_over.stage.remarks == "No room is drawn yet, so none is listed."
    assert window.hand_over.showing.chosen == Chosen(form="pdf")  # another home, other choices
    assert not stage.choices.leave_out["address"].isChecked()


def test_something_found_on_the_map_brings_the_plan_back(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    come(window, (PAGES,), monkeypatch)
    window.adapter.show(small.sorted(Point)[0].id)
    assert window.middle is window.view
    QTest.keyClick(window, Qt.Key.Key_7, Qt.KeyboardModifier.ControlModifier)
    assert window.middle is window.hand_over.preview_page


def test_what_is_selected_is_what_a_card_is_about(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    point, other = small.sorted(Point)[2], small.sorted(Point)[0]
    window.adapter.select(point.id)
    stage = come(window, INVENTED, monkeypatch)
    take(window, CARD)
    assert window.hand_over.showing.chosen.subject == point.id
    assert point.id in stage.choices.subject.currentText()
    enter(stage.choices.subject, "All of the home")
    take(window, SLOW, wait=False)
    take(window, CARD)
    assert window.hand_over.showing.chosen.subject == ""  # what was chosen by hand stays
    QTest.keyClick(window, Qt.Key.Key_F3)
    window.adapter.select(other.id)
    QTest.keyClick(window, Qt.Key.Key_F7)
    until(lambda: settled(window))
    assert window.hand_over.showing.chosen.subject == other.id
    assert window.hand_over.showing.made.files


def test_processes_end_after_a_rest_and_are_begun_again(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    come(window, (PAGES,), monkeypatch)
    over = window.hand_over
    assert over.press.is_begun
    QTest.keyClick(window, Qt.Key.Key_F1)
    over._rest.timeout.emit()
    assert not over.press.is_begun
    QTest.keyClick(window, Qt.Key.Key_F7)
    until(lambda: settled(window))
    over.preview.pages.zoom_to(2.0)
    until(lambda: settled(window))
    assert over.preview.says == ""


def test_a_process_that_is_ended_from_outside_is_begun_again(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    come(window, INVENTED, monkeypatch)
    over = window.hand_over
    process = over.press._process
    assert process is not None
    process.kill()
    until(lambda: over.press._process is not process and settled(window))
    assert over.preview.title.startswith("Room list")
    take(window, SLOW, wait=False)
    until(lambda: over.preview.is_waiting)
    assert over.press._process is not None
    over.press._process.kill()
    until(lambda: over.preview.says != "")
    assert over.preview.says.startswith("The document wasn't finished: its process ended")
    take(window, PAGES)
    assert over.preview.title.startswith("Room list")


def test_without_documents_it_says_so(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    window = opened(small)
    stage = come(window, (), monkeypatch)
    assert stage._says.text() == "There are no documents to hand over yet."
    assert not stage.save_button.isEnabled()
    assert not stage.all_button.isEnabled()
    QTest.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert not window.hand_over.saving.is_busy


# -- what is chosen, without a window -------------------------------------------------------------------------------


def test_what_is_gone_is_chosen_no_longer() -> None:
    document = Document.memory(small_home())
    chosen = Chosen(form="docx", subject="P999", storey="G9", scale=33.0, earlier=99)
    assert fit_for(PAGES, chosen, document) == Chosen(form="pdf")
    document.close()


def test_moments_are_marks_and_the_ends_of_days() -> None:
    document = Document.memory(small_home())
    assert usual(PAGES, document) == Chosen(form="pdf")
    document.mark("as found")
    document.do(verbs.edit(document.home, "home", "", name="Changed"))
    assert usual(PAGES, document).earlier == document.marks()[0].seq
    assert usual(CARD, document).earlier == 0
    found = moments(document)
    assert found[0].name == "as found"
    assert document.at(found[0].seq).details.name == "Small house"
    assert all(moment.seq < document.revision for moment in found)
    document.close()


def test_subjects_are_named_as_people_say_them() -> None:
    home = small_home()
    found = dict(subjects(home, Memo(), "BDP"))
    assert len(found) == len(home.table(Board)) + len(home.table(Device)) + len(home.table(Point))
    assert found["Board A"] == "B1"
    assert "A1 Sockets" in found
    assert any(words.startswith("light P") and words.endswith("Kitchen") for words in found)


@pytest.mark.parametrize(
    "name",
    ["a/b\\c:d*e?f", "=HYPERLINK(1)", "\u202eright to left", "🏠 home", "x" * 300, "..", "con", " . "],
)
def test_names_of_files_are_fit_for_any_file_system(name: str, tmp_path: Path) -> None:
    home = Home.blank(name)
    stem = file_stem(PAGES, Chosen(form="pdf"), home, today())
    assert len(stem) <= 90
    assert not set(stem) & set('/\\:*?"<>|\n\t\0')
    (tmp_path / f"{stem}.pdf").write_text("as it is")
    assert [path.name for path in tmp_path.iterdir()] == [f"{stem}.pdf"]
    assert stem.endswith(today().isoformat())
