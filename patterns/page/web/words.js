// What is said of faults: in sentences, each field by its label.

const labels = new Map();

/** Learns what fields are called. @param {Array<{fields: Array<{key: string, label: string}>}>} groups */
export function learnLabels(groups) {
  for (const { fields } of groups) for (const { key, label } of fields) labels.set(key, label);
}

/** What the field of a fault is called; where it is no field, as the fault has it. */
export function called(field) {
  const named = String(field).split(/,\s*/).map((key) => labels.get(key) ?? key);
  return named.join(", ");
}

/** A text with a capital in front and a full stop behind. */
export function sentence(text) {
  const said = text.trim();
  if (!said) return "";
  return said[0].toUpperCase() + said.slice(1) + (/[.!?]$/.test(said) ? "" : ".");
}

/** Given, allowed, change; how a value is written is said in the field's help. */
export function told({ given, allowed, change }) {
  const plain = allowed.split(", written with its unit")[0].split(", a number")[0];
  return [given ? `${given} is given.` : "", plain ? `Allowed: ${sentence(plain)}` : "", sentence(change)]
    .filter(Boolean).join(" ");
}

/** A fault by itself, away from its field. */
export function inWords(fault) {
  return `${called(fault.field)}: ${told(fault)}`;
}
