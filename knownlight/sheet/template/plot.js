// The figures of loading: a small table, and the same as a drawing.
const Plot = (() => {
  const SVG = "http://www.w3.org/2000/svg";
  const WIDTH = 340, HEIGHT = 196, LEFT = 44, RIGHT = 14, TOP = 28, BOTTOM = 36;

  function part(name, attributes, text) {
    const element = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    if (text !== undefined) element.textContent = text;
    return element;
  }

  function element(name, text, className) {
    const made = document.createElement(name);
    if (text !== undefined) made.textContent = text;
    if (className) made.className = className;
    return made;
  }

  // Luminance in % of the smallest window's over area in % of the screen, both from 0.
  function drawing({ points }, name) {
    const top = Math.max(100, ...points.map((point) => point.percent)) * 1.05;
    const across = (area) => LEFT + area / 100 * (WIDTH - LEFT - RIGHT);
    const up = (percent) => HEIGHT - BOTTOM - percent / top * (HEIGHT - TOP - BOTTOM);
    const svg = part("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": name, class: "plot" });
    svg.append(part("text", { x: 0, y: 12 }, "luminance, % of the smallest window’s"));
    for (const percent of [0, 50, 100]) {
      svg.append(part("line", { x1: LEFT, x2: WIDTH - RIGHT, y1: up(percent), y2: up(percent), class: "grid" }));
      svg.append(part("text", { x: LEFT - 6, y: up(percent) + 4, "text-anchor": "end" }, `${percent} %`));
    }
    for (const area of [0, 25, 50, 75, 100]) {
      svg.append(part("text", { x: across(area), y: HEIGHT - BOTTOM + 16, "text-anchor": "middle" }, area));
    }
    svg.append(part("text", { x: (LEFT + WIDTH - RIGHT) / 2, y: HEIGHT - 4, "text-anchor": "middle" }, "area, % of the screen"));
    svg.append(part("polyline", { class: "curve", points: points.map(({ area, percent }) => `${across(area)},${up(percent)}`).join(" ") }));
    for (const { area, percent } of points) svg.append(part("circle", { cx: across(area), cy: up(percent), r: 3.5, class: "point" }));
    return svg;
  }

  function table({ points }, words) {
    const made = element("table");
    made.append(element("caption", words));
    const head = made.createTHead().insertRow();
    for (const name of ["Area, %", "cd/m²", "of the smallest, %"]) {
      head.append(Object.assign(element("th", name), { scope: "col" }));
    }
    const body = made.createTBody();
    for (const { area, luminance, percent } of points) {
      const row = body.insertRow();
      for (const text of [String(Number(area.toPrecision(3))), Numbers.luminance(luminance), percent.toFixed(1)]) row.insertCell().textContent = text;
    }
    return made;
  }

  // Shows the groups of Figures.loading in an element, or hides it where there are none.
  function show(place, groups) {
    place.replaceChildren();
    place.hidden = groups.length === 0;
    if (groups.length === 0) return;
    place.append(element("h3", "Loading"));
    place.append(element("p", "Windows of one code and signal: luminance relative to the smallest that was measured.", "hint"));
    for (const group of groups) {
      const words = `${group.signal}, codes ${group.code.join(" ")}`;
      const pair = element("div", undefined, "loading-pair");
      pair.append(table(group, words), drawing(group, `Loading of ${words}; the table has the figures`));
      place.append(pair);
    }
  }

  return Object.freeze({ show });
})();

