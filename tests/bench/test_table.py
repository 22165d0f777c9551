"""How long the table of 5 000 points holds the window up; each act should stay within a quarter second."""

from itertools import cycle
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.table import PointTable
from circuitmap.desk.table_rows import ROOM
from circuitmap.desk.theme import Look
from circuitmap.home.document import Document
from tests.bench.blocks import block

Benchmark = Any  # pytest-benchmark ships no types


@pytest.fixture
def table(qapp: QApplication, qtbot: QtBot) -> tuple[Adapter, PointTable]:
    look = Look(qapp, "paper")
    adapter = Adapter(Document.memory(block(250, 20)), trade.load())
    made = PointTable(adapter, look)
    qtbot.addWidget(made)
    made.show()
    assert made.model.rowCount() == 5000
    return adapter, made


@pytest.mark.benchmark(group="table of 5000 points: one act")
@pytest.mark.parametrize("act", ["all chosen", "one chosen", "sorted by room", "filtered", "read again"])
def test_act(benchmark: Benchmark, table: tuple[Adapter, PointTable], act: str) -> None:
    adapter, made = table
    ids = [made.model.id_at(row) for row in range(made.model.rowCount())]
    header = made.view.horizontalHeader()
    # Every act has two turns, so that none finds the table already as it wants it.
    turn = cycle((True, False))

    def do() -> None:
        first = next(turn)
        if act == "all chosen":
            adapter.select(*(ids if first else ids[:1]))
        elif act == "one chosen":
            adapter.select(ids[2500 if first else 10])
        elif act == "sorted by room":
            header.setSortIndicator(ROOM, Qt.SortOrder.DescendingOrder if first else Qt.SortOrder.AscendingOrder)
        elif act == "filtered":
            made.filter.setText("P12" if first else "")
        else:
            made.model.refresh()
        QApplication.processEvents()

    benchmark.pedantic(do, rounds=6)
