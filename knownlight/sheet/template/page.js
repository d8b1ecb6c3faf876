// Wires the page: one record at a time, kept as it is typed.
(() => {
  const SAVE_AFTER = 300; // ms
  const JUMP_FRAMES = 10;
  const TOLD = 6000; // ms that a message stays in the bar
  const find = (id) => document.getElementById(id);
  const data = JSON.parse(find("data").textContent);
  document.documentElement.classList.remove("plain");

  function trouble(words) {
    find("trouble").textContent = words;
    find("trouble").hidden = !words;
  }

  const store = Store.open(data.pack, trouble);
  let saving = null, telling = null, atRisk = false; // atRisk: typed, neither kept nor exported
  const session = {
    pack: data.pack,
    record: Record.empty(data.pack, ""),
    displays: structuredClone(data.displays),
    changed() {
      clearTimeout(saving);
      saving = setTimeout(session.flush, SAVE_AFTER);
    },
    flush() {
      if (saving === null) return;
      clearTimeout(saving);
      saving = null;
      atRisk = !store.save(session.record);
    },
    announce(words, visibly) {
      find("announce").textContent = words;
      if (!visibly) return;
      find("kept").textContent = words;
      clearTimeout(telling);
      telling = setTimeout(() => { find("kept").textContent = ""; }, TOLD);
    },
  };

  const cards = Cards.open(data, session);
  const displayFields = [...document.querySelectorAll("[data-display]")];
  const questionFields = [...document.querySelectorAll("[data-question]")];
  const typedDisplay = (field) => Object.fromEntries(
    [...field.querySelectorAll("[data-part]")].map((input) => [input.dataset.part, input.value]));

  // Takes the displays as they stand in the fields; one that makes no sense keeps its last sound values.
  function takeDisplays() {
    for (const field of displayFields) {
      const typed = typedDisplay(field), words = Checks.ofDisplay(typed), place = field.querySelector(".complaint");
      place.textContent = words;
      place.hidden = !words;
      for (const input of field.querySelectorAll("input")) input.setAttribute("aria-invalid", String(Boolean(words)));
      if (!words) session.displays[field.dataset.display] = { peak: Numbers.parse(typed.peak), black: Numbers.parse(typed.black) };
    }
    cards.retarget();
    cards.showTargets();
  }

  function show() {
    for (const field of displayFields) {
      const kind = field.dataset.display, kept = session.record.displays[kind] || {};
      for (const input of field.querySelectorAll("[data-part]")) {
        input.value = kept[input.dataset.part] ?? String(data.displays[kind][input.dataset.part]);
      }
    }
    for (const field of questionFields) field.value = session.record.setup[field.dataset.question] || "";
    session.displays = structuredClone(data.displays);
    takeDisplays();
    cards.show();
  }

  for (const field of displayFields) {
    field.addEventListener("input", () => {
      session.record.displays[field.dataset.display] = typedDisplay(field);
      takeDisplays();
      cards.show();
      session.changed();
    });
  }
  for (const field of questionFields) {
    field.addEventListener("input", () => {
      session.record.setup[field.dataset.question] = field.value;
      session.changed();
    });
  }

  function filter() {
    const kinds = [...document.querySelectorAll('[name="kind"]:checked')].map((box) => box.value);
    cards.filter(new Set(kinds), find("only-measured").checked);
  }
  document.querySelector(".filter").addEventListener("change", filter);

  for (const button of document.querySelectorAll("[data-hold]")) {
    Countdown.bind(button, button.parentElement.querySelector(".left"));
  }

  const sets = Sets.open(store, session, show);
  Files.open(session, {
    cards: cards.cards,
    displays: () => session.displays,
    questions: data.questions,
    known: cards.known,
    imported() {
      show();
      session.changed();
    },
    exported() { atRisk = false; },
  });

  // Clips that were never drawn have only a guessed height: a jump is repeated while those around its end get theirs.
  function jump(element, frames) {
    element.scrollIntoView();
    if (frames > 0) requestAnimationFrame(() => jump(element, frames - 1));
  }

  // What the filter hides is shown to whoever asks for it: a clip alone, a chapter with all its clips.
  function reveal(element) {
    if (element.hidden) for (const each of element.querySelectorAll("[data-clip]")) each.hidden = false;
    for (let each = element; each; each = each.parentElement.closest("[hidden]")) each.hidden = false;
  }

  document.addEventListener("click", ({ target }) => {
    const link = target.closest('a[href^="#"]');
    if (!link) return;
    const wanted = find(link.hash.slice(1));
    reveal(wanted);
    requestAnimationFrame(() => jump(wanted, JUMP_FRAMES));
  });
  window.addEventListener("storage", (event) => { // the same set in another tab of the browser
    if (event.key === store.key(session.record.set) && event.newValue) sets.join();
  });
  window.addEventListener("pagehide", session.flush);
  document.addEventListener("visibilitychange", session.flush);
  window.addEventListener("beforeunload", (event) => {
    session.flush();
    if (atRisk) event.preventDefault();
  });

  if (window.matchMedia("(max-width: 60rem)").matches) find("contents").open = false;
  sets.first();
})();
