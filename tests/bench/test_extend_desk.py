"""The bench of the Extend stage runs and notes every act; its times are for the bench, not for a test."""

from tests.bench.extend_desk import run


def test_every_act_of_the_stage_is_timed(qapp: object) -> None:
    bench = run(1)
    try:
        assert {"wish", "point at a card", "open a card", "pick a way", "put on the map", "undo", "done"} <= set(
            bench.took
        )
    finally:
        bench.window.close()
