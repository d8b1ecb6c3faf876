"""The sheet's data: what the manifest holds, in words and figures a reviewer can use."""

import warnings
from pathlib import Path

import msgspec
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import Purpose, Region
from knownlight.frame.format import parse_signal_format
from knownlight.pack.manifest import Manifest, read_manifest
from knownlight.pack.manifest_entries import DisplayEntry, JoinedEntry, MarkEntry
from knownlight.readings.display import Display
from knownlight.sheet.build import displays_of, sheet_model, to_measure, with_display
from knownlight.sheet.model import Card, JoinedCard, SheetModel
from knownlight.sheet.wording import QUESTIONS, chapter_words
from knownlight.signal.encoding import Transfer
from patterns.registry import FAMILIES, build

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour
    import colour.models


@pytest.fixture(scope="session")
def manifest(sheet_pack: Path) -> Manifest:
    """Of the small pack."""
    return read_manifest(sheet_pack / "manifest.json")


@pytest.fixture(scope="session")
def model(manifest: Manifest) -> SheetModel:
    """Its sheet for reference displays, with a thumbnail of one file."""
    return sheet_model(manifest, displays_of(manifest), {"window-pq": "data:image/webp;base64,AAAA"})


@pytest.fixture(scope="session")
def cards(model: SheetModel) -> dict[str, Card]:
    """Its cards by id."""
    return {card.id: card for chapter in model.chapters for card in chapter.cards}


def test_chapters_and_cards_stand_in_play_order(model: SheetModel) -> None:
    """As the preset has them, with the pack's own words."""
    assert ("small", "A little of everything", "For tests.") == (model.pack, model.title, model.summary)
    assert [
        ("010-light", "How bright?", "Windows."),
        ("020-turns", "In turn?", "A sequence and a still."),
        ("030-dark", "Dark?", "Faults."),
        ("040-sound", "Sound?", "Beeps."),
    ] == [(chapter.folder, chapter.title, chapter.answers) for chapter in model.chapters]
    assert [
        ("010", "window-pq"),
        ("020", "window-sdr"),
        ("030", "window-declared"),
        ("040", "window-sd"),
    ] == [(card.number, card.id) for card in model.chapters[0].cards]
    assert ("010-light/010-window-pq-1000.mp4", "A window.", "The window.") == (
        *(getattr(model.chapters[0].cards[0], name) for name in ("file", "look", "measure")),
    )


def test_a_window_says_what_it_is(cards: dict[str, Card]) -> None:
    """Code 723 is 1004.19 cd/m² (ST 2084 by colour-science); FALL is that by the area of the even window."""
    card = cards["window-pq"]
    luminance = float(colour.models.eotf_ST2084((723 - 64) / 876))
    area = 404 * 228 / (1280 * 720)  # 1280 and 720 times the root of a tenth, to even numbers
    assert {
        "Area": "9.99 % of the screen",
        "APL": f"{100 * area * (723 - 64) / 876:.2f} % of signal",
        "FALL, MaxFALL": f"{area * luminance:.1f} cd/m²",
        "MaxCLL": f"{luminance:.1f} cd/m²",
        "Coding": "4:2:0, 10 bits, narrow range, BT.2020",
        "Codes": "723",
        "Codec level": "4",
    } == dict(card.facts)
    assert ("exact", "pq", False, 60.0, "data:image/webp;base64,AAAA") == (
        *(card.exactness, card.transfer, card.is_still, card.seconds, card.thumbnail),
    )
    (patch,) = card.patches
    assert ("window", (723, 512, 512), None, "PQ") == (patch.name, patch.code, patch.seconds, patch.basis)
    assert pytest.approx(luminance, rel=1e-9) == patch.target_luminance
    assert pytest.approx(659 / 876, rel=1e-12) == patch.signal[0]


def test_a_script_can_compute_targets_from_a_card(cards: dict[str, Card]) -> None:
    """Rows of the matrix are of BT.2020 (colour-science), weights of BT.2100 Table 5."""
    card = cards["steps-still"]
    assert pytest.approx(colour.RGB_COLOURSPACES["ITU-R BT.2020"].matrix_RGB_to_XYZ, abs=1e-6) == card.to_xyz
    assert (0.2627, 0.6780, 0.0593) == card.weights


def test_a_still_of_hdr_is_one(cards: dict[str, Card]) -> None:
    """Codes of full range, more of them than are told in a line; light of the reference peak."""
    card = cards["steps-still"]
    facts = dict(card.facts)
    assert (True, 0.0, 5, "hlg") == (card.is_still, card.seconds, len(card.patches), card.transfer)
    assert ("RGB, 10 bits, full range, BT.2020", "1000 cd/m² of a peak of 1000") == (
        facts["Coding"],
        facts["MaxCLL"],
    )
    assert "Codes" not in facts


