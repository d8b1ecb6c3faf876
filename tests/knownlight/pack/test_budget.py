"""Encoders side by side stay inside their memory; a stop ends waiting."""

import threading

import pytest

from knownlight.errors import Cancelled
from knownlight.ffmpeg import Stop
from knownlight.frame.format import parse_signal_format
from knownlight.pack.budget import MemoryBudget, encoder_bytes

_WAIT = 0.3  # seconds; long enough for a thread to start


def test_two_large_encoders_take_turns_and_small_ones_do_not() -> None:
    """With two jobs, a second 2160p encoder waits for the first; a 720p one does not."""
    budget = MemoryBudget(2)
    large, small = parse_signal_format("2160p60-pq"), parse_signal_format("720p60-sdr")
    entered: list[str] = []

    def enter(name: str, height: str) -> None:
        with budget.held(parse_signal_format(height), Stop()):
            entered.append(name)

    with budget.held(large, Stop()):
        waiting = threading.Thread(target=enter, args=("large", "2160p60-pq"))
        waiting.start()
        quick = threading.Thread(target=enter, args=("small", "720p60-sdr"))
        quick.start()
        quick.join(timeout=5)
        waiting.join(timeout=_WAIT)
        before = list(entered)
    waiting.join(timeout=5)

    assert encoder_bytes(small) < encoder_bytes(large)
    assert ["small"] == before
    assert ["small", "large"] == entered


def test_an_encoder_larger_than_the_budget_runs_alone() -> None:
    """8K asks for more than two jobs have, and still runs."""
    signal = parse_signal_format("4320p60-pq")
    budget = MemoryBudget(1)
    with budget.held(signal, Stop()):
        pass
    with budget.held(signal, Stop()):
        entered = True

    assert entered


def test_a_stop_ends_waiting() -> None:
    """Who waits for room is told of a stop."""
    signal = parse_signal_format("2160p60-pq")
    budget, stop = MemoryBudget(1), Stop()
    stop.ask()
    with budget.held(signal, Stop()), pytest.raises(Cancelled), budget.held(signal, stop):
        pytest.fail("there was no room")
