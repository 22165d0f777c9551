"""The Hand over stage: the documents of the home, what is chosen for the one on show, and the ways out of here."""

from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField
from circuitmap.desk.handing.choices import Choices
from circuitmap.desk.handing.listed import PaperList, sentence
from circuitmap.desk.handing.printing import NO_PRINTER, Printing
from circuitmap.desk.handing.saving import Saving
from circuitmap.desk.handing.showing import Showing
from circuitmap.desk.parts import Card, Label, Rule, add_row, button, column, form
from circuitmap.desk.scrolled import ScrolledCard
from circuitmap.desk.theme import TARGET_PX, Look
from circuitmap.errors import PersonError
from circuitmap.paper.catalogue import Paper

STAGE: Final = "hand over"
_NO_PAPERS: Final = "There are no documents to hand over yet."


class HandOverStage(QWidget):
    """The right-hand side while documents are handed over."""

    show_wanted = Signal()  # the preview is to be brought to the front

    def __init__(
        self, adapter: Adapter, look: Look, showing: Showing, saving: Saving, printing: Printing,
        papers: tuple[Paper, ...], parent: QWidget | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._adapter, self._showing, self._saving, self._printing = adapter, showing, saving, printing
        self.papers = papers
        self.setObjectName("hand-over-stage")
        self.setAccessibleName("Hand over")
        self.list = PaperList(papers, look, self)
        self._says = Label("" if papers else _NO_PAPERS, self, role="faint")
        self._chosen = ScrolledCard("What is chosen for the document", self)
        inside = QWidget(self._chosen.inside)
        self.choices = Choices(adapter, showing, inside)
        self._remarks = Card(inside)
        self._remarks_say = Label("", self._remarks)
        self._remarks.body.addWidget(self._remarks_say)
        self._remarks.hide()
        rows = QVBoxLayout(inside)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.choices)
        rows.addWidget(self._remarks)
        self._chosen.hold(inside)
        layout = column(self)
        layout.setContentsMargins(12, 8, 12, 8)
        layout.setSpacing(6)
        layout.addWidget(self.list, 1)
        layout.addWidget(self._says)
        layout.addWidget(self._chosen, 1)
        layout.addWidget(Rule(self))
        layout.addLayout(self._build_way_out())
        layout.addWidget(self._build_busy())
        self.list.chosen.connect(self._on_chosen)
        for signal in (showing.changed, showing.chosen_changed, saving.changed, printing.changed):
            signal.connect(self.refresh)
        for said in (saving.said, printing.said):
            said.connect(adapter.said)
        if papers:
            self.list.setCurrentRow(0)
        self.refresh()

    # -- building -----------------------------------------------------------------------------------------------

    def _build_way_out(self) -> QVBoxLayout:
        self.save_button = button("Save", self, strong=True)
        self.save_button.setObjectName("save-paper")
        self.save_button.clicked.connect(self.save)
        self.all_button = button("Save all", self)
        self.all_button.setObjectName("save-all-papers")
        self.all_button.setToolTip("Save every document, each as it is chosen, in a folder of its own")
        self.all_button.clicked.connect(self.save_all)
        self.print_button = button("Print", self)
        self.print_button.setObjectName("print-paper")
        self.print_button.clicked.connect(self.print_)
        buttons = QHBoxLayout()
        buttons.setSpacing(6)
        for each in (self.save_button, self.all_button, self.print_button):
            each.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            buttons.addWidget(each)
        self.folder = QLineEdit(self)
        self.folder.setObjectName("paper-folder")
        self.folder.setAccessibleName("Folder that documents are saved in")
        self.folder.setMinimumHeight(TARGET_PX)
        self.folder.editingFinished.connect(self._on_folder)
        self._other = button("Other…", self)
        self._other.setAccessibleName("Choose another folder")
        self._other.clicked.connect(self.choose_folder)
        into = QWidget(self)
        row = QHBoxLayout(into)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        row.addWidget(self.folder, 1)
        row.addWidget(self._other)
        self.printer = ChoiceField("Printer", (), self._printing.choose, self)
        self.printer.setObjectName("printer")
        self.printer.setMinimumHeight(TARGET_PX)
        fields = form()
        add_row(fields, "Into", into)
        add_row(fields, "Printer", self.printer)
        self._fields = fields
        self._no_printer = Label(NO_PRINTER, self, role="faint")
        out = QVBoxLayout()
        out.setSpacing(6)
        out.addLayout(fields)
        out.addWidget(self._no_printer)
        out.addLayout(buttons)
        return out

    def _build_busy(self) -> QWidget:
        self._busy = QWidget(self)
        self._busy_says = Label("", self._busy)
        self._progress = QProgressBar(self._busy)
        self._progress.setTextVisible(False)
        self._progress.setFixedHeight(8)
        self._progress.setAccessibleName("How far saving or printing is")
        self.stop_button = QPushButton("Stop", self._busy)
        self.stop_button.setAccessibleName("Stop saving or printing")
        self.stop_button.clicked.connect(self.stop)
        inside = QVBoxLayout(self._busy)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(4)
        row = QHBoxLayout()
        row.addWidget(self._busy_says, 1)
        row.addWidget(self.stop_button)
        inside.addLayout(row)
        inside.addWidget(self._progress)
        self._busy.hide()
        return self._busy

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def remarks(self) -> str:
        """What is said of the document on show."""
        return self._remarks_say.text() if not self._remarks.isHidden() else ""

    @property
    def busy_says(self) -> str:
        """How far saving or printing is, "" where neither is under way."""
        return self._busy_says.text() if not self._busy.isHidden() else ""

    def refresh(self) -> None:
        """Show what is remarked, what can be done, and how far it is."""
        showing, printing, saving = self._showing, self._printing, self._saving
        paper = showing.paper
        said = [remark for file in showing.made.files for remark in file.remarks] if showing.made is not None else []
        said += [f"Not made: {each}" for each in saving.not_made] if not saving.is_busy else []
        self._remarks_say.setText("\n".join(dict.fromkeys(said)))
        self._remarks.setVisible(bool(said))
        if not self.folder.isModified():
            self.folder.setText(str(saving.folder))
            self.folder.setToolTip(str(saving.folder))
            self.folder.setCursorPosition(len(str(saving.folder)))
        self.printer.offer([(name, name) for name in printing.names])
        self.printer.show_value(printing.chosen)
        self._fields.setRowVisible(self.printer, bool(printing.names))
        self._no_printer.setVisible(printing.is_known and not printing.names)
        is_busy = saving.is_busy or printing.is_busy
        self.save_button.setText(f"Save as {showing.chosen.form.upper()}" if paper is not None else "Save")
        self.save_button.setEnabled(self.can_save)
        self.all_button.setEnabled(bool(self.papers) and not is_busy)
        self.print_button.setEnabled(self.can_print)
        self._busy.setVisible(is_busy)
        if is_busy:
            words, done, total = saving.progress if saving.is_busy else printing.progress
            self._busy_says.setText(words)
            self._progress.setRange(0, total)
            self._progress.setValue(done)

    @property
    def can_save(self) -> bool:
        """Whether the document on show can be saved now."""
        is_refused = self._showing.is_settled and bool(self._showing.refusal)  # the sentence stands in its place
        is_busy = self._saving.is_busy or self._printing.is_busy
        return self._showing.paper is not None and not is_refused and not is_busy

    @property
    def can_print(self) -> bool:
        """Whether the document on show can be printed now: it has pages, and there is a printer."""
        made = self._showing.made
        has_pages = made is not None and any(file.pages_pt for file in made.files)
        return self.can_save and has_pages and bool(self._printing.chosen)

    # -- doing --------------------------------------------------------------------------------------------------

    def save(self) -> None:
        """Save the document on show in the folder."""
        if self.can_save and self._showing.paper is not None and self._on_folder():
            self._saving.save(self._showing.paper, self._showing.chosen)

    def save_all(self) -> None:
        """Save every document in a folder of its own."""
        if self.papers and not self._saving.is_busy and not self._printing.is_busy and self._on_folder():
            self._saving.save_all(self.papers)

    def print_(self) -> None:
        """Print the document on show."""
        if not self._printing.chosen:
            self._adapter.refuse(NO_PRINTER)
        elif self.can_print and self._showing.paper is not None:
            try:
                self._printing.print_(self._showing.wish(self._showing.paper, self._showing.chosen))
            except PersonError as error:
                self._adapter.refuse(str(error))

    def stop(self) -> None:
        """Stop saving or printing."""
        self._saving.stop()
        self._printing.stop()

    def choose_folder(self) -> None:
        """Ask for another folder."""
        found = QFileDialog.getExistingDirectory(self, "Folder for documents", str(self._saving.folder))
        if found:
            self.folder.setModified(False)
            self._saving.set_folder(found)

    def _on_folder(self) -> bool:
        """Take a folder that was typed; one that can't be one stays there to be put right."""
        if not self.folder.isModified():
            return True
        if not self._saving.set_folder(self.folder.text()):
            return False
        self.folder.setModified(False)
        self.refresh()
        return True

    def _on_chosen(self, paper: Paper) -> None:
        self._saving.not_made = []
        self._showing.look_at(paper)
        self._say_paper()
        self.choices.refresh()
        self.show_wanted.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Say in full what the row of the document has no room for."""
        super().resizeEvent(event)
        self._say_paper()

    def _say_paper(self) -> None:
        paper = self._showing.paper
        if paper is not None:
            self._says.setText(sentence(paper.says))
            self._says.setVisible(self.list.is_cut(paper))

    def keep_focus_on_list(self) -> None:
        """Put the keys on the list of documents."""
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)
