"""The arithmetic of the run sheet, in the browser, against colour-science and cited vectors."""

import tomllib
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Page

from knownlight.frame.format import parse_signal_format
from knownlight.sheet.page import luminance_text
from tests.knownlight.sheet.harbour import HLG_WEIGHTS, harbour

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour
    import colour.models

HLG_VECTORS = tomllib.loads((Path(__file__).parents[2] / "vectors" / "hlg.toml").read_text("utf-8"))
RELATIVE = 1e-12  # two ways of the same powers in doubles; measured 2e-14 at most
CHROMA = 2e-5  # of x, y: colour-science's matrices of primaries are rounded to four decimals and ours are not
SIGNALS = [0.0, 0.02, 0.25, 0.5, 0.50001, 0.75, 1.0, 1.09]
TRIPLES = [[0.75, 0.2, 0.1], [0.1, 0.9, 0.4], [0.5, 0.5, 0.5]]


def run(page: Page, expression: str, argument: Any) -> Any:
    """What a function of the page's script returns."""
    return page.evaluate(expression, argument)


@pytest.mark.parametrize(("white", "black"), [(100.0, 0.0), (187.5, 0.0), (120.0, 0.05)])
def test_sdr_is_bt1886(quiet: Page, white: float, black: float) -> None:
    """BT.1886 Annex 1 between any white and black, as colour-science has it."""
    expected = colour.models.eotf_BT1886(np.array(SIGNALS), L_B=black, L_W=white)
    actual = run(quiet, "([s, w, b]) => s.map((v) => Targets.bt1886(v, w, b))", [SIGNALS, white, black])
    np.testing.assert_allclose(actual, expected, rtol=RELATIVE, atol=0.0)


def test_pq_is_st2084(quiet: Page) -> None:
    """ST 2084 from 0 to 1, as colour-science has it; outside it holds the nearer end."""
    signals = np.linspace(0.0, 1.0, 33).tolist()
    expected = colour.models.eotf_ST2084(np.array(signals))
    actual = run(quiet, "(s) => s.map((v) => Targets.pq(v))", signals)
    np.testing.assert_allclose(actual, expected, rtol=RELATIVE, atol=1e-12)
    assert [0.0, pytest.approx(10000.0)] == run(quiet, "(s) => s.map((v) => Targets.pq(v))", [-0.1, 1.2])


@pytest.mark.parametrize(("peak", "black"), [(1000.0, 0.0), (600.0, 0.005), (2000.0, 0.05), (4000.0, 0.01)])
def test_hlg_is_bt2100(quiet: Page, peak: float, black: float) -> None:
    """The EOTF with OOTF and black lift, greys and colours, as colour-science has it of the same gamma."""
    triples = [*TRIPLES, [0.0, 0.0, 0.0], [1.0, 1.0, 1.0]]
    gamma = run(quiet, "(p) => Targets.systemGamma(p)", peak)
    expected = colour.models.eotf_BT2100_HLG(np.array(triples), L_B=black, L_W=peak, gamma=gamma)
    actual = run(
        quiet,
        "([t, p, b, w]) => t.map((s) => Targets.hlg(s, p, b, w))",
        [triples, peak, black, list(HLG_WEIGHTS)],
    )
    np.testing.assert_allclose(actual, expected, rtol=RELATIVE, atol=1e-12)


def test_hlg_follows_the_peak(quiet: Page) -> None:
    """System gamma and 75 % grey at every peak: BT.2100-3 note 5f as two calculators quote it."""
    peaks = [row["peak"] for row in HLG_VECTORS["display"]]
    gammas = run(quiet, "(p) => p.map(Targets.systemGamma)", peaks)
    assert [row["gamma"] for row in HLG_VECTORS["display"]] == [f"{gamma:.3f}" for gamma in gammas]
    signal = (721 - 64) / 876  # 10-bit narrow, BT.2100 Table 9
    greys = run(
        quiet,
        "([p, v, w]) => p.map((peak) => Targets.hlg([v, v, v], peak, 0, w)[1])",
        [peaks, signal, list(HLG_WEIGHTS)],
    )
    expected = [float(row["at_75"]) for row in HLG_VECTORS["display"]]
    np.testing.assert_allclose(greys, expected, rtol=0.0, atol=0.06)  # one printed decimal


