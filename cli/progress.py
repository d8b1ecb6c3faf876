"""Progress on a terminal: a line a file, with the encoder's real rate. Silent in a pipe."""

import sys
import threading
import time
from types import TracebackType
from typing import Self

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    TaskID,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)

from knownlight.pack.make import Event, Stage

_WORDS = {
    Stage.ENCODING: "encoding",
    Stage.PROVING: "proving",
    Stage.DONE: "proven",
    Stage.REUSED: "proven before",
    Stage.FAILED: "FAILED",
}


class Watch:
    """Shows events; used as a context."""

    def __init__(self, jobs: int) -> None:
        self._jobs = jobs
        self._lock = threading.Lock()
        self._lines: dict[str, tuple[TaskID, float]] = {}
        console = Console(file=sys.stderr)
        self._progress = Progress(
            TextColumn("{task.description}"),
            BarColumn(bar_width=24),
            MofNCompleteColumn(),
            TextColumn("{task.fields[rate]}"),
            TimeElapsedColumn(),
            TimeRemainingColumn(compact=True),
            TextColumn("left"),
            console=console,
            disable=not console.is_terminal,
        )
        self._whole = self._progress.add_task("files", total=jobs, rate="")

    def __enter__(self) -> Self:
        self._progress.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._progress.stop()

    def __call__(self, event: Event) -> None:
        """Take news from any thread."""
        with self._lock:
            if event.stage in (Stage.DONE, Stage.REUSED, Stage.FAILED):
                self._finish(event)
            else:
                self._move(event)

    def _move(self, event: Event) -> None:
        task, started = self._lines.get(event.job.id, (None, time.monotonic()))
        if task is None:
            task = self._progress.add_task(event.job.id, total=None, rate="")
            self._lines[event.job.id] = (task, started)
        if event.done == 0:  # a new pass: its rate and time left are its own
            self._lines[event.job.id] = (task, time.monotonic())
            self._progress.reset(task)
        elapsed = time.monotonic() - started
        rate = f"{event.done / elapsed:.1f} frames/s" if event.done and elapsed > 0 else ""
        self._progress.update(
            task,
            description=f"{event.job.id}: {_WORDS[event.stage]}",
            completed=event.done,
            total=event.total or None,
            rate=rate,
        )

    def _finish(self, event: Event) -> None:
        line = self._lines.pop(event.job.id, None)
        if line is not None:
            self._progress.remove_task(line[0])
        self._progress.update(self._whole, advance=1)
        if not self._progress.disable:
            self._progress.console.print(f"{_WORDS[event.stage]:>13}  {event.job.file}", highlight=False)
