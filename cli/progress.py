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

from knownlight.pack.progress import Event, Stage

_WORDS = {
    Stage.ENCODING: "encoding",
    Stage.PROVING: "proving",
    Stage.PROVEN: "proven",
    Stage.COPYING: "copying",
    Stage.CHECKING: "reading back",
    Stage.DONE: "written",
    Stage.REUSED: "proven before",
    Stage.FAILED: "FAILED",
}


_LAST = (Stage.DONE, Stage.REUSED, Stage.FAILED)
_OF_BYTES = (Stage.COPYING, Stage.CHECKING)
_MEGABYTE = 1_000_000


class Watch:
    """Shows events; used as a context."""

    def __init__(self, jobs: int) -> None:
        self._lock = threading.Lock()
        self._lines: dict[str, tuple[TaskID, float, Stage]] = {}
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
            if event.stage in _LAST:
                self._drop(event)
                self._progress.update(self._whole, advance=1)
                self._tell(event)
            elif event.stage is Stage.PROVEN:
                self._drop(event)
            else:
                self._move(event)

    def _move(self, event: Event) -> None:
        task, started, stage = self._lines.get(event.job.id, (None, 0.0, event.stage))
        if task is None:
            task = self._progress.add_task(event.job.id, total=None, rate="")
        if not started or event.done == 0 or stage is not event.stage:
            started = time.monotonic()  # a new pass: its rate and time left are its own
            self._progress.reset(task)
        self._lines[event.job.id] = (task, started, event.stage)
        unit, words = (_MEGABYTE, "MB/s") if event.stage in _OF_BYTES else (1, "frames/s")
        elapsed = time.monotonic() - started
        rate = f"{event.done / unit / elapsed:.1f} {words}" if event.done and elapsed > 0 else ""
        self._progress.update(
            task,
            description=f"{event.job.id}: {_WORDS[event.stage]}",
            completed=-(-event.done // unit),
            total=-(-event.total // unit) or None,
            rate=rate,
        )

    def _drop(self, event: Event) -> None:
        line = self._lines.pop(event.job.id, None)
        if line is not None:
            self._progress.remove_task(line[0])

    def _tell(self, event: Event) -> None:
        if not self._progress.disable:
            self._progress.console.print(f"{_WORDS[event.stage]:>13}  {event.job.file}", highlight=False)
