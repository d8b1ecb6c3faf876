"""Slates of a pack: which clips have one, what it is called, and that it is made as well as can be."""

from fractions import Fraction
from pathlib import Path

import pytest

from knownlight.encode.delivery import PastLevel
from knownlight.errors import BadInput
from knownlight.frame.sound import Sound
from knownlight.pack.job import Job
from presets.loader import Choice, clip_ids, contents_of, jobs_of, load_pack
from presets.slates import Slates

_PACK = """schema = 1
name = "mine"
title = "Mine"
summary = "Some clips."
signal = "720p24-pq"
seconds = 2
[[chapters]]
name = "light"
title = "Light"
answers = "How bright."
[[chapters.clips]]
id = "window"
pattern = "window"
parameters = { luminance = 1000 }
declare = { max_cll = 4000, max_fall = 100 }
depth = 8
look = "A window."
measure = "It."
[[chapters.clips]]
id = "picture"
pattern = "window"
delivery = "png"
look = "A still."
[[chapters.clips]]
id = "ramp"
pattern = "ramp"
delivery = "hevc-ts"
sound = "none"
keep_exact = true
parameters = { last_luminance = 50 }
look = "A ramp."
[[chapters.clips]]
id = "poor"
pattern = "fog"
signal = "720p24-sdr"
delivery = "avc-mp4"
poor = { megabits = 2 }
look = "Faults."
"""
BEFORE = Slates.BEFORE_CLIPS


def _jobs(folder: Path, text: str = _PACK, choice: Choice | None = None) -> list[Job]:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return jobs_of(load_pack(str(path)), choice or Choice(slates=BEFORE))


def test_every_clip_has_a_slate_before_it(tmp_path: Path) -> None:
    """Numbered one before it, and none before stills; without the choice there is none."""
    files = [
        "009-slate-window.mp4", "010-window-1000.mp4", "020-picture-window-signal-100.png",
        "029-slate-ramp.ts", "030-ramp-50.ts", "039-slate-poor.mp4", "040-poor-fog.mp4",
    ]  # fmt: skip
    assert [f"010-light/{name}" for name in files] == [job.file for job in _jobs(tmp_path)]
    without = [job.file for job in _jobs(tmp_path, choice=Choice())]
    assert [f"010-light/{name}" for name in files if "slate" not in name] == without


def test_a_slate_is_like_its_clip_and_made_well(tmp_path: Path) -> None:
    """Signal, delivery and sound are the clip's; faults, declarations and levels on purpose are not."""
    jobs = {job.id: job for job in _jobs(tmp_path)}
    for identity in ("window", "ramp", "poor"):
        clip, slate = jobs[identity], jobs[f"slate-{identity}"]
        assert (clip.signal, clip.delivery, clip.sound) == (slate.signal, slate.delivery, slate.sound)
        assert (None, None, PastLevel.BOUNDED) == (slate.poor, slate.declaration, slate.past_level)
        assert (Fraction(3), "light", "") == (slate.seconds, slate.chapter, slate.measure)
        assert slate.look.startswith("Names the clip after it, for the camera")
    assert (8, Sound.NONE) == (jobs["slate-window"].signal.depth, jobs["slate-ramp"].sound)


def test_a_slate_says_what_comes(tmp_path: Path) -> None:
    """Place and name of the clip, its pattern, its main level, and whether it is coded poorly."""
    said = {job.id: job.pattern.parameters() for job in _jobs(tmp_path) if job.pattern.name == "slate"}
    assert [
        ("010-light", "010-window-1000"),
        ("010-light", "030-ramp-50"),
        ("010-light", "040-poor-fog"),
    ] == [(words["place"], words["clip"]) for words in said.values()]
    assert "window, 1000 cd/m2" == said["slate-window"]["shows"]
    assert "ramp, to 50 cd/m2" == said["slate-ramp"]["shows"]
    assert "fog, poorly coded" == said["slate-poor"]["shows"]


def test_a_choice_of_a_clip_brings_its_slate(tmp_path: Path) -> None:
    """Slates follow what is chosen."""
    chosen = _jobs(tmp_path, choice=Choice(only="ramp", delivery="av1-mkv", slates=BEFORE))
    assert ["010-light/029-slate-ramp.mkv", "010-light/030-ramp-50.mkv"] == [job.file for job in chosen]


def test_long_names_stay_short_and_apart(tmp_path: Path) -> None:
    """At most 64 characters; two that are cut alike still differ, and are the same each time."""
    long = "a" + "-b" * 26
    text = "".join(
        f'[[chapters.clips]]\nid = "{long}-{end}"\npattern = "window"\nlook = "."\n' for end in ("c", "d")
    )
    head = _PACK[: _PACK.index("[[chapters.clips]]")]
    names = [Path(job.file).name for job in _jobs(tmp_path, head + text)]
    assert names == [Path(job.file).name for job in _jobs(tmp_path, head + text)]
    assert 4 == len({name[4:] for name in names})
    assert all(len(name) <= 64 and name.isascii() for name in names)
    assert ["009-slate-a-b", "010-a-b-b-b-b"] == [name[:13] for name in names[:2]]


def test_an_id_that_a_slate_needs_is_refused(tmp_path: Path) -> None:
    """With the clip and what to do."""
    text = _PACK.replace('id = "picture"', 'id = "slate-window"')
    with pytest.raises(
        BadInput, match=r"clip window: id: its slate would be 'slate-window', which is a clip; give"
    ):
        _jobs(tmp_path, text)


def test_every_preset_takes_slates() -> None:
    """In the pack of all packs all can be made and sort in play order, which is the manifest's, too."""
    pack = load_pack("everything")
    jobs = jobs_of(pack, Choice(slates=BEFORE))
    assert sorted(job.file for job in jobs) == [job.file for job in jobs]
    clips = [job for job in jobs if not job.is_still and job.pattern.name != "slate"]
    assert len(jobs) - len([job for job in jobs if job.is_still]) == 2 * len(clips)
    assert [job.id for job in jobs] == list(contents_of(pack, Choice(slates=BEFORE)).order)
    assert clip_ids(pack) == list(contents_of(pack).order)
