// Fields made from the server's schema: text for figures, lists for choices, rows for points.

import { button, fill, fresh, make, tell, tellWhole, whole } from "./dom.js";
import { measured, withUnit } from "./measures.js";
import { Points } from "./points.js";
import { told } from "./words.js";

/** How long [ms] nothing must be typed before it is handed over, and before the hand rests. */
const PAUSE = 220;
const REST = 900;

const TABLES = {
  "blade.top": "Top of the blade", "blade.bottom": "Bottom of the blade",
  hand: "Hand", allowances: "Fire, grinder and drift", strap: "Straps", marks: "Marks",
};

const LONG = /^(note|order)$/;

/**
 * @typedef {{key: string, label: string, kind: string, help: string, limits: string, default: string,
 *   choices: string[] | null, required: boolean, example: string, group: string}} Field
 * @typedef {{name: string, label: string, ways: Array<{name: string, label: string, keys: string[]}>}} Way
 * @typedef {{name: string, title: string, fields: Field[], ways?: Way[]}} Group
 */

export class Form {
  /**
   * @param {HTMLElement} host
   * @param {{type: (key: string, text: string, tag: string) => void, rested?: () => void,
   *   swap?: (way: string, to: string) => Promise<boolean>, apart?: string[],
   *   open?: string[], plain?: boolean, all?: boolean}} about
   *   `rested`: nothing is being typed any more; `apart`: keys that have their field elsewhere; `open`: names of the sections that are open;
   *   `plain`: one section after the other, nothing to open; `all`: nothing lies behind "more"
   */
  constructor(host, about) {
    this.host = host;
    this.about = { apart: [], open: [], plain: false, all: false, ...about };
    this.stem = fresh("field");
    this.fields = new Map();
    this.ways = [];
    this.texts = {};
    this.groups = [];
    /** The key that is being typed in, or null. */
    this.typing = null;
  }

  // Laying out ------------------------------------------------------------------------------------

  /**
   * Lays the fields out for these texts: what is given or must be given is shown, the rest lies
   * behind "more".
   *
   * @param {Group[]} groups
   */
  lay(groups, texts) {
    const open = new Map([...this.host.querySelectorAll("details[data-section]")].map((each) => [each.dataset.section, each.open]));
    this.groups = groups;
    this.texts = texts;
    this.fields.clear();
    this.ways = [];
    fill(this.host, ...groups.map((group) => this.section(group, open)));
    this.show(texts, true);
  }

  section(group, open) {
    const inWay = new Map();
    for (const way of group.ways ?? []) for (const { keys } of way.ways) for (const key of keys) inWay.set(key, way);
    const fields = group.fields.filter(({ key }) => !this.about.apart.includes(key));
    const shown = ({ key, required }) => this.about.all || required || key in this.texts || inWay.has(key);
    const inside = [
      ...this.parts(fields.filter(shown), inWay, group),
      this.more(group, fields.filter((field) => !shown(field)), open),
    ];
    if (this.about.plain) return make("fieldset", { class: "section" }, make("legend", {}, group.title), ...inside);
    const isOpen = open.get(group.name) ?? this.about.open.includes(group.name);
    return make(
      "details", { class: "section", open: isOpen, data: { section: group.name } },
      make("summary", {}, make("h2", {}, group.title)),
      ...inside,
    );
  }

  more(group, fields, open) {
    if (fields.length === 0) return null;
    const name = `${group.name}-more`;
    return make(
      "details", { class: "more", open: open.get(name) ?? false, data: { section: name } },
      make("summary", {}, `More of ${lower(group.title)} (${fields.length})`),
      ...this.parts(fields, new Map(), group),
    );
  }

  /** Fields under the heading of their table, where there are several tables. */
  parts(fields, inWay, group) {
    const tables = [...new Set(fields.map((field) => field.group))];
    if (tables[0] === "" && tables.length > 1) tables.push(tables.shift());
    const several = new Set(group.fields.map((field) => field.group)).size > 1;
    return tables.map((table) => {
      const done = new Set();
      const inside = [];
      for (const field of fields.filter((each) => each.group === table)) {
        const way = inWay.get(field.key);
        if (way === undefined) inside.push(this.field(field));
        else if (!done.has(way.name)) {
          done.add(way.name);
          inside.push(this.way(way, fields));
        }
      }
      const heading = several && table !== "" ? make("h3", {}, titled(table)) : null;
      return make("div", { class: "table" }, heading, make("div", { class: "grid" }, ...inside));
    });
  }

  // Either-or -------------------------------------------------------------------------------------

