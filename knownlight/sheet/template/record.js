// What is known of one set under test: plain data, as it is kept. Clips and regions of an older pack stay in it.
// { schema, pack, set, displays: { kind: { peak, black } }, setup: { key: text },
//   clips: { id: { grade, note, regions: { name: [{ l, x, y, at }] } } } }, all as typed.
const Record = (() => {
  const empty = (pack, set) => ({ schema: Store.SCHEMA, pack, set, displays: {}, setup: {}, clips: {} });
  const isBlank = (reading) => !["l", "x", "y"].some((part) => (reading[part] || "").trim());

  const clip = (record, id) => (Object.hasOwn(record.clips, id) ? record.clips[id] : {});

  function readings(record, id, region) {
    const regions = clip(record, id).regions || {};
    return Object.hasOwn(regions, region) ? regions[region] : [];
  }

  // The reading of a place, made where it is not there yet.
  function readingAt(record, id, region, place) {
    const held = clipOf(record, id);
    held.regions = held.regions || {};
    if (!Object.hasOwn(held.regions, region)) held.regions[region] = [];
    const list = held.regions[region];
    while (list.length <= place) list.push({ l: "", x: "", y: "", at: "" });
    return list[place];
  }

  function clipOf(record, id) {
    if (!Object.hasOwn(record.clips, id)) record.clips[id] = {};
    return record.clips[id];
  }

  // Two records that were one before: what was changed in `mine` since then, and all else of `theirs`.
  function joined(before, mine, theirs) {
    const isPart = (value) => value !== null && typeof value === "object";
    if (!isPart(mine) || !isPart(theirs)) return mine === undefined || mine === before ? theirs : mine;
    const at = (part, key) => (isPart(part) && Object.hasOwn(part, key) ? part[key] : undefined);
    const keys = new Set([...Object.keys(theirs), ...Object.keys(mine)]);
    const parts = [...keys].map((key) => [key, joined(at(before, key), at(mine, key), at(theirs, key))]);
    return Object.assign(Array.isArray(theirs) ? [] : {}, Object.fromEntries(parts));
  }

  // Whether a region has a reading that a table holds: a typing error is none.
  function hasReading(record, id, region) {
    const list = readings(record, id, region);
    return Figures.luminancesOf(list).length > 0 || Figures.pairsOf(list).length > 0;
  }

  // The time now or of a typed text, with the offset of this place: 2031-05-09T14:30:00+02:00.
  function stamp(date) {
    const two = (number) => String(number).padStart(2, "0");
    const offset = -date.getTimezoneOffset(), size = Math.abs(offset);
    return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}T${two(date.getHours())}:${two(date.getMinutes())}:`
      + `${two(date.getSeconds())}${offset < 0 ? "-" : "+"}${two(Math.floor(size / 60))}:${two(size % 60)}`;
  }

  return Object.freeze({ empty, isBlank, clip, clipOf, readings, readingAt, joined, hasReading, stamp });
})();

