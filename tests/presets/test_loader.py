"""Presets are read strictly, and what is wrong is named by file, key and remedy."""

from pathlib import Path

import pytest

from knownlight.errors import BadInput, CannotCarry
from knownlight.frame.sound import Sound
from presets.loader import Choice, clip_ids, jobs_of, load_pack, preset_names

_HEAD = """schema = 1
name = "mine"
title = "Mine"
summary = "Two clips."
signal = "720p24-pq"
seconds = 2
[[chapters]]
name = "light"
title = "Light"
answers = "How bright."
"""
_AT = r"mine\.toml: chapters\[0\]\.clips\[0\]"
_CLIP = """[[chapters.clips]]
id = "field"
pattern = "full-field"
look = "One grey."
parameters = { luminance = 100 }
"""


def _written(folder: Path, text: str) -> str:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("name", preset_names())
def test_every_preset_makes_jobs(name: str) -> None:
    """Every preset loads, bears its file's name, and every clip of it can be made as written."""
    pack = load_pack(name)

    assert name == pack.name
    assert clip_ids(pack) == [job.id for job in jobs_of(pack, Choice())]


def test_first_look_covers_the_job() -> None:
    """The first pack holds about twenty-five clips over the three kinds of signal, pans at 24, 60 and 120."""
    jobs = jobs_of(load_pack("first-look"), Choice())

    assert 22 <= len(jobs) <= 28
    assert {"sdr", "pq", "hlg"} == {job.signal.transfer.value for job in jobs}
    assert {2160} == {job.signal.height for job in jobs}
    assert {24, 60, 120} == {int(job.signal.rate) for job in jobs if job.pattern.name == "pan"}
    assert {
        "self-test",
        "window",
        "full-field",
        "grey-steps",
        "near-black",
        "ramp",
        "gradient",
        "checkerboard",
        "pan",
        "fog",
    } == {job.pattern.name for job in jobs}


def test_files_sort_in_play_order() -> None:
    """Within a chapter, names sort as the clips are to be played; numbers do not depend on the choice."""
    pack = load_pack("first-look")
    whole = {job.id: job.file for job in jobs_of(pack, Choice())}
    part = jobs_of(pack, Choice(only="grey-steps-*"))

    for chapter in pack.chapters:
        files = [whole[clip.id] for clip in chapter.clips]
        assert sorted(files) == files
    assert [whole[job.id] for job in part] == [job.file for job in part]


def test_a_choice_narrows() -> None:
    """`signal` and `only` narrow a pack; `size` changes the picture's height and nothing else."""
    pack = load_pack("first-look")

    assert {"2160p60-sdr"} == {job.signal.name for job in jobs_of(pack, Choice(signal="2160p60-sdr"))}
    assert ["fog-sdr"] == [job.id for job in jobs_of(pack, Choice(only="fog*"))]
    assert ["1080p24-sdr"] == [job.signal.name for job in jobs_of(pack, Choice(only="fog*", height=1080))]


def test_a_choice_of_nothing_lists_what_there_is() -> None:
    """A choice without a clip is refused with the signals and clips of the pack."""
    with pytest.raises(BadInput, match=r"has no clip of that choice; its signals are .*2160p60-pq.*fog-sdr"):
        jobs_of(load_pack("first-look"), Choice(only="nothing"))


def test_a_pack_of_ones_own_loads(tmp_path: Path) -> None:
    """A .toml file anywhere is a pack."""
    pack = load_pack(_written(tmp_path, _HEAD + _CLIP))

    assert ["010-light/010-field-100.mp4"] == [job.file for job in jobs_of(pack, Choice())]


@pytest.mark.parametrize(
    ("head", "clip", "expected"),
    [
        ("", "", Sound.SILENT),
        ('sound = "none"\n', "", Sound.NONE),
        ('sound = "none"\n', 'sound = "silent"\n', Sound.SILENT),
        ("", 'sound = "none"\n', Sound.NONE),
    ],
)
def test_sound_is_that_of_the_nearest(tmp_path: Path, head: str, clip: str, expected: Sound) -> None:
    """A clip's own, else its chapter's, else the pack's, else silent."""
    for text in (_HEAD + head + _CLIP + clip, _HEAD.replace("[[", f"{head}[[") + _CLIP + clip):
        (job,) = jobs_of(load_pack(_written(tmp_path, text)), Choice())
        assert expected is job.sound


