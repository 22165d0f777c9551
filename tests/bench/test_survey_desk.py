"""The bench of the survey's window runs and notes every act; its times are for the bench, not for a test."""

import gc

from tests.bench.survey_desk import run


def test_every_act_of_a_survey_is_timed(qapp: object) -> None:
    before = gc.get_threshold()
    bench = run("gentle", 1, ways=4, points=12, timed=2)
    try:
        assert {"begin the look", "put down", "agree", "switch off", "answer", "power back"} <= bench.took.keys()
    finally:
        bench.window.close()
        gc.set_threshold(*before)
        gc.unfreeze()
