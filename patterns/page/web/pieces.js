// Trial pieces: entered as they were measured, and what they do to the pattern.

import { list, refusal, rows, table } from "./answers.js";
import { button, fill, make, tell } from "./dom.js";
import { FaultList } from "./faults.js";
import { Form } from "./form.js";
import { without } from "./bench.js";
import { piecesLeft, keepPieces } from "./keeping.js";
import { say } from "./saying.js";
import { Refused, post } from "./server.js";
import { inWords, sentence } from "./words.js";

export class Pieces {
  /**
   * @param {import("./bench.js").Bench} bench
   * @param {() => void} toHead shows the head
   */
  constructor(bench, start, toHead) {
    this.bench = bench;
    this.start = start;
    this.toHead = toHead;
    this.log = [];
    this.mine = piecesLeft();
    this.left = new Set();
    this.entry = null;
    this.changing = null;
    this.form = new Form(make("div"), {
      type: (key, text) => { this.entry = without(this.entry, key, text); this.form.heard(this.entry); },
      units: () => this.bench.units,
      plain: true,
      all: true,
    });
    this.faults = new FaultList(this.form);
    this.said = make("p", { class: "hint", role: "status" });
    this.place = make("div", {});
    this.lesson = make("div", { class: "lesson" });
    this.leaveOut = make("input", { type: "checkbox", data: { field: "leave-out" } });
    this.add = make("button", { type: "submit", id: "add-piece", class: start.log ? null : "chief" }, "Add this piece");
    fill(
      document.getElementById("pieces-inside"),
      start.smith ? this.ownFactors(start.smith) : null,
      make("section", { class: "block", "aria-label": "Pieces so far" }, make("h2", {}, "Pieces so far"), this.place),
      make("section", { class: "block", "aria-label": "What they teach" }, make("h2", {}, "What they teach"), this.lesson),
      make("section", { class: "block", "aria-label": "Enter a piece" },
        make("h2", {}, "Enter a piece"),
        make("p", { class: "hint" }, "Section and both pairs of marks must be there; each other measure teaches what it can. Weigh the bar as cut, and the head as forged, brushed clean, before any grinding."),
        make("div", { class: "answers" }, button("Begin from this head's pattern", () => this.begin(), { id: "begin-piece" })),
        make("form", { class: "asking", autocomplete: "off", novalidate: true, "aria-label": "A piece", on: { submit: (event) => { event.preventDefault(); this.keep(); } } },
          this.faults.node, this.form.host,
          make("div", { class: "answers" },
            start.log ? button("Write it into the log", () => this.write(), { class: "chief", id: "log-piece" }) : null, this.add),
          start.log ? make("label", { class: "radio" }, this.leaveOut, make("span", {}, "Leave out what the log has no column for")) : null),
        this.said),
    );
  }

  ownFactors(texts) {
    return make("section", { class: "block", "aria-label": "Your own factors" },
      make("h2", {}, "Your own factors"),
      make("p", { class: "hint" }, "From the file that was named at the start."),
      rows(Object.entries(texts).map(([key, text]) => ({ label: this.label(key), text }))),
      make("div", { class: "answers" }, button("Take them into the head", () => this.take(texts), { id: "take-own" })));
  }

  label(key) {
    const fields = this.start.groups.flatMap((group) => group.fields);
    return fields.find((field) => field.key === key)?.label ?? key;
  }

  async enter(start) {
    if (this.entry === null || this.start !== start) {
      this.start = start;
      this.entry ??= {};
      this.form.lay(start.entry, this.entry);
    }
    this.reading = this.read();
    await this.reading;
  }

  /** The log as it is, and this head's pattern as a row of it. */
  async read() {
    const { bench } = this;
    if (bench.opened === null) return;
    try {
      const found = await post("api/pieces", { texts: bench.texts, units: bench.units });
      this.log = found.log;
      this.pattern = found.entry;
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      this.log = [];
      fill(this.lesson, refusal(error));
    }
    this.show();
  }

  async begin() {
    await this.reading; // the pattern may still be on its way
    if (!this.pattern || Object.keys(this.pattern).length === 0) {
      tell(this.said, "No piece of this fold can be logged.");
      return;
    }
    this.entry = this.pattern;
    this.changing = null;
    this.form.lay(this.start.entry, this.entry);
    this.showFaults([]);
    this.form.goTo("name");
  }

  // The list --------------------------------------------------------------------------------------

  get all() {
    return [...this.log.map((texts, i) => ({ texts, key: `log ${i}`, own: null })),
      ...this.mine.map((texts, i) => ({ texts, key: `mine ${i}`, own: i }))];
  }

  show() {
    const all = this.all;
    fill(this.place, all.length
      ? make("ul", { class: "pieces" }, ...all.map((each, i) => this.item(each, i)))
      : make("p", { class: "hint" }, this.start.log ? "The log is empty still." : "None so far. They are kept in this window; begin the page with --log FILE to keep them in a file."));
    this.learn();
  }

