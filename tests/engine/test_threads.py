"""The time loop lets go of Python's lock: two ponds march at once in two threads."""

import threading
import time

import numpy as np

from pondsim.engine.initial import open_passages, start_state
from pondsim.engine.loop import STAGES, integrate, start_season
from pondsim.engine.model import build_model
from tests.engine.ponds import chain


def prepared(flow):
    scenario = chain((200.0, 300.0, 100.0), 2.0, flow, days=20.0)
    model = build_model(scenario)
    open_passages(scenario, model)
    return model, start_season(model, start_state(scenario, model), 0.01)


def marched(model, season, done=None):
    begun = time.perf_counter()
    integrate(model, STAGES, season, 0, model.forcing.time.size - 1, 1)
    if done is not None:
        done.append((begun, time.perf_counter()))


def test_two_ponds_march_at_once_and_do_not_disturb_each_other():
    """Both loops are under way at the same moment, and each ends as it does alone, to the last bit."""
    alone = [prepared(flow) for flow in (1e-3, 2e-3)]
    for model, season in alone:
        marched(model, season)
    done: list[tuple[float, float]] = []
    together = [prepared(flow) for flow in (1e-3, 2e-3)]
    threads = [threading.Thread(target=marched, args=(*case, done)) for case in together]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert max(begun for begun, _ in done) < min(ended for _, ended in done)
    for (_, one), (_, other) in zip(alone, together, strict=True):
        assert np.array_equal(one.kept, other.kept)
        assert one.count[1] > 100