@pytest.mark.parametrize(
    ("signal", "space"), [("1080p50-sdr", "ITU-R BT.709"), ("2160p60-pq", "ITU-R BT.2020")]
)
def test_colours_have_their_chromaticity(quiet: Page, signal: str, space: str) -> None:
    """Light of the channels, through colour-science's own matrix, gives the page's Y, x and y."""
    kind = signal.rpartition("-")[2]
    matrix = parse_signal_format(signal).encoding.primaries.xyz_from_rgb_matrix.tolist()
    found = run(
        quiet,
        "([t, k, m]) => t.map((s) => Targets.of(s, { transfer: k, toXyz: m, weights: [] }, "
        "{ sdr: { peak: 100, black: 0 }, pq: { peak: 10000, black: 0 } }))",
        [TRIPLES, kind, matrix],
    )
    eotf = (
        colour.models.eotf_ST2084 if kind == "pq" else lambda v: colour.models.eotf_BT1886(v, L_B=0, L_W=100)
    )
    light = eotf(np.array(TRIPLES))
    xyz = light @ np.array(colour.RGB_COLOURSPACES[space].matrix_RGB_to_XYZ).T
    np.testing.assert_allclose([each["luminance"] for each in found], xyz[:, 1], rtol=2e-4)
    np.testing.assert_allclose(
        [each["xy"] for each in found], xyz[:, :2] / xyz.sum(axis=1)[:, None], atol=CHROMA
    )


def test_pq_past_the_peak_is_marked(quiet: Page) -> None:
    """The basis says where one channel asks for more than the display has; at the peak it does not."""
    words = run(
        quiet,
        "(peaks) => peaks.map((peak) => Targets.of([1, 0.5, 0.5], "
        "{ transfer: 'pq', toXyz: [[1, 0, 0], [0, 1, 0], [0, 0, 1]], weights: [] }, "
        "{ pq: { peak, black: 0 } }).basis)",
        [10000.0, 9999.0],
    )
    assert ["PQ", "above peak"] == words


def test_black_has_no_chromaticity(quiet: Page) -> None:
    """Where there is no light there is no x and y."""
    found = run(
        quiet,
        "() => Targets.of([0, 0, 0], "
        "{ transfer: 'sdr', toXyz: [[1, 0, 0], [0, 1, 0], [0, 0, 1]], weights: [] }, "
        "{ sdr: { peak: 100, black: 0 } })",
        None,
    )
    assert {"luminance": 0, "xy": None, "basis": "BT.1886"} == found


def test_targets_of_script_and_page_agree(sheet: Page) -> None:
    """What Python wrote into the page for the reference displays is what the script computes for them."""
    shown = sheet.locator("td.target").evaluate_all(
        "cells => cells.map((cell) => [...cell.querySelectorAll('span')].map((s) => s.textContent))"
    )
    written = [
        [f"{patch.target_luminance:.6g}", *(f"{v:.4f}" for v in patch.target_xy or ())]
        for chapter in harbour().chapters
        for card in chapter.cards
        for patch in card.patches
    ]
    assert [row[1:] for row in written] == [[text for text in row[1:] if text] for row in shown]
    np.testing.assert_allclose(
        [float(row[0]) for row in shown], [float(row[0]) for row in written], rtol=5e-4
    )


