// Keeps records in the browser, one for each set under test. Where the browser keeps nothing, the page works on.
const Store = (() => {
  const SCHEMA = 1;

  // trouble: called with words when something is not kept, and with "" when it is again.
  function open(pack, trouble) {
    const prefix = `knownlight:readings:${pack}:`, last = `knownlight:last:${pack}`;
    const fallback = new Map(); // of this visit only
    const texts = new Map(); // by key, as this page last kept or read them
    let shelf = null, full = false;
    try {
      shelf = window.localStorage;
      shelf.setItem(last, shelf.getItem(last) || "");
    } catch {
      shelf = null;
      trouble("This browser keeps nothing of this page. Everything works, but export your readings before you close it.");
    }

    const get = (key) => (fallback.has(key) ? fallback.get(key) : shelf ? shelf.getItem(key) : null);

    function put(key, text) {
      texts.set(key, text);
      try {
        if (!shelf) throw new Error("no store");
        shelf.setItem(key, text);
        fallback.delete(key);
        if (full) trouble("");
        full = false;
        return true;
      } catch {
        fallback.set(key, text);
        full = shelf !== null;
        if (full) trouble("The browser’s store is full: what you type is not kept. Export your readings before you close the page, or delete a set.");
        return false;
      }
    }

    function drop(key) {
      texts.delete(key);
      fallback.delete(key);
      if (shelf) shelf.removeItem(key);
    }

    // Names of the sets that are kept.
    function names() {
      const keys = new Set(fallback.keys());
      for (let i = 0; shelf && i < shelf.length; i += 1) keys.add(shelf.key(i));
      return [...keys].filter((key) => key.startsWith(prefix)).map((key) => key.slice(prefix.length)).sort();
    }

    // A record that was kept; null where there is none. What cannot be read is set aside, never thrown away.
    function load(name) {
      const text = get(prefix + name);
      if (text === null) return null;
      try {
        const record = JSON.parse(text);
        texts.set(prefix + name, text);
        if (record.schema === SCHEMA) return record;
      } catch { /* told below */ }
      put(`knownlight:aside:${pack}:${name}`, text);
      drop(prefix + name);
      trouble(`What was kept of “${name}” is damaged or of another version of this sheet. It is set aside in the browser, and the set begins empty.`);
      return null;
    }

    // The record as this page last kept or read it; null where it has not.
    const seen = (name) => (texts.has(prefix + name) ? JSON.parse(texts.get(prefix + name)) : null);
    const save = (record) => put(prefix + record.set, JSON.stringify(record)) && put(last, record.set);
    return { names, load, save, seen, remove: (name) => drop(prefix + name), last: () => get(last), key: (name) => prefix + name };
  }

  return Object.freeze({ SCHEMA, open });
})();

