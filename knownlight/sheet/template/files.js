// Readings to a file and from one.
const Files = (() => {
  const NAME = "readings.csv";

  function save(text, name) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "text/csv;charset=utf-8" }));
    link.download = name;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  }

  function nameOf({ place: [kind, ...where], part }) {
    const display = kind === "setup" && Exchange.displayOf(where[0]);
    if (display) return `${display.kind.toUpperCase()} ${display.kind === "sdr" && display.part === "peak" ? "white" : display.part}`;
    const parts = { l: "cd/m²", x: "x", y: "y", at: "time", grade: "grade", note: "" };
    const again = kind === "reading" && where[2] > 1 ? `reading ${where[2]}` : "";
    return [...(kind === "reading" ? where.slice(0, 2) : where), again, parts[part]].filter(Boolean).join(", ");
  }

  const count = (number, one, many) => `${number} ${number === 1 ? one : many}`;

  async function read(file) {
    try {
      return new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
    } catch {
      throw new Error("it is not text in UTF-8; save it as CSV UTF-8 and import it again");
    }
  }

  // What to do with the changes of a table: those to make, or null.
  async function choose(file, { changes, strange }) {
    const fresh = changes.filter(({ from }) => !from), other = changes.filter(({ from }) => from);
    const away = strange ? [`${count(strange, "row is", "rows are")} for clips or patches that are not on this stick: kept all the same.`] : [];
    if (!changes.length) {
      await Dialog.ask("Nothing to import", [`${file.name} holds nothing that is not here already.`], [["Good", null]]);
      return null;
    }
    const body = [`${file.name}: ${fresh.length ? count(fresh.length, "entry is", "entries are") : "nothing is"} new.`, ...away];
    if (!other.length) {
      const yes = await Dialog.ask("Import readings?", body, [["Import", true], ["Cancel", false]]);
      return yes ? changes : null;
    }
    const words = other.map((change) => `${nameOf(change)}: ${change.from} becomes ${change.to}`);
    body.push(`${count(other.length, "entry differs", "entries differ")} from what is here:`, Dialog.list(words));
    const answer = await Dialog.ask("Import over what is here?", body,
      [["Import and replace", "all"], ...(fresh.length ? [["Only what is new", "new"]] : []), ["Cancel", "none"]]);
    return { all: changes, new: fresh, none: null }[answer];
  }

  // session: { record, announce }. cards, displays(), questions: for the rows. known: whether a clip and region are here.
  function open(session, { cards, displays, questions, known, imported, exported }) {
    document.getElementById("export").addEventListener("click", () => {
      save(Csv.write(Exchange.rows(session.record, cards, displays(), questions)), NAME);
      session.announce(`${NAME} is written.`, "visibly");
      exported();
      const left = Exchange.leftOut(session.record);
      if (left.length) {
        Dialog.ask("Not all of it is in the file",
          [`${NAME} is written, but ${count(left.length, "field is", "fields are")} left out, as wrong or half of a pair. What you typed stays here: mend it and export again.`,
            Dialog.list(left.map((field) => `${nameOf(field)}: ${field.typed}`))], [["Good", null]]);
      }
    });

    const input = document.getElementById("import-file");
    document.getElementById("import").addEventListener("click", () => input.click());
    input.addEventListener("change", async () => {
      const [file] = input.files;
      if (!file) return;
      try {
        const found = Exchange.compare(session.record, displays(), Csv.read(await read(file)), known);
        if (found.faults.length) {
          await Dialog.ask("Nothing was imported", [`${file.name} cannot be read as it is:`, Dialog.list(found.faults)], [["Good", null]]);
        } else {
          const changes = await choose(file, found);
          if (changes) {
            Exchange.apply(session.record, changes);
            imported();
            session.announce(`${count(changes.length, "entry", "entries")} imported.`, "visibly");
          }
        }
      } catch (error) {
        await Dialog.ask("Nothing was imported", [`${file.name}: ${error.message}`], [["Good", null]]);
      }
      input.value = "";
    });
  }

  return Object.freeze({ open });
})();

