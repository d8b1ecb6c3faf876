// From a record to the rows of the table, and back: what a table would change, then the change itself.
const Exchange = (() => {
  const MEASURED = { l: "measured_luminance", x: "measured_x", y: "measured_y" };
  const THOUSANDS = /^\d*[1-9]\d*[.,]\d{3}$/;
  const SIX = 6; // significant digits of a target's luminance
  const short = (value) => Number(value.toPrecision(SIX));

  // { kind, part } of the key of a set-up row that says what the targets were for; null of any other.
  function displayOf(key) {
    const found = /^display-(sdr|pq|hlg)-(peak|black)$/.exec(key);
    return found && { kind: found[1], part: found[2] };
  }

  // What the figures take is what the table holds; x and y are a pair: one without the other says nothing.
  const luminanceCell = (reading) => (Figures.luminancesOf([reading]).length ? Numbers.asTyped(reading.l) : "");
  const chromaCells = (reading) => (Figures.pairsOf([reading]).length ? [reading.x, reading.y].map(Numbers.asTyped) : ["", ""]);

  const timeCell = (text) => {
    if (!text || !Checks.isTime(text)) return "";
    return /(Z|[+-]\d\d:?\d\d)$/.test(text) ? text.replace(" ", "T") : Record.stamp(new Date(text.replace(" ", "T")));
  };

  function measuredCells(reading) {
    const [x, y] = chromaCells(reading);
    return { measured_luminance: luminanceCell(reading), measured_x: x, measured_y: y, measured_at: timeCell(reading.at) };
  }

  // Fields of a record that hold what the table has no place for: { place, part, typed }.
  function leftOut(record) {
    const fields = Object.entries({ ...MEASURED, at: "measured_at" });
    const ofReading = (reading, place) => {
      const cells = measuredCells(reading);
      return fields.filter(([part, column]) => (reading[part] || "").trim() && !cells[column])
        .map(([part]) => ({ place, part, typed: reading[part].trim() }));
    };
    return Object.entries(record.clips).flatMap(([id, clip]) => Object.entries(clip.regions || {}).flatMap(
      ([name, list]) => list.flatMap((reading, i) => ofReading(reading, ["reading", id, name, i + 1]))));
  }

  function readingRows(record, card, patch, target) {
    const kept = Record.readings(record, card.id, patch.name).filter((reading) => !Record.isBlank(reading));
    return (kept.length ? kept : [{}]).map((reading, place) => ({
      kind: "reading", clip: card.id, file: card.file, region: patch.name, reading: place + 1, signal: card.signal,
      code_1: patch.code[0], code_2: patch.code[1], code_3: patch.code[2],
      from_s: patch.seconds && patch.seconds[0], to_s: patch.seconds && patch.seconds[1],
      target_luminance: short(target.luminance),
      target_x: target.xy && target.xy[0].toFixed(4), target_y: target.xy && target.xy[1].toFixed(4),
      target_basis: target.basis,
      ...measuredCells(reading),
    }));
  }

  // Readings of clips and regions that are not on this stick: told with what is known of them.
  function strangeRows(record, known) {
    return Object.entries(record.clips).flatMap(([id, clip]) => {
      const regions = Object.entries(clip.regions || {}).filter(([name]) => !known.has(`${id}\n${name}`));
      const rows = regions.flatMap(([name, list]) => list.filter((reading) => !Record.isBlank(reading))
        .map((reading, place) => ({
          kind: "reading", clip: id, region: name, reading: place + 1, ...measuredCells(reading),
        })));
      return !known.has(id) && (clip.grade || clip.note)
        ? [...rows, { kind: "observation", clip: id, reading: 1, grade: clip.grade, note: clip.note }] : rows;
    });
  }

  // cards: { id, file, signal, patches: [{ name, code, seconds, target }] }; displays: { kind: { peak, black } }.
  function rows(record, cards, displays, questions) {
    const setup = (region, note) => ({ kind: "setup", region, reading: 1, note });
    const asked = new Set([...questions, ...Object.keys(record.setup)]);
    const known = new Set(cards.flatMap((card) => [card.id, ...card.patches.map((patch) => `${card.id}\n${patch.name}`)]));
    return [
      setup("set", record.set),
      ...Object.entries(displays).flatMap(([kind, { peak, black }]) => [
        setup(`display-${kind}-peak`, peak), setup(`display-${kind}-black`, black)]),
      ...[...asked].map((key) => setup(key, record.setup[key] || "")),
      ...cards.flatMap((card) => [
        ...card.patches.flatMap((patch) => readingRows(record, card, patch, patch.target)),
        { kind: "observation", clip: card.id, file: card.file, reading: 1, signal: card.signal,
          grade: Record.clip(record, card.id).grade, note: Record.clip(record, card.id).note },
      ]),
      ...strangeRows(record, known),
    ];
  }

  // What a row of the table says, as changes { place, part, to }; faults go to `fault(column, words)`.
  function said(row, doubtful, fault) {
    const filled = (column) => row[column].trim() !== "";
    if (row.kind === "setup") {
      return filled("note") ? [{ place: ["setup", row.region], part: "note", to: row.note }] : [];
    }
    if (row.kind === "observation") {
      if (filled("grade") && !/^[1-5]$/.test(row.grade.trim())) fault("grade", `“${row.grade}” is none of 1 to 5`);
      return ["grade", "note"].filter(filled).map((part) => (
        { place: ["observation", row.clip], part, to: part === "grade" ? row.grade.trim() : row.note }));
    }
    if (row.kind !== "reading") {
      fault("kind", `“${row.kind}” is none of reading, observation, setup`);
      return [];
    }
    const number = row.reading.trim() || "1";
    if (!/^[1-9]\d{0,3}$/.test(number)) fault("reading", `“${row.reading}” is not a count from 1`);
    for (const column of Object.values(MEASURED)) {
      if (Number.isNaN(Numbers.parse(row[column]))) fault(column, `“${row[column]}” is not a number`);
    }
    const luminance = row.measured_luminance.trim();
    if (doubtful && luminance.at(-4) === doubtful && THOUSANDS.test(luminance)) {
      fault("measured_luminance", `“${luminance}” may part thousands or decimals; write it without, or with another decimal`);
    }
    if (filled("measured_at") && !Checks.isTime(row.measured_at.trim())) {
      fault("measured_at", `“${row.measured_at}” is not a time as 2031-05-09T14:30`);
    }
    const place = ["reading", row.clip, row.region, Number(number)];
    const parts = Object.entries(MEASURED).filter(([, column]) => filled(column));
    if (!parts.length) return [];
    if (filled("measured_at")) parts.push(["at", "measured_at"]);
    return parts.map(([part, column]) => ({ place, part, to: row[column].trim() }));
  }

  // What stands at the place of a change now; of a display, what the targets are for.
  function there(record, displays, { place: [kind, ...where], part }) {
    if (kind === "setup") {
      const display = displayOf(where[0]);
      if (display) return String((displays[display.kind] || {})[display.part] ?? "");
      return where[0] === "set" ? "" : record.setup[where[0]] || "";
    }
    if (kind === "observation") return Record.clip(record, where[0])[part] || "";
    return (Record.readings(record, where[0], where[1])[where[2] - 1] || {})[part] || "";
  }

  // A display that nobody has typed: to fill it in replaces nothing.
  function isPrefilled(record, { place: [kind, region] }) {
    const display = kind === "setup" && displayOf(region);
    return Boolean(display) && record.displays[display.kind] === undefined;
  }

  function same(part, one, other) {
    if (part === "at") return Date.parse(one.replace(" ", "T")) === Date.parse(other.replace(" ", "T"));
    if (one === other) return true;
    return part !== "grade" && Numbers.parse(one) === Numbers.parse(other);
  }

  // { faults: [words], changes: [{ place, part, from, to }], strange: count } of a table against a record.
  function compare(record, displays, { rows: table, doubtful }, known) {
    const faults = [], changes = [], seen = new Map(), strange = new Set();
    for (const row of table) {
      const key = [row.kind, row.clip, row.region, row.reading.trim() || "1"].join("\n");
      const fault = (column, words) => faults.push(`line ${row.line}, column ${column}: ${words}`);
      if (seen.has(key)) fault("reading", `the same as in line ${seen.get(key)}; number repeated readings`);
      seen.set(key, row.line);
      for (const change of said(row, doubtful, fault)) {
        const now = there(record, displays, change);
        if (row.kind !== "setup" && !known(row.clip, row.kind === "reading" ? row.region : null)) strange.add(key);
        if (row.kind === "setup" && row.region === "set") continue; // the name is the page's own
        if (now && same(change.part, now, change.to)) continue;
        changes.push({ ...change, from: isPrefilled(record, change) ? "" : now });
      }
    }
    return { faults, changes, strange: strange.size };
  }

  function apply(record, changes) {
    for (const { place: [kind, ...where], part, to } of changes) {
      if (kind === "reading") Record.readingAt(record, where[0], where[1], where[2] - 1)[part] = to;
      else if (kind === "observation") Record.clipOf(record, where[0])[part] = to;
      else {
        const display = displayOf(where[0]);
        if (display) record.displays[display.kind] = { ...record.displays[display.kind], [display.part]: to };
        else record.setup[where[0]] = to;
      }
    }
  }

  return Object.freeze({ rows, leftOut, compare, apply, displayOf });
})();

