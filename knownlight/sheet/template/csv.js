// The table of readings as text: RFC 4180, for spreadsheets of any language.
const Csv = (() => {
  const COLUMNS = [
    "kind", "clip", "file", "region", "reading", "signal", "code_1", "code_2", "code_3", "from_s", "to_s",
    "target_luminance", "target_x", "target_y", "target_basis",
    "measured_luminance", "measured_x", "measured_y", "measured_at", "grade", "note",
  ];
  const NEEDED = ["kind", "clip", "region"];
  const TEXTS = new Set(["kind", "clip", "file", "region", "signal", "target_basis", "measured_at", "note"]);
  const FORMULA = /^'*[=+\-@\t\r]/; // a spreadsheet would run it: one more apostrophe is put before it
  const SHIELDED = /^'+[=+\-@\t\r]/;
  const NUMBERS = /^(target|measured)_(luminance|x|y)$/;
  const BOM = "\ufeff";

  function cell(column, value) {
    const text = value === null || value === undefined ? "" : String(value);
    const safe = TEXTS.has(column) && FORMULA.test(text) ? `'${text}` : text;
    return /[",;\r\n\t]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
  }

  // rows: objects by column; what is missing is an empty cell.
  function write(rows) {
    const lines = [COLUMNS.join(","), ...rows.map((row) => COLUMNS.map((column) => cell(column, row[column])).join(","))];
    return BOM + lines.map((line) => `${line}\r\n`).join("");
  }

  // Cells of a text with the line that each row begins in; throws words where a quote never ends.
  function split(text, delimiter) {
    const rows = [];
    let line = 1, at = 0;
    while (at < text.length) {
      const row = { line, cells: [] };
      for (;;) {
        let value = "";
        if (text[at] === '"') {
          const began = line;
          for (at += 1; ; at += 1) {
            if (at >= text.length) throw new Error(`line ${began}: a quotation mark is never closed`);
            if (text[at] === '"') {
              if (text[at + 1] !== '"') break;
              at += 1;
            } else if (text[at] === "\n") line += 1;
            value += text[at];
          }
          at += 1;
        }
        const from = at;
        while (at < text.length && text[at] !== delimiter && text[at] !== "\r" && text[at] !== "\n") at += 1;
        row.cells.push(value + text.slice(from, at));
        if (text[at] !== delimiter) break;
        at += 1;
      }
      if (text[at] === "\r") at += 1;
      if (text[at] === "\n") at += 1;
      line += 1;
      if (row.cells.some((value) => value.trim() !== "")) rows.push(row);
    }
    return rows;
  }

  // The sign that may part thousands: a comma, or a point in a file whose decimals have commas.
  function doubtful(delimiter, names, rows) {
    if (delimiter === ",") return ",";
    const commas = rows.some(({ cells }) => cells.some((value, i) => NUMBERS.test(names[i]) && value.includes(",")));
    return commas ? "." : "";
  }

  // { rows, doubtful } of a text: rows by column, each with its line. Any of , ; and tab may part the cells; unknown
  // columns are left out. Throws words where it is no table of readings.
  function read(text) {
    const content = text.startsWith(BOM) ? text.slice(1) : text;
    for (const delimiter of [",", ";", "\t"]) {
      const first = content.split(/\r?\n/).find((line) => line.trim() !== "") || "";
      const [head] = split(`${first}\n`, delimiter);
      const names = (head ? head.cells : []).map((name) => name.trim());
      if (!NEEDED.every((name) => names.includes(name))) continue;
      const parted = split(content, delimiter).slice(1);
      const rows = parted.map(({ line, cells }) => {
        const row = { line };
        for (const column of COLUMNS) {
          const value = cells[names.indexOf(column)];
          row[column] = value === undefined ? "" : SHIELDED.test(value) ? value.slice(1) : value;
        }
        return row;
      });
      return { rows, doubtful: doubtful(delimiter, names, parted) };
    }
    throw new Error(`the first line has not the columns ${NEEDED.join(", ")}: is it a table of readings?`);
  }

  return Object.freeze({ write, read });
})();

