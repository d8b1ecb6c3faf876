"""Chromium without a window: a page plays files, and a script in it tells what the browser knows.

It is spoken to over two pipes in the browser's own protocol: messages of JSON with a zero byte after each.
"""

import base64
import json
import os
import select
import shutil
import subprocess
import tempfile
import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar

from tests.players.told import NOT_OPENED, Asked, Colour, Told, is_middle

_SCRIPT = Path(__file__).with_name("chromium.js").read_text(encoding="utf-8")
_TIMEOUT = 60.0  # s; an answer takes less than two
_PATIENCE = 20_000  # ms that the page waits for each event
_SPEED = 16  # the fastest that it plays; it decodes every picture then but does not show each
_PAGE = "<!doctype html><title>ready</title><style>body{margin:0}img,video{width:100vw}</style><body></body>"
# The pipes are its file descriptors 3 and 4; it says much on the others that is of no interest.
_SHELL = 'exec "$@" 3<&0 4>&1 </dev/null >/dev/null 2>&1'


class Chromium:
    """The player."""

    name = "Chromium"
    # it tells a page neither; and pictures that it decodes but has no time to show are dropped at this speed
    silent = frozenset({"even", "rate", "scan", "chroma", "max_cll"})
    silent_of_stills = silent | {"pictures"}
    colours: ClassVar[Mapping[Colour, str]] = {
        Colour.BT709: "bt709 bt709 bt709 limited",
        Colour.BT601_625: "bt470bg smpte170m bt470bg limited",
        Colour.BT601_525: "smpte170m smpte170m smpte170m limited",
        Colour.PQ: "bt2020 pq bt2020-ncl limited",
        Colour.HLG: "bt2020 hlg bt2020-ncl limited",
        Colour.RGB_BT709: "bt709 bt709 rgb full",
        Colour.RGB_SRGB: "bt709 iec61966-2-1 rgb full",
        Colour.RGB_PQ: "bt2020 pq rgb full",
        Colour.RGB_HLG: "bt2020 hlg rgb full",
        Colour.LINEAR_BT709: "bt709 linear rgb full",
        Colour.LINEAR_BT2020: "bt2020 linear rgb full",
        Colour.JPEG_BT709: "bt709 bt709 rgb full",
        Colour.JPEG_SRGB: "bt709 iec61966-2-1 rgb full",
    }
    chroma: ClassVar[Mapping[bool, str]] = {False: "", True: ""}

    def __init__(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="chromium-", ignore_cleanup_errors=True)
        page = Path(self._folder.name) / "page.html"
        page.write_text(_PAGE, encoding="utf-8")
        self._number = 0
        self._read = b""
        self._process = subprocess.Popen(
            [
                *("sh", "-c", _SHELL, "sh", "chromium", "--headless=new", "--remote-debugging-pipe"),
                *("--no-sandbox", "--disable-gpu", "--mute-audio", "--disable-dev-shm-usage"),
                *("--autoplay-policy=no-user-gesture-required", "--allow-file-access-from-files"),
                *(f"--user-data-dir={self._folder.name}/profile", "about:blank"),
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        target = self._call("Target.createTarget", url=page.as_uri())["targetId"]
        self._session = self._call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        self._wait_until_ready()

    @staticmethod
    def missing() -> str:
        """Why it cannot be had here; empty where it can."""
        return "" if shutil.which("chromium") else "chromium is absent; Debian's chromium has it"

    def close(self) -> None:
        """End the browser."""
        self._process.terminate()
        self._process.wait(_TIMEOUT)
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe:
                pipe.close()
        self._folder.cleanup()

    def version(self) -> str:
        """Its version."""
        return str(self._call("Browser.getVersion")["product"]).partition("/")[2]

    def play(self, asked: Asked) -> Told:
        """Play a file to its end, then jump to its middle."""
        arguments = ", ".join(map(json.dumps, (asked.path.as_uri(), asked.still, _SPEED, _PATIENCE)))
        facts = self._evaluate(f"({_SCRIPT})({arguments})")
        if "error" in facts:
            return replace(NOT_OPENED, complaints=(str(facts["error"]),))
        colour = facts["colour"]
        middle = facts.get("middle")
        return Told(
            opened=True,
            ended=facts["ended"],
            pictures=facts.get("pictures"),
            seconds=facts.get("seconds"),
            size=f"{facts['width']}x{facts['height']}",
            shown=f"{facts['shownWidth']}x{facts['shownHeight']}",
            colour=f"{colour['primaries']} {colour['transfer']} {colour['matrix']} "
            + ("full" if colour["fullRange"] else "limited"),
            sound=facts.get("sound"),
            middle=middle is not None and is_middle(middle, asked),
        )

    def shown(self) -> bytes:
        """A PNG of the page as it is now: what was played last, as wide as the page."""
        return base64.b64decode(self._call("Page.captureScreenshot", self._session)["data"])

    def _wait_until_ready(self) -> None:
        until = time.monotonic() + _TIMEOUT
        while self._evaluate("document.title + document.readyState") != "readycomplete":
            if time.monotonic() > until:
                raise TimeoutError("the browser does not open its page")

    def _evaluate(self, expression: str) -> Any:
        """The value of an expression in the page."""
        answer = self._call(
            "Runtime.evaluate", self._session, expression=expression, awaitPromise=True, returnByValue=True
        )
        if "exceptionDetails" in answer:
            raise RuntimeError(str(answer["exceptionDetails"]))
        return answer["result"].get("value")

    def _call(self, method: str, session: str = "", **parameters: object) -> dict[str, Any]:
        self._number += 1
        message: dict[str, object] = {"id": self._number, "method": method, "params": parameters}
        if session:
            message["sessionId"] = session
        assert self._process.stdin
        self._process.stdin.write(json.dumps(message).encode() + b"\0")
        self._process.stdin.flush()
        while True:
            answer = json.loads(self._message())
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']['message']}")
                result: dict[str, Any] = answer["result"]
                return result

    def _message(self) -> bytes:
        """The next message; raises TimeoutError where none comes."""
        assert self._process.stdout
        until = time.monotonic() + _TIMEOUT
        while b"\0" not in self._read:
            ready, _, _ = select.select([self._process.stdout], [], [], max(0.0, until - time.monotonic()))
            if not ready:
                raise TimeoutError("the browser does not answer")
            self._read += os.read(self._process.stdout.fileno(), 1 << 20)
        message, _, self._read = self._read.partition(b"\0")
        return message
