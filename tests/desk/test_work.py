"""Long work beside the window: results, sentences, stopping, and who may collect garbage meanwhile."""

import gc
import threading
import weakref
from functools import partial

from PySide6.QtCore import QThreadPool
from pytestqt.qtbot import QtBot

from circuitmap.desk.work import Work
from circuitmap.errors import QuantityError
from circuitmap.jobs import Ticket


def test_the_result_comes_back_to_the_window(qtbot: QtBot) -> None:
    work = Work(lambda _ticket: 6 * 7)
    with qtbot.waitSignal(work.done) as blocker:
        work.start()
    assert blocker.args == [42]


def test_what_the_person_caused_comes_back_as_a_sentence(qtbot: QtBot) -> None:
    def fail(_ticket: Ticket) -> object:
        raise QuantityError("3 bananas", "a length")

    work = Work(fail)
    with qtbot.waitSignal(work.failed) as blocker:
        work.start()
    assert blocker.args == ["“3 bananas” is not a length."]


def test_work_that_is_stopped_brings_nothing(qtbot: QtBot) -> None:
    begun = threading.Event()

    def endless(ticket: Ticket) -> object:
        while True:
            ticket.tick(0)
            begun.set()

    work = Work(endless)
    brought: list[object] = []
    work.done.connect(brought.append)
    work.start()
    assert begun.wait(5)
    work.stop()
    qtbot.waitUntil(gc.isenabled)
    assert brought == []


def test_garbage_waits_while_work_is_under_way_and_the_worker_never_collects(qtbot: QtBot) -> None:
    collected_in: set[int] = set()

    def watch(phase: str, _info: dict[str, int]) -> None:
        collected_in.add(threading.get_ident())

    def allocate(_ticket: Ticket) -> object:
        assert not gc.isenabled()
        for _ in range(20_000):
            loop: list[object] = []
            loop.append(loop)
        return threading.get_ident()

    gc.callbacks.append(watch)
    try:
        work = Work(allocate)
        with qtbot.waitSignal(work.done) as blocker:
            work.start()
        qtbot.waitUntil(gc.isenabled)
        gc.collect()
    finally:
        gc.callbacks.remove(watch)
    assert blocker.args[0] not in collected_in
    assert threading.get_ident() in collected_in


def test_what_was_worked_on_is_let_go_once_it_is_done(qtbot: QtBot) -> None:
    """A home with all that was worked out from it must not stay in memory for each piece of work."""

    class Heavy:
        pass

    heavy = Heavy()
    held = weakref.ref(heavy)
    done: list[object] = []
    work = Work(partial(_typed, heavy))
    work.done.connect(done.append)
    work.start()
    qtbot.waitUntil(lambda: done == ["Heavy"])
    del work, heavy
    QThreadPool.globalInstance().waitForDone()
    gc.collect()
    assert held() is None


def _typed(heavy: object, _ticket: Ticket) -> object:
    return type(heavy).__name__