def test_light_that_has_many_figures_has_no_exponent(cards: dict[str, Card]) -> None:
    """10000 is not 1e+04; of SDR the figures say of which white they are."""
    assert "10000 cd/m²" == dict(cards["flash"].facts)["MaxFALL"]
    assert "49.953 cd/m² of a white of 100" == dict(cards["window-sdr"].facts)["MaxCLL"]


def test_a_static_hold_counts_down(cards: dict[str, Card]) -> None:
    """Two minutes at least, or the clip's length (common practice, no source); others have no countdown."""
    assert "static-hold" == cards["window-pq"].cautions[0][0]
    assert (120.0, None) == (cards["window-pq"].hold_seconds, cards["window-sdr"].hold_seconds)


def test_regions_of_a_sequence_have_their_time(cards: dict[str, Card]) -> None:
    """Ten seconds of rest, two of flash: the family's defaults."""
    assert [("rest", (0.0, 10.0), None), ("flash", (10.0, 12.0), (0.3127, 0.329))] == [
        (patch.name, patch.seconds, patch.target_xy and tuple(round(value, 4) for value in patch.target_xy))
        for patch in cards["flash"].patches
    ]


def test_what_is_wrong_on_purpose_is_said(cards: dict[str, Card]) -> None:
    """Declared light levels that are not the content's, and faults of coding with their words."""
    declared = dict(cards["window-declared"].facts)["Declares"]
    assert "mastering display of 4000 cd/m², MaxCLL 4000, MaxFALL 400 cd/m²: on purpose" == declared
    assert "Declares" not in dict(cards["window-pq"].facts)

    drawn = dict(cards["drawn"].facts)
    assert drawn["Blocking"].startswith("severe (")
    assert drawn["Rate"].endswith(" Mb/s")
    assert cards["drawn"].file + ".stretched.png" == cards["drawn"].stretched
    assert "" == cards["window-pq"].stretched
    assert dict(cards["beeps"].facts)["Sound"].startswith("6 beeps of 1 kHz")


def test_exactness_has_words(manifest: Manifest) -> None:
    """Exact, within a number of codes, or faulty on purpose."""
    entry = manifest.clips[0]
    words = [
        sheet_model(
            msgspec.structs.replace(
                manifest,
                clips=[
                    msgspec.structs.replace(
                        entry, exactness=msgspec.structs.replace(entry.exactness, kind=kind, limit=limit)
                    )
                ],
            ),
            displays_of(manifest),
            {},
        )
        .chapters[0]
        .cards[0]
        .exactness
        for kind, limit in (("exact", 0), ("bounded", 1), ("bounded", 2), ("degraded", 255))
    ]
    assert ["exact", "within 1 code", "within 2 codes", "faults on purpose"] == words


def test_chapters_say_what_follows_from_their_files(model: SheetModel) -> None:
    """Regions to measure, kinds of signal that change, dark ones, faults, sound: nothing else."""
    light, turns, dark, sound = (" ".join(chapter.words) for chapter in model.chapters)
    assert "4 regions to measure in 4 files" in light
    assert "declare other light levels" in light
    assert "changes between PQ and SDR" in light
    assert "7 regions to measure in 2 files" in turns
    assert "smooth the blocks, keep them or make them plainer" in dark
    assert "let your eyes get used to it" in dark
    assert "let your eyes" not in light + turns + sound
    assert "Sound on" in sound
    assert "Sound on" not in light + turns + dark


def test_fog_that_is_only_measured_has_no_faults_on_purpose(manifest: Manifest) -> None:
    """All fog is measured; only what was coded poorly, or drawn with faults, has them on purpose."""
    drawn = manifest.clip("drawn")
    assert drawn is not None
    bounded = msgspec.structs.replace(drawn.exactness, kind="bounded")
    for entry, said in ((drawn, True), (msgspec.structs.replace(drawn, exactness=bounded), False)):
        assert said == any(words.startswith("Faults on purpose") for words in chapter_words([entry]))


def test_three_kinds_of_signal_are_listed(manifest: Manifest) -> None:
    """With commas, the last with an and."""
    entries = [entry for name in ("window-pq", "window-sdr", "steps-still") if (entry := manifest.clip(name))]
    assert any(
        words.startswith("The signal changes between PQ, SDR and HLG: ") for words in chapter_words(entries)
    )


def test_every_question_has_a_key_of_its_own() -> None:
    """Keys are those of rows in the table, in small letters; what the steps ask to note is among them."""
    keys = [question.key for question in QUESTIONS]
    assert len(set(keys)) == len(keys)
    assert {"warm-up", "picture-mode", "room-light", "meter", "distance", "input", "firmware"} <= set(keys)


