// The head on its board: picture, grips and figures in view, the fields beside them.

import { button, fill, make, steady, tell } from "./dom.js";
import { FaultList } from "./faults.js";
import { Figures } from "./figures.js";
import { Form } from "./form.js";
import { Grips, stopped } from "./grips.js";
import { Picture } from "./picture.js";
import { setting, set } from "./keeping.js";
import { say } from "./saying.js";
import { Refused, post } from "./server.js";
import { called } from "./words.js";

const NAME = "name";

export class HeadPlace {
  /**
   * @param {import("./bench.js").Bench} bench
   * @param {object} start the server's answer: groups of fields
   */
  constructor(bench, start) {
    this.bench = bench;
    this.start = start;
    this.board = document.getElementById("board");
    this.form = new Form(document.createElement("div"), {
      type: (key, text, tag) => bench.type(key, text, tag),
      swap: (way, to) => this.swap(way, to),
      units: () => bench.units,
      rested: () => this.showFaults(),
      apart: [NAME],
      open: [start.groups[0]?.name],
    });
    this.faults = new FaultList(this.form);
    this.fields = document.getElementById("fields");
    this.fields.addEventListener("submit", (event) => event.preventDefault());
    fill(this.fields, this.faults.node, this.form.host,
      make("p", { class: "onward" }, make("a", { href: "#sheets", class: "button" }, "Next: look at the sheets")));
    this.build();
    this.watchTop();
    bench.addEventListener("opened", () => this.opened());
    bench.addEventListener("texts", () => this.showTexts());
    bench.addEventListener("typed", () => this.typed());
    bench.addEventListener("answer", () => this.answered());
    bench.addEventListener("saved", () => this.showState());
    bench.addEventListener("busy", () => { this.board.dataset.busy = String(bench.busy); });
  }

  build() {
    const { bench } = this;
    this.name = make("input", {
      type: "text", id: "head-name", class: "head-name", dir: "auto", data: { key: NAME }, spellcheck: "false",
      autocomplete: "off", "aria-describedby": "head-state name-fault",
      on: {
        focus: () => { this.visit = (this.visit ?? 0) + 1; },
        input: () => bench.type(NAME, this.name.value, `name-${this.visit}`),
      },
    });
    this.nameFault = make("p", { id: "name-fault", class: "fault", hidden: true });
    this.state = make("span", { id: "head-state", class: "state" });
    this.undo = button("Undo", () => this.step("undo"), { id: "undo", "aria-keyshortcuts": "Control+Z" });
    this.redo = button("Redo", () => this.step("redo"), { id: "redo", "aria-keyshortcuts": "Control+Shift+Z" });
    this.back = button("As opened", () => this.step("toStart"), { id: "back-to-start", class: "quiet" });
    this.compare = make("input", {
      type: "checkbox", id: "compare", on: { change: () => { set("compare", this.compare.checked); this.draw(); } },
    });
    this.compare.checked = setting("compare", true);
    this.paper = make("div", { class: "paper" });
    this.stale = make("p", { class: "stale", hidden: true });
    this.stop = make("p", { class: "stop-note", hidden: true });
    this.figures = new Figures((field) => this.form.goTo(field));
    this.all = button("All figures", () => this.openAll(), { class: "all-figures", "aria-expanded": "false" });
    fill(
      this.board,
      make("div", { class: "title" },
        make("label", { for: "head-name", class: "unseen" }, "Name of the head"),
        this.name, this.state,
        make("div", { class: "tools" },
          make("label", { class: "radio" }, this.compare, make("span", {}, "What it was")), this.back),
        make("div", { class: "steps-back" }, this.undo, this.redo)),
      this.nameFault,
      make("div", { class: "sheet" }, this.paper, this.stale, this.stop),
      this.figures.node,
      this.all,
    );
    this.picture = new Picture(this.paper, bench.units);
    this.grips = new Grips(this.paper, this.picture, bench);
    this.picture.onFit = () => this.showGrips();
  }

  /** The board sticks below the top of the page, however high that is. */
  watchTop() {
    const watch = new ResizeObserver(([{ target }]) => {
      document.documentElement.style.setProperty("--top", `${target.offsetHeight}px`);
    });
    watch.observe(document.querySelector(".top"));
  }

  openAll() {
    const open = this.board.classList.toggle("open");
    this.all.setAttribute("aria-expanded", String(open));
    tell(this.all, open ? "Fewer figures" : "All figures");
  }

  // What happens ----------------------------------------------------------------------------------

  /** Other units: labels and limits are told anew. */
  turned(start) {
    this.start = start;
    this.picture.units = start.units;
    if (this.bench.opened === null) return;
    this.form.lay(start.groups, this.bench.texts);
    this.faults.told = "";
    this.picture.fit(true);
    this.answered();
  }

