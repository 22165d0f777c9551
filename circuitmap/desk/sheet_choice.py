"""Which of several plans under one storey is meant: the one that is scaled, straightened and outlined."""

from PySide6.QtWidgets import QComboBox, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.stages.bring_in import has_scale, sheets_of
from circuitmap.desk.theme import TARGET_PX
from circuitmap.home.records import Sheet
from circuitmap.pictures.info import format_name


class SheetChoice(QComboBox):
    """A list of the plans under the storey, there only while there are several."""

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self.setObjectName("sheet-choice")
        self.setAccessibleName("Plan that the scale and the straightening are for")
        self.setToolTip("Several plans lie under this storey: choose the one to scale, straighten or outline")
        self.setMinimumHeight(TARGET_PX)
        self.activated.connect(self._on_chosen)
        for signal in (adapter.changed, adapter.storey_changed, adapter.sheet_changed):
            signal.connect(self._fill)
        self._fill()

    def _fill(self, *_: object) -> None:
        sheets = sheets_of(self._adapter.home, self._adapter.storey)
        wanted = [(f"Plan {n}: {_said(sheet)}", sheet.id) for n, sheet in enumerate(sheets, 1)]
        if wanted != [(self.itemText(n), self.itemData(n)) for n in range(self.count())]:
            self.clear()
            for words, sheet in wanted:
                self.addItem(words, sheet)
        chosen = self._adapter.sheet
        self.setCurrentIndex(self.findData(chosen.id) if chosen is not None else -1)
        self.setVisible(len(sheets) > 1)

    def _on_chosen(self, row: int) -> None:
        self._adapter.show(str(self.itemData(row)))


def _said(sheet: Sheet) -> str:
    page = f", page {sheet.page}" if sheet.page > 1 else ""
    scale = sheet.scale_note if has_scale(sheet) else "not to scale yet"
    return f"{format_name(sheet.media)}{page}, {scale}"
