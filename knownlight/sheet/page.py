"""The run sheet as one HTML file: nothing beside it is needed, and nothing is fetched.

All words, targets and empty fields stand in the page itself; the script only adds to them.
"""

import base64
import hashlib
import json
import re
from collections.abc import Iterable
from importlib.resources import files
from typing import Any
from urllib.parse import quote

import jinja2
from markupsafe import Markup

from knownlight.safety.cautions import STATIC_HOLD
from knownlight.sheet.model import Card, Patch, SheetModel
from knownlight.sheet.wording import KINDS

MARKER = "<!-- knownlight run sheet -->"  # the second line of every run sheet: it tells ours from others

# In the order in which they are written into the page: each uses only those before it.
_SCRIPTS = (
    *("numbers.js", "targets.js", "figures.js", "checks.js", "csv.js", "store.js", "record.js"),
    *("exchange.js", "plot.js", "countdown.js", "dialog.js", "rows.js", "cards.js", "sets.js", "files.js"),
    "page.js",
)
_AREA = re.compile(r"(\d+)pct$")  # of a region that is a window of a sequence: window-010pct
_DIGITS, _MOST_DECIMALS = 4, 5  # of a luminance: more than a meter tells
_GRADES = (  # the five-grade impairment scale of ITU-R BT.500; from memory
    (5, "imperceptible"),
    (4, "perceptible, but not annoying"),
    (3, "slightly annoying"),
    (2, "annoying"),
    (1, "very annoying"),
)
_FITS_A_PAGE = 22  # rows of a clip's table that stay together in print


def page(model: SheetModel) -> str:
    """The text of START-HERE.html. Deterministic: the same model gives the same page."""
    folder = files("knownlight.sheet") / "template"

    def text(name: str) -> str:
        return (folder / name).read_text(encoding="utf-8")

    environment = jinja2.Environment(
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        loader=jinja2.FunctionLoader(text),
    )
    environment.filters |= {
        "luminance": luminance_text,
        "minutes": minutes_text,
        "date": _date,
        "link": _link,
        "plain": _plain_name,
        "figure": _figure,
    }
    style = text("sheet.css")
    script = '"use strict";\n' + "".join(text(name) for name in _SCRIPTS)
    return environment.get_template("sheet.html.j2").render(
        model=model,
        marker=Markup(MARKER),  # noqa: S704 - a constant
        style=_embedded(style),
        style_hash=_sha256(style),
        script=_embedded(script),
        script_hash=_sha256(script),
        data=_json(_data(model)),
        kinds=KINDS,
        kinds_here=_kinds_here(model),
        grades=_GRADES,
        static_hold=STATIC_HOLD,
        fits_a_page=_FITS_A_PAGE,
        shown=_shown,
    )


def luminance_text(luminance: float) -> str:
    """Cd/m² with four significant digits, five decimals at most; targets.js writes the same."""
    if luminance == 0.0:
        return "0"
    exponent = int(f"{luminance:.{_DIGITS - 1}e}".partition("e")[2])  # of the rounded value: 99.9999 is 100.0
    decimals = _DIGITS - 1 - exponent
    return f"{luminance:.{max(0, min(_MOST_DECIMALS, decimals))}f}"


def minutes_text(seconds: float) -> str:
    """A length as 20 s or 1:05 min."""
    if seconds < 60.0:  # noqa: PLR2004 - a minute
        return f"{seconds:g} s"
    return "{:.0f}:{:02.0f} min".format(*divmod(seconds, 60.0))


def _shown(cards: Iterable[Card]) -> list[Card]:
    """What has a card of its own: slates only say what follows."""
    return [card for card in cards if not card.is_slate]


def _kinds_here(model: SheetModel) -> list[str]:
    """Kinds of signal in the pack, in the order of their table."""
    here = {card.transfer for chapter in model.chapters for card in _shown(chapter.cards)}
    return [kind for kind in KINDS if kind in here]


def _data(model: SheetModel) -> dict[str, Any]:
    """What the script must know; words stay in the page. Light is told once for all clips that share it."""
    lights: dict[tuple[object, ...], int] = {}
    chapters = [
        {
            "name": chapter.name,
            "clips": [
                {
                    "id": card.id,
                    "file": card.file,
                    "signal": card.signal,
                    "light": lights.setdefault((card.transfer, card.to_xyz, card.weights), len(lights)),
                    "hold": card.hold_seconds,
                    "patches": [_patch(patch, card) for patch in card.patches],
                }
                for card in _shown(chapter.cards)
            ],
        }
        for chapter in model.chapters
    ]
    return {
        "pack": model.pack,
        "displays": {kind: {"peak": peak, "black": black} for kind, peak, black in model.displays},
        "questions": [question.key for question in model.questions],
        "lights": [
            {"transfer": transfer, "toXyz": to_xyz, "weights": weights}
            for transfer, to_xyz, weights in lights
        ],
        "chapters": chapters,
    }


def _patch(patch: Patch, card: Card) -> dict[str, Any]:
    named = _AREA.search(patch.name)
    return {
        "name": patch.name,
        "code": patch.code,
        "signal": patch.signal,
        "seconds": patch.seconds,
        "area": float(named[1]) if named else card.area_percent,
    }


def _json(data: object) -> Markup:
    """JSON that cannot end the element that it stands in, nor open a comment."""
    written = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    for sign in "<>&\u2028\u2029":
        written = written.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(written)  # noqa: S704 - no sign of markup is left


def _embedded(source: str) -> Markup:
    """A file of ours between the tags of its element, as it is."""
    assert "</s" not in source.lower()  # noqa: S101 - it would end the element
    return Markup(source)  # noqa: S704 - ours


def _sha256(source: str) -> str:
    """As a content security policy writes it."""
    return "sha256-" + base64.b64encode(hashlib.sha256(source.encode()).digest()).decode()


def _link(path: str) -> str:
    """A path inside the pack as a relative link."""
    return quote(path)


def _date(moment: str) -> str:
    """The day of a time in ISO 8601."""
    return moment.partition("T")[0]


def _plain_name(name: str) -> str:
    """A name for machines in words: static-hold is static hold."""
    return name.replace("-", " ")


def _figure(number: float) -> str:
    """A number as one writes it: 100, 0.05."""
    return f"{number:g}"
