// The lines of a clip's table: a first reading of each patch stands in the page, further ones are added here.
const Rows = (() => {
  const shownTime = (at) => (at || "").slice(0, 16).replace("T", " ");
  const field = (row, part) => row.querySelector(`[data-f="${part}"]`);

  // Lines of a patch in the order of its readings.
  const of = (element, patch) => [...element.querySelectorAll(`tr[data-patch="${patch}"]`)];

  function add(element, patch) {
    const lines = of(element, patch), number = lines.length + 1;
    const line = lines[0].cloneNode(true);
    line.className = "more";
    line.querySelector("th").textContent = `reading ${number}`;
    line.querySelector(".target").replaceChildren();
    line.querySelector(".result").replaceChildren(document.createElement("span"));
    for (const input of line.querySelectorAll("input")) {
      input.value = "";
      input.setAttribute("aria-label", `${input.getAttribute("aria-label")}, reading ${number}`);
      input.removeAttribute("aria-invalid");
      input.removeAttribute("aria-describedby");
    }
    const last = lines.at(-1);
    (complaintsOf(last) || last).after(line);
    return line;
  }

  function fill(line, reading) {
    for (const part of ["l", "x", "y"]) field(line, part).value = reading[part] || "";
    field(line, "at").value = shownTime(reading.at);
  }

  function complaintsOf(line) {
    const next = line.nextElementSibling;
    return next && next.classList.contains("complaints") ? next : null;
  }

  // Shows complaints { part: { words, wrong } } under a line; returns their words.
  function complain(line, complaints, id) {
    for (const input of line.querySelectorAll("input")) {
      const complaint = complaints[input.dataset.f];
      if (complaint && complaint.wrong) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
      if (complaint) input.setAttribute("aria-describedby", `${id}-${input.dataset.f}`);
      else input.removeAttribute("aria-describedby");
    }
    const before = complaintsOf(line), parts = Object.entries(complaints);
    if (!parts.length) {
      if (before) before.remove();
      return "";
    }
    const row = before || document.createElement("tr");
    row.className = "complaints";
    row.setAttribute("role", "row");
    const cell = document.createElement("td");
    cell.colSpan = 7;
    cell.setAttribute("role", "cell");
    for (const [part, { words, wrong }] of parts) {
      cell.append(Object.assign(document.createElement("p"), { id: `${id}-${part}`, textContent: words, className: wrong ? "wrong" : "odd" }));
    }
    row.replaceChildren(cell);
    if (!before) line.after(row);
    return parts.map(([, { words }]) => words).join(" ");
  }

  function showTarget(line, target) {
    const [luminance, x, y] = line.querySelectorAll(".target span");
    const texts = [Numbers.luminance(target.luminance), ...(target.xy ? target.xy.map(Numbers.chromaticity) : ["", ""])];
    [luminance, x, y].forEach((span, i) => { if (span.textContent !== texts[i]) span.textContent = texts[i]; });
    line.querySelector(".target em").textContent = target.basis === "above peak" ? "above peak" : "";
  }

  function say(line, words) {
    line.querySelector(".result span").replaceChildren(...words.map((text) => Object.assign(document.createElement("span"), { textContent: text })));
  }

  // The figures of a patch in words: errors in its first line, mean and spread beside the second reading.
  function showResult([first, second], figures) {
    const words = [];
    if (figures.percent !== undefined) words.push(`${Numbers.signed(figures.percent, 1)} %`);
    if (figures.difference !== undefined) words.push(`${Numbers.signed(figures.difference, 4)} cd/m²`);
    if (figures.chroma !== undefined) words.push(figures.chroma.toFixed(4));
    say(first, words);
    if (second) {
      say(second, figures.count > 1
        ? [`mean ${Numbers.luminance(figures.luminance)}`, `spread ${Numbers.luminance(figures.spread)}`] : []);
    }
  }

  return Object.freeze({ of, add, fill, field, complain, showTarget, showResult, shownTime });
})();