  item({ texts, key, own }, i) {
    const check = make("input", {
      type: "checkbox", checked: !this.left.has(key),
      on: { change: () => { if (check.checked) this.left.delete(key); else this.left.add(key); this.learn(); } },
    });
    const name = texts.name?.trim() || `piece ${i + 1}`;
    const about = [texts.section, texts.poll && `poll ${texts.poll}`, texts.shoulders && `shoulders ${texts.shoulders}`].filter(Boolean).join(", ");
    return make(
      "li", { data: { piece: key } },
      make("label", { class: "radio" }, check, make("span", {}, make("b", { dir: "auto" }, name), ` ${about}`)),
      own === null ? make("span", { class: "hint" }, "in the log") : make("span", { class: "answers" },
        button("Change", () => this.change(own), { "aria-label": `Change ${name}` }),
        button("Take out", () => this.takeOut(own), { "aria-label": `Take out ${name}` })),
      make("p", { class: "fault", hidden: true }),
    );
  }

  change(own) {
    this.changing = own;
    this.entry = this.mine[own];
    this.form.lay(this.start.entry, this.entry);
    this.form.goTo("section");
    tell(this.add, "Put it back");
  }

  takeOut(own) {
    this.mine = this.mine.filter((_, i) => i !== own);
    this.changing = null;
    keepPieces(this.mine);
    this.show();
  }

  // Entering --------------------------------------------------------------------------------------

  /** Adds the piece to those of this window, if it can be learnt from. */
  async keep() {
    this.form.flush();
    const { bench, entry } = this;
    try {
      await post("api/learn", { pieces: [entry], units: bench.units, texts: {} });
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      this.showFaults(error.faults.map((fault) => ({ ...fault, field: fault.field.replace(/^0\./, "") })), error);
      return;
    }
    this.showFaults([]);
    this.mine = this.changing === null ? [...this.mine, entry] : this.mine.map((each, i) => (i === this.changing ? entry : each));
    this.changing = null;
    tell(this.add, "Add this piece");
    keepPieces(this.mine);
    tell(this.said, `${entry.name || "The piece"} is added.`);
    this.show();
  }

  async write() {
    this.form.flush();
    const { bench, entry } = this;
    try {
      const { said } = await post("api/log", { piece: entry, units: bench.units, leave_out: this.leaveOut.checked });
      this.showFaults([]);
      tell(this.said, said);
      await this.read();
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      this.showFaults(error.faults, error);
    }
  }

  showFaults(faults, error = null) {
    this.form.showFaults(faults);
    this.faults.show(faults);
    if (error !== null) tell(this.said, faults.length ? "There is something to put right." : error.message);
    if (faults.length) this.faults.node.scrollIntoView({ block: "nearest" });
  }

  // Learning --------------------------------------------------------------------------------------

  async learn() {
    const { bench } = this;
    const taken = this.all.filter(({ key }) => !this.left.has(key));
    this.stop?.abort();
    for (const each of this.place.querySelectorAll("li > .fault")) each.hidden = true;
    if (taken.length === 0) {
      fill(this.lesson, make("p", { class: "hint" }, "Nothing yet."));
      return;
    }
    this.stop = new AbortController();
    try {
      const found = await post("api/learn", { pieces: taken.map(({ texts }) => texts), units: bench.units, texts: bench.texts }, { signal: this.stop.signal });
      this.showLesson(found, taken);
    } catch (error) {
      if (error.name === "AbortError") return;
      if (!(error instanceof Refused)) throw error;
      this.refused(error, taken);
    }
  }

  refused(error, taken) {
    const rest = [];
    for (const fault of error.faults) {
      const [, place] = /^(\d+)\./.exec(fault.field) ?? [];
      const piece = taken[Number(place)];
      if (place === undefined || piece === undefined) rest.push(fault);
      else this.mark(piece.key, inWords({ ...fault, field: fault.field.replace(/^\d+\./, "") }));
    }
    fill(this.lesson, make("p", { class: "fault" }, rest.length ? rest.map(told).join(" ") : error.faults.length ? "A piece is at fault: see above." : error.message));
  }

  mark(key, text) {
    const item = this.place.querySelector(`[data-piece="${CSS.escape(key)}"] > .fault`);
    if (item === null) return;
    item.textContent = [item.hidden ? "" : item.textContent, text].filter(Boolean).join(" ");
    item.hidden = false;
  }

  showLesson({ factors, rows: said, bounds, misfits, figures, texts, faults }, taken) {
    for (const { piece, text } of misfits) if (taken[piece]) this.mark(taken[piece].key, sentence(text));
    const taught = Object.keys(texts).length > 0;
    const labels = new Set(factors.map(({ label }) => label));
    fill(
      this.lesson,
      rows(factors.map(({ label, text }) => ({ label, text }))),
      make("p", { class: "hint" }, bounds),
      figures.length ? table("The pattern before and after", ["figure", "now", "with these factors"], figures.map((each) => [
        each.label, each.was, each.moved ? make("b", { class: "moved" }, each.now) : "the same",
      ])) : null,
      faults?.length ? make("p", { class: "fault" }, `The head is at fault: ${faults.map(told).join(" ")}`) : null,
      make("div", { class: "answers" }, button("Take these factors into the head", () => this.take(texts), {
        class: "chief", id: "take-factors", disabled: !taught || this.bench.opened === null,
      })),
      make("details", { class: "more" }, make("summary", {}, "All that the pieces say"), rows(said.filter(({ label }) => !labels.has(label)))),
    );
  }

  take(texts) {
    const { bench } = this;
    bench.put({ ...bench.texts, ...texts });
    say("The factors are taken into the head.");
    this.toHead();
  }
}
