// Lengths as they are typed.

/** Whether a field is told with the unit that everything is shown in. */
export function measured({ kind }) {
  return kind === "length" || kind === "section";
}

/** A bare number, or two of them, with the unit that goes without saying; anything else as it is. */
export function withUnit(text, units) {
  const bare = /^\s*-?\d[\d\s./]*(?:x\s*\d[\d\s./]*)?$/i;
  return bare.test(text) ? `${text.trim()} ${units}` : text;
}
