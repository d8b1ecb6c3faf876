// Sense of what is typed. A complaint is { words, wrong }: wrong things are marked, odd ones are only asked about.
const Checks = (() => {
  const FAR = 10; // times off the target
  const BRIGHT = 1000; // cd/m²: few sets pass it, whatever PQ asks for (common practice, no source)
  const DARK = 0.1; // cd/m²: below it sets and meters differ by far without anything being wrong (the same)
  const TIME = /^(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d)(:\d\d(\.\d+)?)?(Z|[+-]\d\d:?\d\d)?$/;

  const isTime = (text) => TIME.test(text) && !Number.isNaN(Date.parse(text.replace(" ", "T")));

  // Complaints of one reading by its parts: { l?, x?, y?, at? }.
  function ofReading(reading, target) {
    const found = {};
    const [l, x, y] = ["l", "x", "y"].map((part) => Numbers.parse(reading[part] || ""));
    for (const [part, value] of Object.entries({ l, x, y })) {
      if (Number.isNaN(value)) found[part] = { wrong: true, words: `“${reading[part].trim()}” is not a number.` };
    }
    if (l < 0) found.l = { wrong: true, words: "Luminance is never below 0." };
    for (const [part, value] of Object.entries({ x, y })) {
      if (value !== null && (value <= 0 || value >= 1)) {
        found[part] = { wrong: true, words: `${part} lies between 0 and 1.` };
      }
    }
    if (!found.x && !found.y && x !== null && y !== null && x + y > 1) {
      found.y = { wrong: true, words: "x and y together are never more than 1." };
    }
    const { luminance } = target;
    if (!found.l && l !== null && (l > FAR * Math.max(luminance, DARK)
      || (luminance > DARK && FAR * l < Math.min(luminance, BRIGHT)))) {
      found.l = { wrong: false, words: `More than ten times off the target of ${Numbers.luminance(luminance)} cd/m²: is it the right patch?` };
    }
    if (reading.at && !isTime(reading.at)) {
      found.at = { wrong: true, words: "Write the time as 2031-05-09 14:30." };
    }
    return found;
  }

  // What is wrong with the white or peak and the black of a display, as typed; empty where nothing is.
  function ofDisplay({ peak, black }) {
    const [high, low] = [Numbers.parse(peak), Numbers.parse(black)];
    if (!(high >= 10 && high <= 10000)) return "White or peak: a number from 10 to 10000 cd/m².";
    if (low === null || !(low >= 0 && low < high)) return "Black: a number from 0 to below the white or peak.";
    return "";
  }

  return Object.freeze({ ofReading, ofDisplay, isTime });
})();

