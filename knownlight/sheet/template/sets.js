// Several sets under test with one stick: their names, a list, a new one, and one deleted only after asking.
const Sets = (() => {
  const UNNAMED = "Set 1";

  // store: of Store.open. session: record is exchanged here. opened(): to be called when it was.
  function open(store, session, opened) {
    const name = document.getElementById("set-name"), list = document.getElementById("set-list");

    function freeName(wanted) {
      const taken = new Set(store.names());
      let number = 2, free = wanted;
      while (taken.has(free)) {
        free = `${wanted.replace(/ \d+$/, "")} ${number}`;
        number += 1;
      }
      return free;
    }

    function show() {
      const { set } = session.record, names = store.names();
      if (!names.includes(set)) names.push(set);
      list.replaceChildren(...names.map((each) => new Option(each, each, each === set, each === set)));
      name.value = set;
      document.getElementById("bar-set").textContent = set;
    }

    function enter(set) {
      session.record = store.load(set) || Record.empty(session.pack, set);
      store.save(session.record);
      show();
      opened();
    }

    // Takes in what another tab kept of this set, beside what was typed here and is not kept yet.
    function join() {
      const typed = session.record, before = store.seen(typed.set);
      session.record = Record.joined(before, typed, store.load(typed.set) || Record.empty(session.pack, typed.set));
      show();
      opened();
    }

    // A set's new name; another set's name or none is refused.
    function rename() {
      const wanted = name.value.trim(), before = session.record.set;
      if (wanted === before) return;
      if (!wanted || store.names().includes(wanted)) {
        session.announce(wanted ? `There is a set “${wanted}” already.` : "A set needs a name.", "visibly");
        name.value = before;
        return;
      }
      session.record.set = wanted;
      if (store.save(session.record)) store.remove(before);
      show();
    }

    async function remove() {
      const { set } = session.record;
      const answer = await Dialog.ask(`Delete “${set}”?`,
        ["Its readings, grades and notes are deleted from this browser. Files that you exported stay."],
        [["Delete it", "delete"], ["Keep it", "keep"]]);
      if (answer !== "delete") return;
      store.remove(set);
      enter(store.names()[0] || UNNAMED);
      session.announce(`“${set}” is deleted.`);
    }

    name.addEventListener("change", rename);
    list.addEventListener("change", () => {
      session.flush();
      enter(list.value);
    });
    document.getElementById("set-new").addEventListener("click", () => {
      session.flush();
      enter(freeName(UNNAMED));
      name.focus();
      name.select();
    });
    document.getElementById("set-delete").addEventListener("click", remove);
    return { enter, join, show, first: () => enter(store.last() || store.names()[0] || UNNAMED) };
  }

  return Object.freeze({ open });
})();

