// The clips of the page: takes what is typed into the record, and shows record, targets and figures.
const Cards = (() => {
  const PATIENCE = 700; // ms after a key before what is typed is judged

  // session: { record, displays, changed(), announce(words) }; record and displays may be exchanged.
  function open(data, session) {
    const chapters = data.chapters.map((chapter) => ({
      name: chapter.name,
      cards: chapter.clips.map((clip) => ({ ...clip, light: data.lights[clip.light] })),
    }));
    const cards = chapters.flatMap((chapter) => chapter.cards);
    const byId = new Map(cards.map((card) => [card.id, card]));
    const chapterOf = new Map(chapters.flatMap((chapter) => chapter.cards.map((card) => [card.id, chapter])));
    const filled = new Set(); // clips that show something of a record
    const elementOf = (card) => document.getElementById(`clip-${card.id}`);
    const readingsOf = (card, patch) => Record.readings(session.record, card.id, patch.name);

    function retarget() {
      for (const card of cards) {
        for (const patch of card.patches) patch.target = Targets.of(patch.signal, card.light, session.displays);
      }
    }

    function showTargets() {
      for (const card of cards) {
        const lines = elementOf(card).querySelectorAll("tr[data-patch]:not(.more)");
        card.patches.forEach((patch, i) => Rows.showTarget(lines[i], patch.target));
      }
    }

    function showFigures(card) {
      const element = elementOf(card);
      card.patches.forEach((patch, i) => {
        Rows.showResult(Rows.of(element, i), Figures.ofPatch(readingsOf(card, patch), patch.target));
      });
      showContrast(card, element);
    }

    function showContrast(card, element) {
      const place = element.querySelector(".contrast");
      if (!place) return;
      const found = Figures.contrast(card.patches.map((patch) => (
        { target: patch.target.luminance, seconds: patch.seconds, readings: readingsOf(card, patch) })));
      place.hidden = found === null;
      if (found) {
        const ratio = found.ratio < 100 ? found.ratio.toFixed(1) : found.ratio.toFixed(0);
        place.textContent = `Contrast in this picture: ${found.more ? "more than " : ""}${ratio} : 1, lightest over darkest patches that were measured.`;
      }
    }

    function showLoading(chapter) {
      const windows = chapter.cards.flatMap((card) => {
        const most = Math.max(...card.patches.map((patch) => patch.target.luminance));
        return card.patches.filter((patch) => patch.area !== null && patch.target.luminance === most)
          .map((patch) => ({ signal: card.signal, code: patch.code, area: patch.area, readings: readingsOf(card, patch) }));
      });
      Plot.show(document.querySelector(`[data-loading="${chapter.name}"]`), Figures.loading(windows));
    }

    function judge(card, place, line) {
      const index = Number(line.dataset.patch), patch = card.patches[index];
      const reading = readingsOf(card, patch)[place] || {};
      return Rows.complain(line, Checks.ofReading(reading, patch.target), `${card.id}-${index}-${place}`);
    }

    function showCard(card) {
      const element = elementOf(card), kept = Record.clip(session.record, card.id);
      element.querySelector('[data-f="grade"]').value = kept.grade || "";
      element.querySelector('[data-f="note"]').value = kept.note || "";
      for (const line of element.querySelectorAll("tr.more, tr.complaints")) line.remove();
      card.patches.forEach((patch, i) => {
        const list = readingsOf(card, patch);
        for (let place = 0; place < Math.max(1, list.length); place += 1) {
          const line = place ? Rows.add(element, i) : Rows.of(element, i)[0];
          Rows.fill(line, list[place] || {});
          judge(card, place, line);
        }
      });
      showFigures(card);
    }

    // Shows the record anew: the clips that it knows, and those that showed something before.
    function show() {
      for (const id of Object.keys(session.record.clips)) if (byId.has(id)) filled.add(id);
      for (const id of filled) showCard(byId.get(id));
      chapters.forEach(showLoading);
      count();
    }

    function count() {
      let all = 0, done = 0;
      for (const chapter of chapters) {
        let patches = 0, read = 0;
        for (const card of chapter.cards) {
          patches += card.patches.length;
          if (!Object.hasOwn(session.record.clips, card.id)) continue;
          read += card.patches.filter((patch) => Record.hasReading(session.record, card.id, patch.name)).length;
        }
        document.querySelector(`[data-count="${chapter.name}"]`).textContent = patches ? `${read} of ${patches}` : "";
        all += patches;
        done += read;
      }
      document.getElementById("progress").textContent = `${done} of ${all} readings`;
      return done;
    }

    function place(target) {
      const element = target.closest("[data-clip]"), line = target.closest("tr[data-patch]");
      const card = byId.get(element.dataset.clip);
      if (!line) return { card, element };
      const index = Number(line.dataset.patch);
      return { card, element, line, patch: card.patches[index], index, number: Rows.of(element, index).indexOf(line) };
    }

    function typed(target) {
      const { card, line, patch, index, number, element } = place(target), part = target.dataset.f;
      filled.add(card.id);
      if (!line) {
        Record.clipOf(session.record, card.id)[part] = target.value;
      } else {
        const reading = Record.readingAt(session.record, card.id, patch.name, number);
        reading[part] = target.value;
        if (part !== "at") stampTime(reading, line);
        Rows.showResult(Rows.of(element, index), Figures.ofPatch(readingsOf(card, patch), patch.target));
        showContrast(card, element);
        if (patch.area !== null) showLoading(chapterOf.get(card.id));
        count();
        judgeSoon(target);
      }
      session.changed();
    }

    // A reading has the time of its first figure; one that is emptied has none.
    function stampTime(reading, line) {
      if (Record.isBlank(reading)) reading.at = "";
      else if (!reading.at) reading.at = Record.stamp(new Date());
      Rows.field(line, "at").value = Rows.shownTime(reading.at);
    }

    let waiting = null;
    function judgeSoon(target) {
      clearTimeout(waiting);
      waiting = setTimeout(() => judgeNow(target), PATIENCE);
    }

    function judgeNow(target) {
      clearTimeout(waiting);
      const { card, line, number } = place(target);
      if (!line || !line.isConnected) return;
      session.announce(judge(card, number, line));
    }

    function another(button) {
      const { card, element, index, patch } = place(button);
      const line = Rows.add(element, index);
      Record.readingAt(session.record, card.id, patch.name, Rows.of(element, index).length - 1);
      filled.add(card.id);
      Rows.field(line, "l").focus();
    }

    const root = document.getElementById("chapters");
    root.addEventListener("input", ({ target }) => { if (target.dataset.f) typed(target); });
    root.addEventListener("change", ({ target }) => { if (target.dataset.f) judgeNow(target); });
    root.addEventListener("click", ({ target }) => { if (target.classList.contains("again")) another(target); });

    // As in a spreadsheet: Enter goes to the same field of the next line, with Shift of the one before.
    root.addEventListener("keydown", (event) => {
      const line = event.key === "Enter" && event.target.matches("input[data-f]") && event.target.closest("tr[data-patch]");
      if (!line) return;
      event.preventDefault();
      const lines = [...line.parentElement.querySelectorAll("tr[data-patch]")];
      const next = lines[lines.indexOf(line) + (event.shiftKey ? -1 : 1)];
      if (next) Rows.field(next, event.target.dataset.f).focus();
    });

    // kinds: a set of signal kinds; measured: whether only clips with something to measure.
    function filter(kinds, measured) {
      for (const chapter of chapters) {
        let any = false;
        for (const card of chapter.cards) {
          const shown = kinds.has(card.light.transfer) && !(measured && card.patches.length === 0);
          elementOf(card).hidden = !shown;
          any = any || shown;
        }
        document.getElementById(`chapter-${chapter.name}`).hidden = !any;
      }
    }

    const known = (id, region) => byId.has(id) && (region === null || byId.get(id).patches.some((patch) => patch.name === region));
    retarget();
    return { cards, show, retarget, showTargets, filter, known };
  }

  return Object.freeze({ open });
})();