def test_chromaticity_error_is_cie_1976(quiet: Page) -> None:
    """The distance of two chromaticities in u', v', as colour-science has those."""
    one, other = [0.3127, 0.3290], [0.3205, 0.3318]
    expected = float(np.linalg.norm(colour.xy_to_Luv_uv(one) - colour.xy_to_Luv_uv(other)))
    assert pytest.approx(expected, rel=RELATIVE) == run(
        quiet, "([a, b]) => Figures.chromaDistance(a, b)", [one, other]
    )


def test_figures_of_a_patch(quiet: Page) -> None:
    """Means, spread and error of two readings, with a decimal comma; arithmetic by hand."""
    found = run(
        quiet,
        "(r) => Figures.ofPatch(r, { luminance: 100, xy: [0.3127, 0.329] })",
        [{"l": "98,5", "x": "0.3127", "y": "0.329"}, {"l": "99.5", "x": "", "y": ""}, {"l": "fog"}],
    )
    assert (2, 99.0, 1.0) == (found["count"], found["luminance"], found["spread"])
    assert (pytest.approx(-1.0), 0.0) == (found["percent"], found["chroma"])
    wrong = run(
        quiet,
        "(r) => Figures.ofPatch(r, { luminance: 100, xy: [0.3127, 0.329] })",
        [{"l": "-3", "x": "0.8", "y": "0.5"}, {"x": "0.3"}],
    )
    assert {"count": 0, "luminance": None, "xy": None} == wrong
    dark = run(quiet, "(r) => Figures.ofPatch(r, { luminance: 0, xy: null })", [{"l": "0.02"}])
    assert ("percent" not in dark, 0.02) == (True, dark["difference"])


def test_contrast_of_a_picture(quiet: Page) -> None:
    """Lightest over darkest, by means; more than where the darkest reads 0; none across times."""

    def contrast(*patches: tuple[float, list[str]], seconds: list[Any] | None = None) -> Any:
        times = seconds or [None] * len(patches)
        return run(
            quiet,
            "(p) => Figures.contrast(p)",
            [
                {"target": target, "seconds": time, "readings": [{"l": text} for text in texts]}
                for (target, texts), time in zip(patches, times, strict=True)
            ],
        )

    assert {"ratio": 1000.0, "more": False} == contrast(
        (100, ["101"]), (100, ["99"]), (0, ["0.1"]), (50, ["50"])
    )
    assert {"ratio": 200000.0, "more": True} == contrast((100, ["100"]), (0, ["0.000"]))  # half of 0.001
    assert contrast((100, ["100"]), (0, [])) is None
    assert contrast((100, ["100"]), (100, ["90"])) is None
    assert contrast((100, ["100"]), (0, ["0.1"]), seconds=[[0, 5], [5, 10]]) is None


def test_loading_is_relative_to_the_smallest(quiet: Page) -> None:
    """Windows of one code and signal in the order of their areas; another code is another group."""
    window = {"signal": "2160p60-pq", "code": [723, 512, 512]}
    other = {"signal": "2160p60-pq", "code": [572, 512, 512], "area": 10}
    found = run(
        quiet,
        "(w) => Figures.loading(w)",
        [
            {**window, "area": 50, "readings": [{"l": "600"}]},
            {**window, "area": 2, "readings": [{"l": "790"}, {"l": "810"}]},
            {**window, "area": 10, "readings": []},
            {**other, "readings": [{"l": "200"}]},
        ],
    )
    assert [[(2, 800.0, 100.0), (50, 600.0, 75.0)]] == [
        [(point["area"], point["luminance"], point["percent"]) for point in group["points"]]
        for group in found
    ]


def test_luminance_is_written_as_in_the_page(quiet: Page) -> None:
    """The script and Python write the same digits of any luminance."""
    values = [0.0, 99.99999999, 9.99951, 0.0099996, 1004.24, 0.1, 3.3e-6]
    values += np.geomspace(1e-5, 1e4, 50).tolist()
    assert list(map(luminance_text, values)) == run(quiet, "(v) => v.map(Numbers.luminance)", values)
