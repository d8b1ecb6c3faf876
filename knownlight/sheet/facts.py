"""What a file is, in labels and values: its light, its codes, its faults and what it declares."""

from collections.abc import Iterator, Sequence

import numpy as np

from knownlight.metadata.light import LUMINANCE_UNITS
from knownlight.pack.manifest_entries import ClaimEntry, ClipEntry, Declared, StressEntry
from knownlight.pack.recheck import signal_of
from knownlight.signal.encoding import HLG_PEAK, SDR_WHITE, Transfer
from knownlight.stress.labels import BLOCK
from knownlight.stress.poor import GENERATIONS, LOOP_FILTER, MEGABITS, SEVERITY, SPLIT

Fact = tuple[str, str]
_FEW = 4  # codes that are told one by one; more stand beside their regions
_MEGA = 1e6
_ON_DISPLAY = {  # PQ needs no display to be light
    Transfer.SDR: f" of a white of {SDR_WHITE:g}",
    Transfer.SRGB: f" of a white of {SDR_WHITE:g}",
    Transfer.HLG: f" of a peak of {HLG_PEAK:g}",
    Transfer.PQ: "",
}

_PRIMARIES = {  # as their recommendations are called
    "bt709": "BT.709",
    "bt601-625": "BT.601 of 625 lines",
    "bt601-525": "BT.601 of 525 lines",
    "p3-d65": "P3-D65",
    "bt2020": "BT.2020",
}


def exactness_words(entry: ClipEntry) -> str:
    """How near its pixels are to the drawn ones."""
    if entry.exactness.kind == "exact":
        return "exact"
    if entry.exactness.kind == "degraded":
        return "faults on purpose"
    return f"within {entry.exactness.limit} code{'' if entry.exactness.limit == 1 else 's'}"


def facts(entry: ClipEntry, measured: Sequence[ClaimEntry]) -> list[Fact]:
    """Label and value, in the order to read them. measured: the regions to measure."""
    return [*_of_picture(entry), *_of_codes(entry, measured), *_of_file(entry), *_of_faults(entry.stress)]


def _of_picture(entry: ClipEntry) -> Iterator[Fact]:
    light, where = entry.light, _ON_DISPLAY[signal_of(entry).transfer]
    if "area_percent" in entry.notes:
        yield "Area", f"{_figure(entry.notes['area_percent'], 3)} % of the screen"
    yield "APL", f"{_figure(light.apl_percent, 3)} % of signal"
    fall, most = (f"{_figure(value, 4)} cd/m²{where}" for value in (light.fall, light.max_fall))
    yield from [("FALL, MaxFALL", fall)] if fall == most else [("FALL", fall), ("MaxFALL", most)]
    yield "MaxCLL", f"{_figure(light.max_cll, 5)} cd/m²{where}"


def _figure(value: float, digits: int) -> str:
    """Significant digits, never with an exponent."""
    return np.format_float_positional(value, precision=digits, fractional=False, trim="-")


def _of_codes(entry: ClipEntry, measured: Sequence[ClaimEntry]) -> Iterator[Fact]:
    signal = signal_of(entry)
    yield (
        "Coding",
        f"{signal.components.value.upper()}, {signal.depth} bits, {signal.code_range.value} range, "
        f"{_PRIMARIES[signal.container_primaries.name]}",
    )
    codes = list(dict.fromkeys(claim.code for claim in measured))
    if codes and len(codes) <= _FEW:
        greys = all(code == signal.encoding.grey(code[0]) for code in codes)
        yield "Codes", ", ".join(str(code[0]) if greys else "/".join(map(str, code)) for code in codes)


def _of_file(entry: ClipEntry) -> Iterator[Fact]:
    if entry.level:
        yield "Codec level", entry.level
    if entry.sound is not None and entry.sound.beeps:
        late = (
            f", {entry.sound.offset_ms:.3g} ms from their pictures at most" if entry.sound.offset_ms else ""
        )
        yield "Sound", f"{entry.sound.beeps} beeps of 1 kHz{late}"
    if entry.declared.on_purpose:
        yield "Declares", f"{_declared_words(entry.declared)}: on purpose"


def _declared_words(declared: Declared) -> str:
    words = []
    if declared.mastering is not None:
        peak = declared.mastering.max_luminance / LUMINANCE_UNITS
        words.append(f"mastering display of {peak:g} cd/m²")
    if declared.max_cll is not None:
        words += [f"MaxCLL {declared.max_cll}", f"MaxFALL {declared.max_fall} cd/m²"]
    return ", ".join(words) or "no light levels"


def _of_faults(stress: StressEntry | None) -> Iterator[Fact]:
    """Words where the figures earn one; figures of the part that has most of it."""
    if stress is None:
        return
    if stress.asked:
        yield "Coded", _asked_words(stress)
    yield "Rate", f"{stress.bits_per_second / _MEGA:.3g} Mb/s"
    ratios = [grid.ratio for area in stress.areas for grid in area.grids if grid.period == BLOCK]
    if ratios:
        yield "Blocking", _labelled(stress.blocking, f"{max(ratios):.3g} times the rest, at {BLOCK} pixels")
    if stress.cambi is not None:
        yield "Banding", _labelled(stress.banding, f"CAMBI {stress.cambi:.3g}")
    if stress.areas:
        jump = max(area.largest_jump for area in stress.areas)
        yield "Jumps", _labelled(stress.jumping, f"{jump:.3g} codes of 8 bits at most")


def _asked_words(stress: StressEntry) -> str:
    asked = stress.asked
    words = [f"{asked[SEVERITY]} blocks"] if SEVERITY in asked else []
    if MEGABITS in asked:
        words.append(f"at {asked[MEGABITS]:g} Mb/s")
    if asked.get(GENERATIONS, 1) != 1:
        words.append("twice, by two coders")
    if asked.get(LOOP_FILTER) == "off":
        words.append("loop filter off")
    if SPLIT in asked:
        words.append(f"beside the clean picture, by {asked[SPLIT]}")
    return ", ".join(words)


def _labelled(label: str | None, figure: str) -> str:
    return figure if label is None else f"{label} ({figure})"