  opened() {
    this.form.lay(this.start.groups, this.bench.texts);
    this.name.value = this.bench.texts[NAME] ?? "";
    this.picture.all = undefined;
    this.answered();
  }

  showTexts() {
    const all = this.bench.drag === null;
    this.form.show(this.bench.texts, all);
    const name = this.bench.texts[NAME] ?? "";
    if (this.name.value !== name) this.name.value = name;
    this.showState();
  }

  typed() {
    this.form.heard(this.bench.texts);
    this.showState();
  }

  answered() {
    const { bench } = this;
    const { good, faults } = bench;
    const before = bench.before?.units === good?.units ? bench.before : null;
    const said = this.figures.show(good, before, bench.further, bench.furtherOf === bench.texts);
    this.draw();
    if (good !== null) this.form.showPlain(good.shown ?? {});
    const ofName = faults.find(({ field }) => field === NAME);
    this.nameFault.hidden = ofName === undefined;
    tell(this.nameFault, ofName ? `The name: ${ofName.allowed}` : "");
    this.showStale();
    this.showState();
    this.showFaults();
    if (said && faults.length === 0) say(said);
  }

  /** Faults at their fields and in the list, once the hand rests; what is held stays where it is. */
  showFaults() {
    const { faults } = this.bench;
    if (this.form.typing !== null) return;
    const held = this.form.host.contains(document.activeElement) ? document.activeElement : null;
    steady(held, () => {
      this.form.showFaults(faults);
      this.faults.show(faults);
    });
    if (faults.length) say(`${faults.length === 1 ? "One thing" : `${faults.length} things`} to put right: ${called(faults[0].field)}`);
  }

  draw() {
    const { good, before, changed } = this.bench;
    this.board.classList.toggle("empty", good === null);
    if (good === null) {
      this.grips.show([]);
      return;
    }
    const earlier = this.compare.checked && changed && before !== null ? before.picture : null;
    this.picture.show(good.picture, earlier);
  }

  showGrips() {
    const { good, faults, failed } = this.bench;
    this.grips.show(good === null || faults.length || failed ? [] : good.grips ?? []);
  }

  showStale() {
    const { faults, failed, good, drag } = this.bench;
    const many = faults.length === 1 ? "one thing" : `${faults.length} things`;
    this.stale.hidden = faults.length === 0 && !failed;
    this.board.classList.toggle("out-of-date", !this.stale.hidden);
    if (failed) {
      tell(this.stale, `Not up to date: ${failed}`);
    } else if (faults.length) {
      const what = good === null ? "No picture yet" : "Not up to date";
      fill(this.stale, `${what}: `, make("a", {
        href: "#head", on: { click: (event) => { event.preventDefault(); this.toFaults(); } },
      }, `${many} to put right`));
    }
    this.showStop(drag);
  }

  /** What kept a grip from going further, until something else is changed: it may name a field. */
  showStop(drag) {
    const { texts } = this.bench;
    if (drag !== null) this.halt = { fault: drag.faults[0], words: stopped(drag), texts: null };
    else if (this.halt?.texts === null) this.halt.texts = texts;
    else if (this.halt?.texts !== texts) this.halt = undefined;
    const words = this.halt?.words ?? "";
    this.stop.hidden = words === "" || !this.stale.hidden;
    if (words === this.stopped) return;
    this.stopped = words;
    const { field } = this.halt?.fault ?? {};
    fill(this.stop, words, words && this.form.fieldOf(field) !== null ? make("a", {
      href: "#head", on: { click: (event) => { event.preventDefault(); this.form.goTo(field); } },
    }, "To its field") : null);
    if (words) say(words);
  }

  toFaults() {
    this.faults.node.scrollIntoView({ block: "start" });
    this.faults.node.focus({ preventScroll: true });
  }

  showState() {
    const { bench } = this;
    tell(this.state, bench.unsaved ? "not saved" : "");
    this.undo.disabled = !bench.past.canUndo;
    this.redo.disabled = !bench.past.canRedo;
    this.back.disabled = !bench.changed;
  }

  /** One step back, forth or to the start. */
  step(which) {
    this.form.flush();
    this.bench[which]();
  }

  async swap(way, to) {
    const { bench } = this;
    this.form.flush();
    try {
      const { texts } = await post("api/swap", { texts: bench.texts, units: bench.units, way, to });
      bench.put(texts);
      this.form.show(bench.texts, true);
      return true;
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      say("Put right what is marked first, then choose the other way.");
      this.faults.show(error.faults);
      this.form.showFaults(error.faults);
      return false;
    }
  }
}