def test_another_sound_is_refused(tmp_path: Path) -> None:
    """With the clip and the words that there are."""
    pack = load_pack(_written(tmp_path, _HEAD + _CLIP + 'sound = "loud"\n'))
    with pytest.raises(BadInput, match=r"clip field: sound 'loud' is not known; use none or silent$"):
        jobs_of(pack, Choice())


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (_HEAD + _CLIP.replace("look =", "lok ="), rf"{_AT}\.lok is not a setting; did you mean look\?"),
        (_HEAD + _CLIP + 'seconds = "long"\n', rf"{_AT}\.seconds: Expected `float"),
        (_HEAD.replace("schema = 1", "schema = 2") + _CLIP, r"schema 2 is not 1"),
        (_HEAD + _CLIP + _CLIP, r"chapters\[0\]\.clips\[1\]\.id: 'field' is there twice"),
        (_HEAD + _CLIP.replace('"field"', '"My Field"'), r"'My Field' must be small letters and figures"),
        (_HEAD + _CLIP.replace('look = "One grey."\n', ""), r"missing required field `look`"),
        ("schema = \n", r"mine\.toml: "),
        (_HEAD + _CLIP.replace("= 100", "= nan"), rf"{_AT}\.parameters\.luminance: nan is no number"),
        (_HEAD + _CLIP.replace("= 100", "= -inf"), rf"{_AT}\.parameters\.luminance: -inf is no number"),
        (_HEAD + _CLIP.replace("= 100", "= 1e999"), rf"{_AT}\.parameters\.luminance: inf is no number"),
        (_HEAD + _CLIP + "[[chapters.clips]]\n" + _CLIP.split("\n", 1)[1].replace("= 100", "= nan"),
         r"mine\.toml: chapters\[0\]\.clips\[1\]\.parameters\.luminance: nan is no number"),
        (_HEAD + "seconds = nan\n" + _CLIP, r"mine\.toml: chapters\[0\]\.seconds: Expected `float` > 0"),
        (_HEAD.replace("seconds = 2", "seconds = inf") + _CLIP, r"seconds: Expected `float` <= 36000"),
        (_HEAD + _CLIP.replace("look", "seconds = inf\nlook"), rf"{_AT}\.seconds: Expected `float` <= 36000"),
    ],
)  # fmt: skip
def test_a_wrong_file_is_refused_with_its_key(tmp_path: Path, text: str, words: str) -> None:
    """An unknown key, a wrong type or number, a newer schema, an unusable name: file, key and remedy."""
    with pytest.raises(BadInput, match=words):
        load_pack(_written(tmp_path, text))


def test_a_pack_that_is_not_utf_8_is_refused(tmp_path: Path) -> None:
    """A pack of another encoding is named, with the remedy."""
    path = tmp_path / "mine.toml"
    path.write_bytes((_HEAD + _CLIP).replace("One grey", "Grün").encode("latin-1"))
    with pytest.raises(BadInput, match=r"mine\.toml: it is not UTF-8 text; save it as that$"):
        load_pack(str(path))


@pytest.mark.parametrize(
    ("change", "kind", "words"),
    [
        (
            "luminance = 11000",
            BadInput,
            r"chapter light, clip field: full-field: luminance=11000: .*use 0 to 10000",
        ),
        (
            "lumnance = 1",
            BadInput,
            r"clip field: full-field: lumnance is not a parameter; did you mean luminance\?",
        ),
        ("code = 1020", BadInput, r"clip field: .*code 1020, outside the codes 4 to 1019"),
    ],
)
def test_a_wrong_parameter_is_refused_with_its_clip(
    tmp_path: Path, change: str, kind: type[Exception], words: str
) -> None:
    """A clip that cannot be drawn is named with its pack, chapter and key, before any work."""
    pack = load_pack(_written(tmp_path, _HEAD + _CLIP.replace("luminance = 100", change)))

    with pytest.raises(kind, match=words):
        jobs_of(pack, Choice())


def test_a_delivery_that_cannot_carry_is_refused() -> None:
    """PQ in an 8-bit delivery is refused before any work, with what carries it."""
    with pytest.raises(
        CannotCarry, match=r"self-test-pq: avc-mp4 carries sdr only, not pq; use --delivery hevc-mp4"
    ):
        jobs_of(load_pack("first-look"), Choice(delivery="avc-mp4"))


@pytest.mark.parametrize(
    ("name", "words"),
    [("first-lok", r"did you mean first-look\?"), ("missing.toml", r"missing\.toml: No such file")],
)
def test_an_unknown_pack_is_refused(name: str, words: str) -> None:
    """A name without a preset gets the nearest one; a missing file is named."""
    with pytest.raises(BadInput, match=words):
        load_pack(name)
