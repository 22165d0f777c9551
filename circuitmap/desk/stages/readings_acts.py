"""What can be done in the Readings stage, by key, menu and search."""

from typing import TYPE_CHECKING

from circuitmap.desk.actions import Act

if TYPE_CHECKING:
    from circuitmap.desk.stages.readings import ReadingsStage


def acts_of(stage: "ReadingsStage") -> list[Act]:
    """Give the actions of the stage."""

    def is_on() -> bool:
        return stage.is_on

    return [
        Act("readings-go-on", "Type the &next reading", "Readings", stage.go_on, "Ctrl+G",
            "Open the cell of the first reading that is still to be taken", is_on, also=("grid", "enter", "value")),
        Act("readings-next-test", "Next &test", "Readings", stage.next_group, "Alt+Right",
            "Go to the next test of this way", is_on, also=("step", "sweep")),
        Act("readings-last-test", "Test &before", "Readings", stage.previous_group, "Alt+Left",
            "Go to the test before this one", is_on, also=("step", "sweep")),
        Act("readings-before", "Read as found, before the &work", "Readings", stage.read_before, "",
            "Readings go into the column before the work", is_on,
            checked=lambda: stage.recorder.side == "before", also=("visit",)),
        Act("readings-after", "Read as left, &after the work", "Readings", stage.read_after, "",
            "Readings go into the column after the work", is_on,
            checked=lambda: stage.recorder.side == "after", also=("visit",)),
        Act("readings-prove", "&Prove the meter…", "Readings", stage.meter.ask, "Ctrl+M",
            "Short the leads and write down what it shows", is_on, also=("leads", "null", "subtract", "instrument")),
        Act("readings-grid", "&Grid of readings", "Readings", stage.show_grid, "Alt+1", "", is_on),
        Act("readings-chart", "Readings against the &map", "Readings", stage.show_chart, "Alt+2", "", is_on,
            also=("chart", "predicted", "loop")),
        Act("readings-causes", "What the readings may &mean", "Readings", stage.show_causes, "Alt+3", "", is_on,
            also=("causes", "fault", "diagnosis", "next reading")),
        Act("readings-verdicts", "&Verdicts on the readings", "Readings", stage.show_verdicts, "Alt+4", "", is_on,
            also=("problems", "fails", "query")),
        Act("readings-leak", "Look for low &insulation", "Readings", stage.show_leak, "Alt+5",
            "Step by step: what to unplug, take off or open next", is_on, also=("leak", "megohms", "hunt", "damp")),
        Act("readings-order", "&Order round the ring", "Readings", stage.show_order, "Alt+6",
            "Draw the ring from two sweeps, part by part", is_on, also=("sweep", "infer", "spur", "sequence")),
    ]  # fmt: skip
