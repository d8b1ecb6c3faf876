// Numbers as people type them and as the page writes them.
const Numbers = (() => {
  const WRITTEN = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/;
  const DIGITS = 4, MOST_DECIMALS = 5; // of a luminance, as page.py writes it
  const MOST_TYPED = 9; // decimals of what was measured, as columns.py writes it

  // A number with a decimal point or comma; NaN where it is none, null where nothing is typed.
  function parse(text) {
    const typed = text.trim().replace("−", "-");
    if (typed === "") return null;
    return WRITTEN.test(typed) ? Number(typed.replace(",", ".")) : NaN;
  }

  // The number that a text holds, or null: for figures, which leave out what is no number.
  function known(text) {
    const value = parse(text || "");
    return Number.isFinite(value) ? value : null;
  }

  // Decimals that were typed: 3 of 0.000 and of 1e-3, and no less than 0.
  function decimals(text) {
    const [figure, exponent] = text.trim().toLowerCase().split("e");
    return Math.max(0, (figure.split(/[.,]/)[1] || "").length - Number(exponent || 0));
  }

  // Half of the last digit that was typed: what a reading of 0.000 may hide.
  const halfDigit = (text) => 0.5 * 10 ** -decimals(text);

  // A number for a table, with the digits that were typed: the last one tells how finely it was read.
  const asTyped = (text) => parse(text).toFixed(Math.min(MOST_TYPED, decimals(text)));

  function luminance(value) {
    if (value === 0) return "0";
    const exponent = Number(value.toExponential(DIGITS - 1).split("e")[1]); // of the rounded value: 99.9999 is 100.0
    const decimals = DIGITS - 1 - exponent;
    return value.toFixed(Math.max(0, Math.min(MOST_DECIMALS, decimals)));
  }

  const chromaticity = (value) => value.toFixed(4);
  const signed = (value, decimals) => (value < 0 ? "−" : "+") + Math.abs(value).toFixed(decimals);

  return Object.freeze({ parse, known, halfDigit, asTyped, luminance, chromaticity, signed });
})();

