"""The sheet's own words: how to set up, what to note, and what a chapter as a whole asks for.

They are general practice of measuring and judging displays. Where no standard is named it is common practice,
no source; standards, the meter's own instructions and the rules of the place come first: the sheet says so.
"""

from collections.abc import Sequence

from knownlight.pack.manifest_entries import ClipEntry
from knownlight.pack.recheck import signal_of
from knownlight.sheet.model import Question
from knownlight.stress.labels import Severity

KINDS = {"sdr": "SDR", "srgb": "sRGB", "pq": "PQ", "hlg": "HLG"}  # of signals, in the order of a table

# common practice, no source: thirty minutes, ten minutes of adaptation, rests as long as what was shown
STEPS: tuple[tuple[str, str], ...] = (
    (
        "Warm up",
        "Let the set run for half an hour on ordinary moving pictures, and the meter for as long as its own "
        "instructions say. What is read before that drifts.",
    ),
    (
        "Note the set and its input",
        "Model, firmware, which input, and how that input is set. Play from the input that you mean to "
        "judge: another one may treat the same file differently.",
    ),
    (
        "Choose a picture mode and leave it",
        "Note its name and every setting that is not as the maker left it. Most sets keep one mode for each "
        "kind of signal: look again whenever SDR, PQ and HLG change.",
    ),
    (
        "Switch off what changes light by itself",
        "Energy saving, the sensor of room light and automatic brightness alter what you read. Where you "
        "keep them on because that is what you judge, note it.",
    ),
    (
        "Set the room",
        "Read the meter in the dark, or keep the light the same and note it; none may fall on the screen. "
        "Before dark pictures, give your eyes ten minutes without light, or without any bright screen.",
    ),
    (
        "Place the meter",
        "On the centre of the region, square to the screen, and seeing nothing but the region. One that "
        "touches the screen rests on it without pressing; one that stands off keeps the distance that its "
        "instructions give. Note which, and how far.",
    ),
    (
        "Read",
        "Wait until the figure stands; dark regions take longer. Where the sheet asks for a figure at once "
        "and later, they are readings 1, 2 and so on of the same region. Enter leads to the next region.",
    ),
    (
        "Let the set rest",
        "After a bright picture show dark or moving ones for as long as it was on. Sets dim themselves after "
        "bright pictures, and the next reading would show the last clip, not this one.",
    ),
    (
        "Targets",
        "They follow from the codes in the file, not from round figures: SDR by BT.1886 with the white and "
        "black that you give, PQ absolute, HLG by the system gamma of the peak. Read white and black first.",
    ),
    (
        "Small pictures",
        "They are tone-mapped for an ordinary screen: for finding your place, never for measuring.",
    ),
    (
        "Cautions",
        "They stand beside the clip that they belong to. Standards, the meter's instructions and the rules "
        "of the place come before this sheet. Stop at once where anybody feels unwell.",
    ),
)

QUESTIONS: tuple[Question, ...] = (
    Question(key="display", label="Set", hint="Maker, model and size"),
    Question(key="firmware", label="Firmware", hint="Version, as its menu has it"),
    Question(
        key="input", label="Input and player", hint="USB, or which HDMI and what plays; how the input is set"
    ),
    Question(key="picture-mode", label="Picture mode", hint="One for each kind of signal: SDR, PQ, HLG"),
    Question(key="settings", label="Settings changed", hint="Everything that is not as the maker left it"),
    Question(key="automatics", label="Energy saving and light sensor", hint="Off, or which are on"),
    Question(key="warm-up", label="Warm-up", hint="Minutes that the set ran before the first reading"),
    Question(
        key="room-light", label="Room light", hint="Dark, or what light, and how bright on the wall behind"
    ),
    Question(key="meter", label="Meter", hint="Which, with which correction for this kind of panel"),
    Question(key="distance", label="Meter distance and place", hint="On the glass, or centimetres from it"),
    Question(key="viewing", label="Viewing distance", hint="Metres, or picture heights"),
)

_DARK_LUMINANCE = 20.0  # cd/m² of the brightest pixel; common practice, no source
_DARK_SHARE = 0.5  # of a chapter's clips


def chapter_words(entries: Sequence[ClipEntry]) -> list[str]:
    """What the files of a chapter ask for beyond their own words: only what follows from their data."""
    words = []
    regions = [sum(claim.measure for claim in entry.claims) for entry in entries]
    if any(regions):
        clips = sum(count > 0 for count in regions)
        words.append(
            f"{_count(sum(regions), 'region')} to measure in {_count(clips, 'file')}: place the meter first."
        )
    dark = sum(entry.light.max_cll <= _DARK_LUMINANCE for entry in entries)
    if dark and dark >= _DARK_SHARE * len(entries):
        words.append("Dark pictures: put out the light and let your eyes get used to it, ten minutes.")
    if any(_has_faults_on_purpose(entry) for entry in entries):
        words.append(
            "Faults on purpose: does the set smooth the blocks, keep them or make them plainer, and from how "
            "far away do they no longer show? Note it for each, and what of the rest is lost with them."
        )
    if any(entry.sound is not None and entry.sound.beeps for entry in entries):
        words.append("Sound on: judge it by the loudspeakers and the way that you listen with.")
    if any(entry.declared.on_purpose for entry in entries):
        words.append(
            "Some files declare other light levels than they hold, on purpose: compare what the set makes of "
            "them."
        )
    kinds = list(dict.fromkeys(signal_of(entry).transfer.value for entry in entries))
    if len(kinds) > 1:
        words.append(
            f"The signal changes between {_listed([KINDS[kind] for kind in kinds])}: give the set a few "
            "seconds, and see that its picture mode is the one you mean."
        )
    return words


def _has_faults_on_purpose(entry: ClipEntry) -> bool:
    """Whether it was coded poorly, or holds faults exactly as they were drawn; fog is measured anyway."""
    stress = entry.stress
    if stress is None or entry.exactness.kind == "bounded":
        return False
    labels = {stress.blocking, stress.banding, stress.jumping} - {None, Severity.CLEAN.value}
    return entry.exactness.kind == "degraded" or bool(labels)


def _listed(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
