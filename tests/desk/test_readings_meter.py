"""The meter is proved once a visit, before its first reading through the leads; it holds up recording, nothing else."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from circuitmap.desk.readings_model import BEFORE
from circuitmap.desk.window import Window
from circuitmap.home import verbs
from circuitmap.home.records import Instrument, Reading
from tests.desk.conftest import Opened
from tests.desk.driving import click, settle
from tests.desk.meter_home import MeterHome, enter, key, read_way, readings


@pytest.fixture
def home() -> MeterHome:
    return MeterHome()


def checks(window: Window) -> list[Reading]:
    return [each for each in window.adapter.home.sorted(Reading) if each.test == "lead check"]


def asks(window: Window) -> bool:
    return window.readings_stage.meter.is_asking


def test_the_proof_is_asked_once_and_what_was_typed_waits_in_its_cell(opened: Opened, home: MeterHome) -> None:
    home.with_meter()
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    assert not asks(window), "nothing is asked before there is anything to record"
    enter("0.21")
    assert asks(window)
    assert readings(window) == []
    assert stage.model.data(stage.model.index(0, BEFORE)) == "0.21"
    assert QApplication.focusWidget() is stage.meter.shorted
    enter("0.01")
    assert not asks(window)
    assert stage.grid.editor is not None, "back in the cell, with the text"
    key(Qt.Key.Key_Return)
    enter("0.22")
    window.readings_stage.show_group("ends")
    stage.grid.go_to(0)
    enter("0.42")
    settle()
    assert [each.typed for each in readings(window)] == ["0.21", "0.22", "0.42"]
    assert len(checks(window)) == 1
    assert "proved" in stage.meter.words


def test_esc_goes_back_to_the_grid_and_the_text_goes_on_waiting(opened: Opened, home: MeterHome) -> None:
    home.with_meter()
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    enter("0.21")
    key(Qt.Key.Key_Escape)
    stage = window.readings_stage
    assert not asks(window)
    assert QApplication.focusWidget() is stage.grid
    assert stage.model.held_text(0) == "0.21"


def test_a_meter_that_reads_too_much_is_nulled_or_subtracted(opened: Opened, home: MeterHome) -> None:
    home.with_meter(leads_ohm=None)
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    enter("0.33")
    enter("0.12")
    assert asks(window)
    assert "0.12 Ω" in stage.meter.why
    click(window, stage.meter.subtract)
    assert not asks(window)
    key(Qt.Key.Key_Return)
    settle()
    (taken,) = readings(window)
    assert (taken.value_si, taken.leads_ohm) == (0.33, 0.12)
    assert stage.model.data(stage.model.index(0, BEFORE)) == "0.21"


def test_leads_once_nulled_and_added_to_later_are_subtracted_too(opened: Opened, home: MeterHome) -> None:
    home.with_meter(leads_ohm=0.0)
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    enter("0.33")
    enter("0.12")
    click(window, stage.meter.subtract)
    assert not asks(window)
    assert stage.recorder.unproved == ""


def test_nulling_asks_to_short_the_leads_again(opened: Opened, home: MeterHome) -> None:
    home.with_meter(leads_ohm=None)
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    enter("0.33")
    enter("0.12")
    click(window, stage.meter.nulled)
    assert asks(window)
    enter("0.00")
    assert not asks(window)
    assert "leads nulled, proved" in stage.meter.words


def test_it_can_be_put_off_with_a_note_that_stands_on_record(opened: Opened, home: MeterHome) -> None:
    home.with_meter()
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    enter("0.21")
    stage.meter.note.setFocus()
    enter("leads in the van")
    assert not asks(window)
    key(Qt.Key.Key_Return)
    enter("0.22")
    settle()
    assert [each.typed for each in readings(window)] == ["0.21", "0.22"]
    assert [each.not_possible for each in checks(window)] == ["put off, leads in the van"]
    assert "proof put off" in stage.meter.words
    assert "has not been proved on this visit (put off, leads in the van)" in " ".join(stage.said.sentences)


def test_nonsense_for_the_shorted_leads_is_a_sentence(opened: Opened, home: MeterHome) -> None:
    home.with_meter()
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    enter("0.21")
    enter("nothing")
    stage = window.readings_stage
    assert asks(window)
    assert "leads shorted" in stage.meter.why
    assert checks(window) == []


def test_without_a_meter_its_name_is_asked_first(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    enter("0.21")
    assert QApplication.focusWidget() is stage.meter.name
    enter("MF 2")
    assert QApplication.focusWidget() is stage.meter.shorted
    enter("0.00")
    key(Qt.Key.Key_Return)
    settle()
    (taken,) = readings(window)
    assert window.adapter.home.take(Instrument, taken.instrument or "").name == "MF 2"


def test_a_second_meter_is_proved_for_itself(opened: Opened, home: MeterHome) -> None:
    first = home.with_meter()
    other = home.do(verbs.add_meter(home.home, "MF 3"))
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    stage.recorder.set_meter(first)
    enter("0.21")
    enter("0.00")
    key(Qt.Key.Key_Return)
    stage.recorder.set_meter(other)
    settle()
    stage.grid.setFocus()
    enter("0.22")
    assert asks(window)
    assert "MF 3" in stage.meter.why


def test_what_is_known_of_the_meter_is_typed_and_nonsense_is_refused(opened: Opened, home: MeterHome) -> None:
    meter = home.with_meter()
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    click(window, stage.meter.opener)
    for field, text in ((stage.meter.accuracy, "2 %"), (stage.meter.digit, "0.1"), (stage.meter.most, "20"),
                        (stage.meter.most_mohm, "200"), (stage.meter.copper, "12")):  # fmt: skip
        field.setFocus()
        field.selectAll()
        enter(text)
    settle()
    record = window.adapter.home.take(Instrument, meter)
    assert (record.accuracy_fraction, record.resolution_ohm, record.most_ohm) == (0.02, 0.1, 20)
    assert record.most_insulation_ohm == 200e6
    assert stage.recorder.copper_c == 12
    assert "±2 %" in stage.meter.words
    assert "copper 12 °C" in stage.meter.words
    for field, text in ((stage.meter.accuracy, "a lot"), (stage.meter.copper, "900"), (stage.meter.digit, "3 m")):
        field.setFocus()
        field.selectAll()
        enter(text)
    settle()
    assert window.adapter.home.take(Instrument, meter) == record
    assert stage.recorder.copper_c == 12


def test_how_warm_the_copper_is_goes_with_the_reading_and_into_what_is_expected(
    opened: Opened, home: MeterHome
) -> None:
    home.with_meter()
    window = opened(home.home)
    read_way(window, home.ring, "ends")
    stage = window.readings_stage
    cold = float(str(stage.model.data(stage.model.index(0, 3))))
    stage.recorder.set_copper(70.0)
    settle()
    assert float(str(stage.model.data(stage.model.index(0, 3)))) == pytest.approx(1.2 * cold, abs=0.01)  # α = 0.4 %/K
    enter("0.5")
    enter("0.00")
    key(Qt.Key.Key_Return)
    assert readings(window)[0].copper_c == 70.0


def test_reading_by_a_plug_in_the_front_is_on_record_with_every_socket_read_so(opened: Opened, home: MeterHome) -> None:
    home.with_meter()
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    window.readings_stage.recorder.set_by_plug(True)
    settle()
    enter("0.21")
    enter("0.00")  # the meter's proof
    key(Qt.Key.Key_Return)
    enter("0.22")
    enter("0.23")
    held = [reading for reading in readings(window) if reading.test == "linked"]
    assert len(held) > 1
    assert [each.by_plug for each in held] == [each.at is not None and each.at[0] == "P" for each in held]
    assert any(each.by_plug for each in held)
