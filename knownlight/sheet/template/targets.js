// What a meter should read: light of a signal on a display, and its chromaticity.
const Targets = (() => {
  const EXPONENT = 2.4; // BT.1886 Annex 1
  const PQ_PEAK = 10000; // cd/m²; SMPTE ST 2084, BT.2100 Table 4
  const M1 = 2610 / 16384, M2 = 2523 / 4096 * 128;
  const C1 = 3424 / 4096, C2 = 2413 / 4096 * 32, C3 = 2392 / 4096 * 32;
  const A = 0.17883277, B = 1 - 4 * A, C = 0.5 - A * Math.log(4 * A); // HLG: BT.2100 Table 5
  const ROUNDING = 1e-9; // of the peak: signal 1 of PQ is 10000 cd/m² but for the last places
  const DISPLAY_OF = { sdr: "sdr", srgb: "sdr", pq: "pq", hlg: "hlg" };

  // cd/m² of one channel between white and black.
  function bt1886(signal, white, black) {
    if (black === 0) return white * Math.max(signal, 0) ** EXPONENT; // exactly: the powers below miss white by a little
    const whiteRoot = white ** (1 / EXPONENT), blackRoot = black ** (1 / EXPONENT);
    const gain = (whiteRoot - blackRoot) ** EXPONENT, lift = blackRoot / (whiteRoot - blackRoot);
    return gain * Math.max(signal + lift, 0) ** EXPONENT;
  }

  // IEC 61966-2-1 from black to white, a straight lift of the light (common practice, no source).
  function srgb(signal, white, black) {
    const size = Math.abs(signal);
    const linear = Math.sign(signal) * (size <= 0.04045 ? size / 12.92 : ((size + 0.055) / 1.055) ** 2.4);
    return black + (white - black) * linear;
  }

  function pq(signal) {
    const root = Math.min(Math.max(signal, 0), 1) ** (1 / M2);
    return PQ_PEAK * (Math.max(root - C1, 0) / (C2 - C3 * root)) ** (1 / M1);
  }

  // BT.2100 note 5f and its extension outside 400 to 2000 cd/m².
  function systemGamma(peak) {
    if (peak >= 400 && peak <= 2000) return 1.2 + 0.42 * Math.log10(peak / 1000);
    return 1.2 * 1.111 ** Math.log2(peak / 1000);
  }

  function sceneLight(signal) {
    return signal <= 0.5 ? signal * signal / 3 : (Math.exp((signal - C) / A) + B) / 12;
  }

  // cd/m² of three channels: the OOTF couples them by their luminance, of the given weights.
  function hlg(signals, peak, black, weights) {
    const gamma = systemGamma(peak), beta = Math.sqrt(3 * (black / peak) ** (1 / gamma));
    const scene = signals.map((signal) => sceneLight(Math.max((1 - beta) * signal + beta, 0)));
    const luminance = scene.reduce((sum, light, i) => sum + weights[i] * light, 0);
    const gain = luminance > 0 ? peak * luminance ** (gamma - 1) : 0;
    return scene.map((light) => gain * light);
  }

  function lightOf(signals, light, display) {
    if (light.transfer === "hlg") return hlg(signals, display.peak, display.black, light.weights);
    if (light.transfer === "pq") return signals.map(pq);
    const curve = light.transfer === "srgb" ? srgb : bt1886;
    return signals.map((signal) => curve(signal, display.peak, display.black));
  }

  function basisOf(transfer, largest, display) {
    if (transfer === "pq") return largest > display.peak * (1 + ROUNDING) ? "above peak" : "PQ";
    return { sdr: "BT.1886", srgb: "sRGB", hlg: "HLG" }[transfer];
  }

  // { luminance: cd/m², xy: [x, y] or null of black, basis }. displays: by kind, { peak, black } in cd/m².
  function of(signals, light, displays) {
    const display = displays[DISPLAY_OF[light.transfer]];
    const rgb = lightOf(signals, light, display);
    const [X, Y, Z] = light.toXyz.map((row) => row.reduce((sum, share, i) => sum + share * rgb[i], 0));
    const all = X + Y + Z;
    return {
      luminance: Y,
      xy: all > 0 ? [X / all, Y / all] : null,
      basis: basisOf(light.transfer, Math.max(...rgb), display),
    };
  }

  return Object.freeze({ bt1886, srgb, pq, hlg, systemGamma, of });
})();

