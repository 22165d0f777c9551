"""Many suspicions at once read what one network after another reads."""

import random
from math import isfinite, log

import numpy as np
import pytest

from circuitmap.readings.arrays import CPC_MADE, MADE, OWN, base_of, read, setting_of, shared
from circuitmap.readings.links import linked
from circuitmap.readings.network import Network
from circuitmap.words import LinkKind
from tests.readings.planted import per_m
from tests.readings.wired import Wired, by_networkx, reference


def _ring(seed: int) -> tuple[Wired, list[str], Network]:
    rng = random.Random(seed)
    wired = Wired()
    points = wired.ring(*[rng.uniform(2, 9) for _ in range(rng.randint(4, 9))])
    points.append(wired.spur(points[1], 4))
    return wired, points, wired.network


@pytest.mark.parametrize("kind", ["cross", "one leg", "same leg"])
def test_a_circuit_as_drawn_reads_what_networkx_says(kind: LinkKind) -> None:
    """Independent: networkx.resistance_distance on the same linked network."""
    _, points, network = _ring(3)
    base = base_of(network, per_m(), 0.7)
    test = linked(network, kind, ("L", "E"))
    pairs = [(network.at[point, "L"], network.at[point, "E"]) for point in points]
    answers = read(base, shared(base, 2), [setting_of(base, test, pairs)], np.zeros((2, len(base.runs) + 3)))
    assert answers.ohm[0] == pytest.approx(by_networkx(test.network, pairs), rel=1e-6)
    assert answers.ohm[1] == pytest.approx(answers.ohm[0])


def test_several_tests_are_solved_side_by_side_and_what_is_not_joined_is_open() -> None:
    wired, points = reference()
    network = wired.network
    base = base_of(network, per_m(), 0.7)
    ends = linked(network, "end to end", ("L", "L"))
    loose = linked(network, None, ("L", "N"))
    settings = [
        setting_of(base, ends, [ends.at_board]),
        setting_of(base, loose, [(network.at[points[0], "L"], network.at[points[0], "N"])]),
    ]
    ohm = read(base, shared(base, 1), settings, np.zeros((1, len(base.runs) + 3))).ohm[0]
    assert ohm[0] == pytest.approx(0.4446)  # CHECKS: 60 m of 2.5 mm² at 7.41 mΩ/m, worked by hand
    assert ohm[1] == np.inf


def test_slopes_are_what_a_little_more_of_each_unknown_adds() -> None:
    """Independent: differences of the readings themselves."""
    _, points, network = _ring(5)
    base = base_of(network, per_m(), 0.7)
    test = linked(network, "cross", ("L", "E"))
    pairs = [(network.at[point, "L"], network.at[point, "E"]) for point in points]
    settings = [setting_of(base, test, pairs)]
    suspicions = shared(base, 1)
    spare = base.spare_edge("L")
    suspicions.a[0, spare], suspicions.b[0, spare] = network.at[points[0], "L"], network.at[points[2], "L"]
    suspicions.own_ohm[0, spare], suspicions.cut[0, spare] = 0.02, False
    at = np.full((1, len(base.runs) + 3), 0.05)
    slopes = read(base, suspicions, settings, at).slopes[0]
    step = 1e-5
    for unknown in (0, 2, MADE, CPC_MADE, OWN):
        more, less = at.copy(), at.copy()
        more[0, unknown] += step
        less[0, unknown] -= step
        up, down = (read(base, suspicions, settings, each).ohm[0] for each in (more, less))
        assert slopes[unknown] == pytest.approx((up - down) / (2 * step), rel=1e-4, abs=1e-7)


def test_a_cut_core_a_joint_and_a_bad_contact_read_as_edited_networks_do() -> None:
    wired, points = reference()
    network = wired.network
    base = base_of(network, per_m(), 0.7)
    test = linked(network, "cross", ("L", "N"))
    pairs = [(network.at[point, "L"], network.at[point, "N"]) for point in points]
    suspicions = shared(base, 3)
    edge = network.by_core[wired.on_way.runs[2].id, "L"][0]
    suspicions.cut[0, edge] = True
    suspicions.own_ohm[1, edge] = 1.0
    suspicions.touched[2] = 4
    at = np.zeros((3, len(base.runs) + 3))
    at[1, OWN] = log(0.5)
    at[2, OWN] = log(0.05)
    ohm = read(base, suspicions, [setting_of(base, test, pairs)], at).ohm
    assert ohm[0] == pytest.approx([0.4446] * 5, abs=1e-6)  # CHECKS 2b: one conductor open doubles every reading
    # By hand: loop of 0.8892 + 0.5 Ω; either way round from any point one side holds the joint: 0.9446·0.4446/1.3892.
    assert ohm[1] == pytest.approx([0.9446 * 0.4446 / 1.3892] * 5, abs=1e-6)
    assert ohm[2] == pytest.approx([0.2223] * 4 + [0.2723], abs=1e-6)


def test_a_run_without_a_length_gets_a_usual_one_and_a_wide_spread() -> None:
    wired = Wired()
    a, b = wired.point(), wired.point()
    wired.length(wired.way_id, a, None)
    wired.length(a, b, 6)
    base = base_of(wired.network, {"L": 0.04, "N": 0.04, "E": 0.06}, 0.7)
    assert base.spread[0] == 0.7
    assert base.spread[1] == pytest.approx(0.3 / 3**0.5)
    assert [float(ohm) for ohm in base.ohm[:3]] == [0.04, 0.04, 0.06]
    assert all(isfinite(each) for each in base.ohm)