  way(way, fields) {
    const name = `${this.stem}-${way.name}`;
    const told = { way, radios: new Map(), parts: new Map() };
    const radios = way.ways.map((each) => {
      const radio = make("input", {
        type: "radio", name, value: each.name, data: { way: way.name },
        on: { change: () => this.choose(told, each.name) },
      });
      told.radios.set(each.name, radio);
      return make("label", { class: "radio" }, radio, make("span", {}, each.label));
    });
    const parts = way.ways.map((each) => {
      const held = each.keys.map((key) => fields.find((field) => field.key === key)).filter(Boolean);
      const part = make("div", { class: "grid" }, ...held.map((field) => this.field(field)));
      told.parts.set(each.name, part);
      return part;
    });
    this.ways.push(told);
    told.other = make("p", { class: "hint" });
    return make("fieldset", { class: "way wide" }, make("legend", {}, way.label), ...radios, ...parts, told.other);
  }

  async choose(told, to) {
    const done = await this.about.swap?.(told.way.name, to);
    if (done) return;
    this.showWay(told);
    tell(told.other, "Put right what is marked first, then choose the other way.");
  }

  showWay({ way, radios, parts }) {
    const given = ({ keys }) => keys.filter((key) => key in this.texts).length;
    const chosen = way.ways.reduce((best, each) => (given(each) > given(best) ? each : best));
    for (const each of way.ways) {
      radios.get(each.name).checked = each === chosen;
      parts.get(each.name).hidden = each !== chosen && given(each) === 0;
    }
  }

  // One field -------------------------------------------------------------------------------------

  /** @param {Field} field */
  field(field) {
    const id = `${this.stem}-${field.key.replaceAll(".", "-")}`;
    const written = field.example && !field.choices && field.kind !== "points" ? `Written as ${field.example}.` : "";
    const said = [field.help, field.limits && `Allowed: ${field.limits}.`, written].filter(Boolean).join(" ");
    const help = make("p", { id: `${id}-help`, class: "help", hidden: true }, ...whole(said));
    const fault = make("p", { id: `${id}-fault`, class: "fault", hidden: true });
    const described = `${help.id} ${fault.id}`;
    const entry = { ...field, id, fault, input: null, points: null, dirty: false };
    const ask = make("button", {
      type: "button", class: "ask", "aria-expanded": "false", "aria-controls": help.id,
      "aria-label": `About ${lower(field.label)}`,
      on: { click: () => { help.hidden = !help.hidden; ask.setAttribute("aria-expanded", String(!help.hidden)); } },
    }, "?");
    let control;
    let label;
    if (field.kind === "points") {
      entry.points = new Points(field, id, described, (text) => this.typed(entry, text, true), () => this.about.units());
      control = entry.points.node;
      label = make("span", { id: `${id}-label`, class: "label" }, field.label);
    } else {
      control = entry.input = field.choices ? this.select(field, id, described) : this.text(field, id, described);
      this.listen(entry);
      label = make("label", { for: id }, field.kind === "angle" ? `${field.label}, degrees` : field.label);
    }
    this.fields.set(field.key, entry);
    const wide = field.kind === "points" || LONG.test(field.key);
    entry.node = make(
      "div", { class: wide ? "field wide" : "field", data: { field: field.key } },
      label, control, ask, help, fault,
    );
    return entry.node;
  }

  text(field, id, described) {
    const about = {
      id, "aria-describedby": described, "aria-required": field.required ? "true" : null,
      spellcheck: "false", autocapitalize: "off", dir: "auto", data: { key: field.key, kind: field.kind },
    };
    if (!LONG.test(field.key)) return make("input", { ...about, type: "text" });
    // it may be long, but it is one line
    return make("textarea", {
      ...about, rows: 2, on: { keydown: (event) => { if (event.key === "Enter") event.preventDefault(); } },
    });
  }

  select(field, id, described) {
    const usual = field.default
      ? make("option", { value: "" }, `${field.default}, as usual`)
      : make("option", { value: "" }, field.required ? "choose one" : "not told");
    return make(
      "select", { id, "aria-describedby": described, data: { key: field.key, kind: field.kind } },
      usual, ...field.choices.map((choice) => make("option", { value: choice }, choice)),
    );
  }

  listen(entry) {
    const { input } = entry;
    let waiting = 0;
    let visit = 0;
    const tag = () => `${this.stem}-${entry.key}-${visit}`;
    const now = () => {
      clearTimeout(waiting);
      waiting = 0;
      const said = measured(entry) ? withUnit(input.value, this.about.units()) : input.value.replace(/\s*\n\s*/g, " ");
      this.about.type(entry.key, said, tag());
    };
    entry.flush = () => { if (waiting) now(); };
    entry.drop = () => { clearTimeout(waiting); waiting = 0; };
    input.addEventListener("focus", () => { visit += 1; });
    input.addEventListener("input", () => {
      clearTimeout(waiting);
      waiting = setTimeout(now, PAUSE);
      this.typing = entry.key;
      clearTimeout(this.resting);
      this.resting = setTimeout(() => this.rest(), REST);
    });
    input.addEventListener("change", () => {
      if (measured(entry)) input.value = withUnit(input.value, this.about.units());
      now();
      this.rest();
    });
  }

