// What follows from readings at once. A reading is { l, x, y, at }, texts as they were typed.
const Figures = (() => {
  const mean = (values) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const luminancesOf = (readings) =>
    readings.map((reading) => Numbers.known(reading.l)).filter((value) => value !== null && value >= 0);

  // Chromaticities of readings that have both x and y, and such as there are.
  const pairsOf = (readings) =>
    readings.map((reading) => [Numbers.known(reading.x), Numbers.known(reading.y)])
      .filter(([x, y]) => x > 0 && y > 0 && x + y <= 1);

  // CIE 1976 from CIE 1931 x, y.
  function uvPrime([x, y]) {
    const divisor = -2 * x + 12 * y + 3;
    return [4 * x / divisor, 9 * y / divisor];
  }

  function chromaDistance(one, other) {
    const [u, v] = uvPrime(one), [u2, v2] = uvPrime(other);
    return Math.hypot(u - u2, v - v2);
  }

  // Of one patch: means, spread of luminance, error in % (or in cd/m² where the target is 0) and Δu′v′.
  function ofPatch(readings, target) {
    const luminances = luminancesOf(readings), pairs = pairsOf(readings);
    const figures = { count: luminances.length, luminance: null, xy: null };
    if (luminances.length) {
      figures.luminance = mean(luminances);
      figures.spread = Math.max(...luminances) - Math.min(...luminances);
      const difference = figures.luminance - target.luminance;
      if (target.luminance > 0) figures.percent = 100 * difference / target.luminance;
      else figures.difference = difference;
    }
    if (pairs.length) {
      figures.xy = [mean(pairs.map(([x]) => x)), mean(pairs.map(([, y]) => y))];
      if (target.xy) figures.chroma = chromaDistance(figures.xy, target.xy);
    }
    return figures;
  }

  // patches: { target: cd/m², seconds, readings }. Of one picture, so not across a clip's times: the mean of the
  // lightest over that of the darkest that were measured; `more` where the darkest reads 0. Null where there is none.
  function contrast(patches) {
    const measured = patches.filter((patch) => luminancesOf(patch.readings).length);
    if (new Set(patches.map((patch) => String(patch.seconds))).size > 1 || !measured.length) return null;
    const levels = measured.map((patch) => patch.target);
    const lightest = Math.max(...levels), darkest = Math.min(...levels);
    if (lightest === darkest) return null;
    const at = (level) => measured.filter((patch) => patch.target === level).flatMap((patch) => patch.readings);
    const above = mean(luminancesOf(at(lightest))), below = mean(luminancesOf(at(darkest)));
    if (below > 0) return { ratio: above / below, more: false };
    const zeros = at(darkest).map((reading) => reading.l).filter((text) => Numbers.known(text) === 0);
    return below === 0 && zeros.length ? { ratio: above / Math.min(...zeros.map(Numbers.halfDigit)), more: true } : null;
  }

  // The share of the screen, %, that a window is known by: whole pixels make one of 10 % a little smaller.
  const nominal = (area) => Number(area < 0.5 ? area.toPrecision(1) : area.toFixed(1));

  // windows: { signal, code, area, readings }. Groups of one signal and code in at least two areas, each
  // { signal, code, points: [{ area, luminance, percent }] } with the smallest area as 100 %.
  function loading(windows) {
    const groups = new Map();
    for (const { signal, code, area, readings } of windows) {
      const luminances = luminancesOf(readings);
      if (area === null || !luminances.length) continue;
      const key = `${signal} ${code.join(" ")}`;
      if (!groups.has(key)) groups.set(key, { signal, code, areas: new Map() });
      const { areas } = groups.get(key);
      areas.set(nominal(area), [...(areas.get(nominal(area)) || []), ...luminances]);
    }
    return [...groups.values()].map(({ signal, code, areas }) => {
      const points = [...areas].sort(([a], [b]) => a - b).map(([area, all]) => ({ area, luminance: mean(all) }));
      const smallest = points[0].luminance;
      return { signal, code, points: points.map((point) => ({ ...point, percent: 100 * point.luminance / smallest })) };
    }).filter(({ points }) => points.length > 1 && points[0].luminance > 0);
  }

  return Object.freeze({ luminancesOf, pairsOf, ofPatch, contrast, loading, chromaDistance });
})();