def test_displays_add_up(manifest: Manifest) -> None:
    """One of a kind takes the place of an older one of that kind; the reference ones fill the rest."""
    twice = with_display(
        with_display(manifest, Display(kind=Transfer.SDR, peak=150.0)),
        Display(kind=Transfer.PQ, peak=800.0, black=0.01),
    )
    again = with_display(twice, Display(kind=Transfer.SDR, peak=212.0, black=0.05))
    model = sheet_model(again, displays_of(again), {})
    assert [("sdr", 212.0, 0.05), ("hlg", 1000.0, 0.0), ("pq", 800.0, 0.01)] == model.displays

    patches = {
        card.id: card.patches[0] for chapter in model.chapters for card in chapter.cards if card.patches
    }
    assert "above peak" == patches["window-pq"].basis
    expected = float(colour.models.eotf_BT1886(164 / 219, L_B=0.05, L_W=212.0))
    assert pytest.approx(expected, rel=1e-9) == patches["window-sdr"].target_luminance


def test_a_manifest_with_no_display_of_ours_is_refused(manifest: Manifest) -> None:
    """One that was edited by hand."""
    bad = msgspec.structs.replace(manifest, displays=[DisplayEntry(kind="oled", peak=1.0, black=0.0)])
    with pytest.raises(BadInput, match="display 'oled' is not known"):
        displays_of(bad)


def test_regions_of_one_name_are_told_apart(manifest: Manifest) -> None:
    """The table has each key once."""
    entry = manifest.clip("flash")
    assert entry is not None
    alike = [msgspec.structs.replace(claim, name="field") for claim in entry.claims]
    named = to_measure(msgspec.structs.replace(entry, claims=alike))
    assert ["field", "field at 10 s"] == [claim.name for claim in named]

    claim = entry.claims[0]
    given = [
        ("field", None), ("field", None), ("field 2", None), ("field", None),
        ("field", (5.0, 6.0)), ("field", (5.0, 6.0)), ("field 2", (5.0, 6.0)),
    ]  # fmt: skip
    claims = [
        msgspec.structs.replace(claim, name=name, seconds=seconds, code=(number, 512, 512))
        for number, (name, seconds) in enumerate(given)
    ]
    named = to_measure(msgspec.structs.replace(entry, claims=claims))
    assert [
        *("field", "field 3", "field 2", "field 4", "field at 5 s", "field 5", "field 2 at 5 s"),
    ] == [claim.name for claim in named]
    assert [*range(len(given))] == [claim.code[0] for claim in named]


@pytest.mark.parametrize("kind", ["sdr", "pq", "hlg"])
def test_no_region_of_any_family_is_lost(manifest: Manifest, kind: str) -> None:
    """Each region to measure of each picture has a name of its own, with the family's defaults."""
    signal = parse_signal_format(f"720p60-{kind}")
    pattern = msgspec.structs.replace(manifest.clips[0].claims[0], measure=True)
    counted = 0
    for family in FAMILIES:
        try:
            claims = build(family, {}).claims(signal)
        except BadInput:
            continue  # of another kind of signal; tests of the patterns say which
        regions: list[tuple[Region, tuple[float, float] | None]]
        regions = [(region, None) for region in claims.regions]
        regions += [
            (region, (float(number), number + 1.0))
            for number, picture in enumerate(claims.pictures)
            for region in picture.regions
        ]
        entries = [
            msgspec.structs.replace(pattern, name=region.name, code=region.code, seconds=seconds)
            for region, seconds in regions
            if region.purpose is Purpose.MEASURE
        ]
        named = to_measure(msgspec.structs.replace(manifest.clips[0], claims=entries))
        assert [(each.code, each.seconds) for each in entries] == [
            (each.code, each.seconds) for each in named
        ], family
        assert len({each.name for each in named}) == len(named), family
        counted += len(named)
    assert counted > len(FAMILIES)


def test_slates_and_joined_files_have_their_place(manifest: Manifest) -> None:
    """A slate is marked; files of several clips stand in their chapter, with marks of what has a card."""
    slate = msgspec.structs.replace(manifest.clips[0], pattern="slate", id="window-pq-slate")
    entry = JoinedEntry(
        file="010-light/all.mp4", bytes=1, sha256="", recipe="", chapter="light", signal="720p24-pq",
        signal_options={}, delivery="hevc-mp4", sound="silent", seconds=66.0, frames=1584,
        declared=slate.declared,
        marks=[MarkEntry(seconds=0.0, clip=slate.id), MarkEntry(seconds=3.0, clip="window-pq")],
        decoded_frames=1, left_out=[],
    )  # fmt: skip
    whole = msgspec.structs.replace(manifest, clips=[slate, *manifest.clips], joined=[entry])
    joined = JoinedCard(file="010-light/all.mp4", seconds=66.0, marks=[(3.0, "window-pq")])
    model = sheet_model(whole, displays_of(whole), {})
    assert [True, False, False, False, False] == [card.is_slate for card in model.chapters[0].cards]
    assert [[joined], [], [], []] == [chapter.joined for chapter in model.chapters]
    assert "4 regions to measure in 4 files" in model.chapters[0].words[0]