  /** Nothing is being typed any more. */
  rest() {
    clearTimeout(this.resting);
    if (this.typing === null) return;
    this.typing = null;
    this.about.rested?.();
  }

  typed(entry, text) {
    this.about.type(entry.key, text, null);
  }

  // Showing ---------------------------------------------------------------------------------------

  /** Puts texts into the fields; the one that is being typed in is left alone, unless told to. */
  show(texts, all = false) {
    this.texts = texts;
    for (const entry of this.fields.values()) {
      const text = texts[entry.key] ?? "";
      if (entry.points !== null) entry.points.show(text, all);
      else if (all || document.activeElement !== entry.input) {
        if (all) entry.drop();
        put(entry.input, text);
      }
    }
    for (const way of this.ways) this.showWay(way);
  }

  /** The texts as they were typed, without putting them into the fields. */
  heard(texts) {
    this.texts = texts;
  }

  /** What each key comes to where it is not given. */
  showPlain(shown) {
    for (const entry of this.fields.values()) {
      const said = shown[entry.key] ?? entry.default ?? "";
      if (entry.input !== null && entry.input.tagName !== "SELECT" && entry.input.placeholder !== said) {
        entry.input.placeholder = said;
      }
    }
    for (const told of this.ways) this.showOther(told, shown);
  }

  /** What the way that is not chosen would say: two measures of one thing can be held together. */
  showOther({ way, radios, other }, shown) {
    const rest = way.ways.filter((each) => !radios.get(each.name).checked);
    const said = rest.flatMap(({ keys }) => keys.filter((key) => key in shown).map((key) =>
      `${this.fields.get(key)?.label.toLowerCase() ?? key} ${shown[key]}`));
    tellWhole(other, said.length ? `So comes out: ${said.join(", ")}.` : "");
  }

  /** Puts each fault at its field; one that only its absence would mend can be taken out there. */
  showFaults(faults) {
    const found = new Map();
    for (const fault of faults) {
      const entry = this.fieldOf(fault.field);
      if (entry === null) continue;
      found.set(entry.key, [...(found.get(entry.key) ?? []), fault]);
    }
    for (const entry of this.fields.values()) {
      const here = found.get(entry.key) ?? [];
      const said = here.map(told).join(" ");
      if (entry.said !== said) {
        entry.said = said;
        const spare = entry.key in this.texts && here.some(({ change }) => /^(take it|leave (it|the \w+)) out/.test(change));
        const out = () => { put(entry.input, ""); this.about.type(entry.key, "", null); };
        fill(entry.fault, ...whole(said), spare && entry.input !== null
          ? button("Take it out", out, { class: "take-out", "aria-label": `Take out: ${lower(entry.label)}` }) : null);
      }
      entry.fault.hidden = said === "";
      const control = entry.input ?? entry.points.node;
      if (said) control.setAttribute("aria-invalid", "true");
      else control.removeAttribute("aria-invalid");
      entry.node.classList.toggle("at-fault", said !== "");
    }
  }

  /** The field that a fault or doubt speaks of, or null. */
  fieldOf(name) {
    for (const key of String(name).split(/[\s,]+/)) {
      if (this.fields.has(key)) return this.fields.get(key);
    }
    const inside = [...this.fields.values()].find(({ key }) => key.startsWith(`${name}.`));
    return inside ?? null;
  }

  /** Opens what hides a field, and puts the cursor there. */
  goTo(name) {
    const entry = this.fieldOf(name);
    if (entry === null) return;
    for (let at = entry.node.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
    const hidden = entry.node.closest("[hidden]");
    if (hidden) hidden.hidden = false;
    const control = entry.input ?? entry.points.first();
    entry.node.scrollIntoView({ block: "center" });
    control.focus({ preventScroll: true });
  }

  /** Hands over at once what was typed last. */
  flush() {
    for (const entry of this.fields.values()) entry.flush?.();
  }
}

/** Sets a field's text; a choice that the list has not is added, so that nothing is lost. */
function put(input, text) {
  if (input.value === text) return;
  input.value = text;
  if (input.tagName === "SELECT" && input.value !== text) {
    input.append(make("option", { value: text }, text));
    input.value = text;
  }
}

/** What fields of one table are called together. */
function titled(table) {
  const name = TABLES[table] ?? table.split(".").pop().replaceAll("_", " ");
  return name[0].toUpperCase() + name.slice(1);
}

function lower(text) {
  return text[0].toLowerCase() + text.slice(1);
}
