// Saving the head as a profile, and the files to print and to cut.

import { button, fill, fresh, make, tell } from "./dom.js";
import { Job } from "./jobs.js";
import { setting, set } from "./keeping.js";
import { Refused, post } from "./server.js";
import { inWords, sentence } from "./words.js";

const TURNS = [
  ["quarter", "by quarter turns"], ["half", "by half turns only"], ["none", "not at all"], ["free", "freely"],
];
const LETTERS = [
  ["", "as the process can"], ["mark", "marked"], ["stencil", "cut through, held by bridges"], ["none", "none"],
];
const CAUTIONS = [
  "Hot work: eye protection, no synthetics, a clear floor, water and an extinguisher at hand.",
  "Flux and scale fly; weld and grind in moving air, with a mask that is made for it. Never heat coated steel.",
  "Quench oil burns: a metal lid within reach, and nothing that burns near by.",
  "A hung tool is only as safe as its handle and wedge. Try it away from people, and look at it before each use.",
  "The figures are an aid to skilled work and no proof of strength. Local codes and qualified practice go first.",
];

export class Save {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench, start, headSaved) {
    this.bench = bench;
    this.start = start;
    this.headSaved = headSaved;
    this.dialog = document.getElementById("save");
    this.build();
    bench.addEventListener("opened", () => { this.named = false; this.name.value = this.suggested(); this.clear(); });
    for (const event of ["answer", "saved", "typed"]) bench.addEventListener(event, () => this.showState());
  }

  open() {
    if (!this.named) this.name.value = this.suggested();
    this.showState();
    if (!this.dialog.open) this.dialog.showModal();
  }

  /** Other units. */
  turned(start) {
    this.start = start;
  }

  build() {
    const { start } = this;
    const id = fresh("save-name");
    this.name = make("input", {
      type: "text", id, data: { field: "name" }, on: { input: () => { this.named = true; } }, spellcheck: "false", autocapitalize: "off", autocomplete: "off", "aria-describedby": `${id}-fault ${id}-where`,
    });
    this.fault = make("div", { id: `${id}-fault`, class: "fault", role: "alert" });
    this.state = make("p", { class: "state" });
    this.conflict = make("div", { class: "conflict", tabindex: "-1", hidden: true });
    this.keepButton = make("button", { type: "submit", class: "chief", id: "save-profile" }, "Save the head");
    const { folder } = start;
    const where = folder === null
      ? "No folder for heads was named at the start, so nothing can be saved here. End the program, and begin it again with the name of a folder: eyewrap page FOLDER. What you have here is kept in this window meanwhile."
      : folder.writable ? `Goes into the folder ${folder.name}, as a file of this name with the ending .toml.`
        : `The folder ${folder.name} cannot be written into${folder.why ? `: ${folder.why}` : ""}. What you have here is kept in this window meanwhile.`;
    this.cannot = folder === null || !folder.writable;
    this.jobs = make("div", { class: "jobs" });
    fill(
      this.dialog,
      make("div", { class: "panel-head" },
        make("h2", { id: "save-title" }, "Save and print"),
        button("Close", () => this.dialog.close(), { class: "close" })),
      make("section", { class: "block", "aria-label": "Save" },
        make("h3", {}, "Keep this head"), this.state,
        make("form", { class: "row-form", novalidate: true, on: { submit: (event) => { event.preventDefault(); this.save(); } } },
          make("div", { class: "field" }, make("label", { for: id }, "Name of the file"), this.name), this.keepButton),
        make("p", { id: `${id}-where`, class: "hint", dir: "auto" }, where),
        this.fault, this.conflict),
      make("section", { class: "block", "aria-label": "To print" },
        make("h3", {}, "Print the patterns"), this.setForm(),
        make("ul", { class: "hint" },
          make("li", {}, "Print at 100 %, or actual size. Never let the printer fit the page."),
          make("li", {}, "Measure the two check bars on the first sheet: 100 mm and 4 in. If they are off, do not use the sheet."))),
      this.jobs,
      this.cutSection(),
      make("details", { class: "block cautions", open: true }, make("summary", {}, make("h3", {}, "Before the fire is lit")),
        make("ul", {}, ...CAUTIONS.map((each) => make("li", {}, each)))),
    );
  }

  // The set ---------------------------------------------------------------------------------------

  setForm() {
    const { start } = this;
    const paper = select("Paper", "paper", start.papers.map(({ name, title }) => [name, title]), setting("paper", start.units === "mm" ? "a4" : "letter"));
    const sheets = select("Sheets", "sheets", [["everyday", "the usual ones"], ["all", "all of them"], ["some", "as I choose"]], "everyday");
    const card = select("Shop card", "card", [["", "none as a file"], ["txt", "as text"], ["md", "as Markdown"]], "");
    const date = check("Date on every sheet", "date", false);
    const printer = start.printer ? check(`Corrected for the printer ${start.printer}`, "printer", true) : null;
    const some = make("fieldset", { class: "some", hidden: true }, make("legend", {}, "Which sheets"),
      ...start.sheets.map(({ name, title, everyday }) => check(title, "sheet", everyday, name).node));
    sheets.control.addEventListener("change", () => { some.hidden = sheets.control.value !== "some"; });
    const options = () => {
      set("paper", paper.control.value);
      const chosen = [...some.querySelectorAll("input:checked")].map((each) => each.value);
      return {
        paper: paper.control.value, sheets: sheets.control.value === "some" ? chosen : sheets.control.value,
        card: card.control.value || null, date: date.control.checked, printer: printer?.control.checked ?? false,
      };
    };
    return make(
      "form", { class: "row-form", novalidate: true, on: { submit: (event) => { event.preventDefault(); this.begin("set", "The patterns", options()); } } },
      paper.node, make("button", { type: "submit", class: "chief", id: "make-set" }, "Make the patterns"),
      make("details", { class: "more wide" }, make("summary", {}, "Which sheets, card, date"),
        make("div", { class: "grid" }, sheets.node, card.node), date.node, printer?.node ?? null, some),
      make("p", { class: "hint wide" }, "The PDF to print, each sheet as SVG, the files to cut as DXF, and all figures."),
    );
  }

  cutSection() {
    const { start } = this;
    const processes = start.processes.map((name) => [name, name]);
    const parts = {
      process: select("Process", "process", processes, processes[0]?.[0]),
      thickness: entry("Thickness of the sheet", "thickness", "3/16 in"),
      letters: select("Letters", "letters", LETTERS, ""),
    };
    const nest = {
      process: select("Process", "process", processes, processes[0]?.[0]),
      thickness: entry("Thickness of the sheet", "thickness", "3/16 in"),
      sheet: entry("Size of the sheet", "sheet", "24 x 12 in"),
      sets: entry("How many sets", "sets", "1"),
      turns: select("Parts may be turned", "turns", TURNS, "quarter"),
    };
    const form = (kind, label, words, fields, options) => make(
      "form", { class: "row-form", novalidate: true, on: { submit: (event) => { event.preventDefault(); this.begin(kind, label, options()); } } },
      make("div", { class: "grid wide" }, ...Object.values(fields).map(({ node }) => node)),
      make("button", { type: "submit", id: `make-${kind}` }, words),
    );
    const value = ({ control }) => control.value.trim();
    return make(
      "details", { class: "block" }, make("summary", {}, make("h3", {}, "Have it cut from sheet")),
      make("h4", {}, "Parts, one file each"),
      form("parts", "Parts to cut", "Make the parts", parts, () => ({
        process: value(parts.process), thickness: value(parts.thickness) || null, letters: value(parts.letters) || null,
      })),
      make("h4", {}, "Parts laid on sheets"),
      form("nest", "Parts on sheets", "Lay the parts", nest, () => ({
        process: value(nest.process), thickness: value(nest.thickness) || null, sheet: value(nest.sheet),
        sets: /^\d+$/.test(value(nest.sets)) ? Number(value(nest.sets)) : value(nest.sets), turns: value(nest.turns),
      })),
    );
  }

  /** Begins long work and shows it; what was made before stays until the head changes. */
  async begin(kind, label, options) {
    const { bench } = this;
    if (bench.opened === null) return;
    this.headSaved();
    await bench.settled();
    const job = new Job(`${label} of ${bench.texts.name || bench.opened.slug}`);
    this.jobs.querySelector(`[data-kind="${kind}"]`)?.remove();
    job.node.dataset.kind = kind;
    this.jobs.prepend(job.node);
    job.node.scrollIntoView({ block: "nearest" });
    this.made = bench.texts;
    await job.run({ kind, texts: bench.texts, slug: bench.opened.slug, units: bench.units, options });
  }

  // The profile -----------------------------------------------------------------------------------

  suggested() {
    const { opened, texts } = this.bench;
    if (opened === null) return "";
    if (opened.own && opened.id !== null) return opened.slug;
    const name = plainName(texts.name ?? "") || opened.slug;
    return opened.id?.startsWith("shelf/") && name === opened.slug ? `my-${name}` : name;
  }

  /** Another head: what was refused is forgotten, and what was made; what is being made goes on. */
  clear() {
    this.savedAs = "";
    fill(this.fault);
    this.conflict.hidden = true;
    for (const job of [...this.jobs.children]) if (job.dataset.state !== "working" && job.dataset.state !== "waiting") job.remove();
  }

  showState() {
    const { bench } = this;
    const faulty = bench.faults.length > 0;
    this.keepButton.disabled = this.cannot || bench.opened === null || Boolean(bench.failed);
    tell(this.state, bench.opened === null ? "Choose a head first."
      : bench.failed ? `What was typed last has not been worked out: ${sentence(bench.failed)}`
      : faulty ? "There is something to put right first: a head at fault is not saved, and makes no patterns."
        : bench.unsaved ? "It has changed since it was opened or saved."
          : this.savedAs || "It is as it was opened or saved.");
    if (this.made !== undefined && this.made !== bench.texts) {
      for (const job of this.jobs.children) {
        if (job.querySelector(".outdated")) continue;
        job.querySelector("h3").after(make("p", { class: "outdated" }, "Made before the last change to the head."));
      }
    }
  }

  async save(stamp = this.bench.opened?.stamp ?? null, base = this.bench.kept) {
    const { bench } = this;
    this.headSaved();
    this.keepButton.disabled = true;
    fill(this.fault);
    await bench.settled();
    this.keepButton.disabled = this.cannot;
    const { texts, units, opened } = bench;
    if (opened === null || this.cannot) return;
    if (bench.faults.length) {
      this.showFaults(bench.faults);
      return;
    }
    const name = this.name.value.trim();
    this.keepButton.disabled = true;
    try {
      const found = await post("api/save", { texts, units, name, id: opened.id, stamp, base });
      this.conflict.hidden = true;
      bench.saved({ id: found.id, slug: found.slug, stamp: found.stamp, own: true }, texts);
      this.name.value = found.slug;
      this.savedAs = `Saved as ${found.slug}. ${sentence(found.said ?? "")}`.trim();
      this.showState();
      this.bench.tell("shelf");
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      this.keepButton.disabled = false;
      this.refused(error);
    }
    this.keepButton.disabled = this.cannot || Boolean(bench.failed);
  }

  refused(error) {
    const { said } = error;
    if (said.why === "changed") {
      this.showChanged(said);
    } else if (said.why === "taken") {
      fill(this.fault, make("p", { dir: "auto" }, said.error), make("p", {}, "Give another name; that file is left as it is."));
      this.name.focus();
      this.name.select();
    } else if (error.faults.length) {
      this.showFaults(error.faults);
    } else {
      fill(this.fault, make("p", {}, error.message));
    }
  }

  showFaults(faults) {
    fill(this.fault, make("ul", {}, ...faults.map((fault) => make("li", { dir: "auto" }, inWords(fault)))));
  }

  /** The file was changed meanwhile: key by key, which text shall stand. */
  showChanged({ error, changed, theirs, stamp }) {
    const { bench } = this;
    const rows = changed.map((each) => {
      const [mine, other] = [each.yours !== each.was, each.theirs !== each.was];
      const both = mine && other && each.yours !== each.theirs;
      return { ...each, both, take: both ? "" : mine ? "yours" : "theirs" };
    });
    const choose = (row, value, label) => make("label", { class: "radio" }, make("input", {
      type: "radio", name: `both-${row.key}`, value, on: { change: () => { row.take = value; ready(); } },
    }), make("span", {}, label));
    const unreadable = stamp !== null && rows.length === 0;
    const merge = button(stamp === null ? "Write it anew" : "Take theirs in, and save", () => {
      let texts = bench.texts;
      for (const row of rows) {
        if (row.take !== "theirs") continue;
        texts = { ...texts };
        if (row.theirs) texts[row.key] = row.theirs;
        else delete texts[row.key];
      }
      bench.put(texts);
      this.save(stamp, theirs);
    }, { class: "chief", data: { merge: "theirs" } });
    const ready = () => { merge.disabled = rows.some((row) => row.take === ""); };
    ready();
    fill(
      this.conflict,
      make("h4", {}, "The file was changed meanwhile"),
      make("p", { dir: "auto" }, error),
      make("ul", { class: "changes" }, ...rows.map((row) => make("li", { data: { changed: row.key } },
        make("b", {}, row.label || row.key),
        make("dl", {},
          make("dt", {}, "was"), make("dd", { dir: "auto" }, row.was || "not given"),
          make("dt", {}, "theirs"), make("dd", { dir: "auto" }, row.theirs || "not given"),
          make("dt", {}, "yours"), make("dd", { dir: "auto" }, row.yours || "not given")),
        row.both
          ? make("fieldset", { class: "pair" }, make("legend", {}, "Both changed it. Which shall stand?"), choose(row, "theirs", "theirs"), choose(row, "yours", "yours"))
          : make("p", { class: "hint" }, row.yours === row.theirs ? "Both made the same change."
            : row.take === "yours" ? "Only you changed it: yours stays." : "Only they changed it: theirs is taken.")))),
      make("div", { class: "answers" }, unreadable ? null : merge,
        button("Save mine under another name", () => { this.conflict.hidden = true; this.name.focus(); this.name.select(); }, { data: { merge: "other" } }),
        button("Leave it for now", () => { this.conflict.hidden = true; })),
    );
    this.conflict.hidden = false;
    this.conflict.focus();
  }
}

function select(label, field, options, value) {
  const id = fresh(field);
  const control = make("select", { id, data: { field } }, ...options.map(([each, words]) => make("option", { value: each, selected: each === value }, words)));
  return { control, node: make("div", { class: "field" }, make("label", { for: id }, label), control) };
}

function entry(label, field, value) {
  const id = fresh(field);
  const control = make("input", { type: "text", id, value, data: { field }, spellcheck: "false", autocomplete: "off" });
  return { control, node: make("div", { class: "field" }, make("label", { for: id }, label), control) };
}

function check(label, field, checked, value = "on") {
  const control = make("input", { type: "checkbox", checked, value, data: { field } });
  return { control, node: make("label", { class: "radio" }, control, make("span", { dir: "auto" }, label)) };
}

/** A name as files have it: small letters, figures and hyphens. */
function plainName(name) {
  return name.normalize("NFKD").replace(/[\u0300-\u036f]/g, "").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 60);
}
