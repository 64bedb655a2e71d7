// A list of points in rows of two fields each.

import { button, fill, make } from "./dom.js";
import { withUnit } from "./measures.js";

const HEADS = {
  "blade.stations": ["Ahead of the eye", "Thickness there"],
};
const OTHERWISE = ["Ahead of the eye", "Height outwards"];

export class Points {
  /**
   * @param {{key: string, label: string, example: string}} field
   * @param {string} id
   * @param {string} described ids of what describes it
   * @param {(text: string) => void} typed is told the list as a profile writes it
   * @param {() => string} units of a bare number
   */
  constructor(field, id, described, typed, units) {
    this.units = units;
    this.field = field;
    this.id = id;
    this.typed = typed;
    this.text = null;
    this.heads = HEADS[field.key] ?? OTHERWISE;
    this.rows = make("div", { class: "rows" });
    this.node = make(
      "div",
      {
        id, class: "points", role: "group", "aria-labelledby": `${id}-label`, "aria-describedby": described,
        data: { points: field.key },
      },
      make("div", { class: "row heads", "aria-hidden": "true" }, ...this.heads.map((head) => make("span", {}, head))),
      this.rows,
      button("Add a point", () => this.add(), { class: "quiet" }),
    );
  }

  /** Puts a list into the rows, unless one of them is being typed in. */
  show(text, all) {
    if (text === this.text) return;
    if (!all && this.node.contains(document.activeElement)) return;
    this.text = text;
    const points = read(text);
    if (points === null) fill(this.rows, this.raw(text));
    else fill(this.rows, ...points.map((pair, row) => this.row(pair, row)));
  }

  first() {
    return this.node.querySelector("input, textarea, button");
  }

  /** Something that is no list of pairs: shown as it is. */
  raw(text) {
    return make("textarea", {
      "aria-label": this.field.label, data: { key: this.field.key }, rows: "3", spellcheck: "false",
      on: { change: (event) => this.say(event.target.value) },
    }, text);
  }

  row(pair, row) {
    const inputs = [0, 1].map((column) =>
      make("input", {
        type: "text", value: pair[column], spellcheck: "false", autocapitalize: "off",
        "aria-label": `${this.field.label}, point ${row + 1}: ${this.heads[column].toLowerCase()}`,
        data: { key: this.field.key, row, column }, on: { change: () => this.heard() },
      }),
    );
    return make(
      "div", { class: "row" }, ...inputs,
      button("Remove", (event) => this.without(event.target.closest(".row")), {
        class: "quiet", "aria-label": `Remove point ${row + 1}`,
      }),
    );
  }

  add() {
    const rows = this.rows.children.length;
    const row = this.row(["", ""], rows);
    this.rows.append(row);
    row.querySelector("input").focus();
  }

  without(row) {
    row.remove();
    this.node.querySelector("button:last-of-type").focus();
    this.heard();
    this.text = null;
  }

  heard() {
    for (const input of this.rows.querySelectorAll("input")) input.value = withUnit(input.value, this.units());
    const pairs = [...this.rows.children]
      .map((row) => [...row.querySelectorAll("input")].map((input) => input.value.trim()))
      .filter(([one, other]) => one || other);
    if (pairs.some(([one, other]) => !one || !other)) return; // the other half is still to come
    const written = pairs.map((pair) => `[${pair.map((each) => JSON.stringify(each)).join(", ")}]`);
    this.say(written.length ? `[${written.join(", ")}]` : "");
  }

  say(text) {
    this.text = text;
    this.typed(text);
  }
}

/** The pairs of a list as a profile writes it, or null where it is none. */
function read(text) {
  if (text.trim() === "") return [];
  try {
    const found = JSON.parse(text);
    const sound = Array.isArray(found) && found.every((pair) => Array.isArray(pair) && pair.length === 2);
    return sound ? found.map((pair) => pair.map((each) => String(each))) : null;
  } catch {
    return null;
  }
}
