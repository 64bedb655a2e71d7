// The sheets as they will print, at a chosen size.

import { button, fill, fresh, make, tell } from "./dom.js";
import { Calibration, measure } from "./screen.js";
import { setting, set } from "./keeping.js";
import { Refused, post } from "./server.js";
import { inWords } from "./words.js";

/** As narrow as a phone: as in page.css. */
const NARROW = matchMedia("(max-width: 43.75em)");
const ZOOMS = [["fit", "fit"], ["50", "50 %"], ["100", "100 %"], ["200", "200 %"], ["own", "own"]];
const LEAST = 10;
const MOST = 800;

export class Sheets {
  /** @param {import("./bench.js").Bench} bench */
  constructor(bench, start) {
    this.bench = bench;
    this.start = start;
    this.place = document.getElementById("sheets-inside");
    this.sheet = start.sheets.find(({ everyday }) => everyday)?.name ?? start.sheets[0].name;
    this.zoom = setting("zoom", "fit");
    this.own = setting("zoom.own", 150);
    this.pages = [];
    this.at = 0;
    this.url = null;
    this.asked = null;
    this.build();
    for (const event of ["answer", "opened"]) bench.addEventListener(event, () => this.changed());
    window.addEventListener("resize", () => this.size());
  }

  build() {
    const { start } = this;
    this.list = make("ol", { class: "sheet-list" }, ...start.sheets.map((sheet) =>
      make("li", {}, button(sheet.title, () => this.choose(sheet.name), { data: { sheet: sheet.name } }))));
    const pick = fresh("sheet");
    this.pick = make("select", { id: pick, on: { change: () => this.choose(this.pick.value) } },
      ...start.sheets.map((sheet) => make("option", { value: sheet.name }, sheet.title)));
    const id = fresh("paper");
    this.paper = make("select", { id, data: { field: "paper" }, on: { change: () => { set("paper", this.paper.value); this.look(0); } } },
      ...start.papers.map((paper) => make("option", { value: paper.name }, paper.title)));
    this.paper.value = setting("paper", start.units === "mm" ? "a4" : "letter");
    if (!this.paper.value) this.paper.selectedIndex = 0;
    this.where = make("p", { class: "where", role: "status" });
    this.image = make("img", { class: "page-image", alt: "", hidden: true });
    this.pane = make("div", { class: "pane", role: "region", "aria-label": "The page", tabindex: "0" }, this.image);
    this.faults = make("div", { class: "sheet-faults", hidden: true });
    this.truth = make("p", { class: "truth" });
    this.calibration = new Calibration(start.units, () => this.size());
    this.previous = button("Previous", () => this.step(-1), { id: "previous-page" });
    this.next = button("Next", () => this.step(1), { id: "next-page" });
    this.sizes = this.zooms();
    this.onward = button("Next: save and print", () => document.getElementById("to-save").click());
    fill(
      this.place,
      make("div", { class: "sheet-bench" },
        make("nav", { class: "sheet-nav", "aria-label": "Sheets" }, this.list),
        make("div", { class: "sheet-view" },
          make("div", { class: "sheet-tools" },
            make("div", { class: "field sheet-pick" }, make("label", { for: pick }, "Sheet"), this.pick),
            make("div", { class: "turn" }, this.previous, this.where, this.next),
            this.sizes,
            make("div", { class: "field" }, make("label", { for: id }, "Paper"), this.paper)),
          this.truth,
          this.faults,
          this.pane,
          make("p", { class: "onward" }, this.onward),
          make("p", { class: "advice" }, "A screen is no pattern: print the PDF, at 100 %, actual size, and measure the check bars."),
          this.calibration.node)),
    );
    this.mark();
  }

  zooms() {
    this.ownField = make("input", {
      type: "text", inputmode: "numeric", class: "own-zoom", "aria-label": "Own size in percent", value: String(this.own),
      on: { change: () => this.zoomOwn() },
    });
    const radios = ZOOMS.map(([value, label]) => make("label", { data: { zoom: Number(value) / 100 || value } }, make("input", {
      type: "radio", name: "zoom", value, checked: value === this.zoom,
      on: { change: () => this.zoomTo(value) },
    }), make("span", {}, label)));
    return make("fieldset", { class: "pair zoom" }, make("legend", {}, "Size; 100 % is true size"), ...radios, this.ownField);
  }

  /** The place is shown. */
  enter(start) {
    if (start.units !== this.start.units) {
      this.start = start;
      this.calibration.units = start.units;
      this.asked = null;
    }
    this.shown = true;
    this.size();
    this.changed();
  }

  leave() {
    this.shown = false;
  }

  changed() {
    if (!this.shown || this.bench.drag !== null) return;
    if (this.asked === this.question()) return;
    this.look(this.at);
  }

  question() {
    const { bench } = this;
    return JSON.stringify([bench.texts, bench.units, this.sheet, this.paper.value]);
  }

  choose(name, at = 0) {
    this.sheet = name;
    this.mark();
    this.look(at);
  }

  mark() {
    this.pick.value = this.sheet;
    for (const each of this.list.querySelectorAll("button")) {
      if (each.dataset.sheet === this.sheet) each.setAttribute("aria-current", "true");
      else each.removeAttribute("aria-current");
    }
  }

  /** Asks for the chosen sheet; `at`: its page to show, the last one if there are fewer. */
  async look(at) {
    const { bench } = this;
    this.stop?.abort();
    this.asked = this.question();
    if (bench.opened === null) return;
    const stop = new AbortController();
    this.stop = stop;
    tell(this.where, "Being drawn");
    this.pane.setAttribute("aria-busy", "true");
    try {
      const found = await post("api/sheet", {
        texts: bench.texts, slug: bench.opened.slug, units: bench.units, sheet: this.sheet, paper: this.paper.value,
      }, { signal: stop.signal });
      this.title = found.title;
      this.pages = found.pages;
      this.at = Math.min(at, this.pages.length - 1);
      this.faults.hidden = true;
      this.show();
    } catch (error) {
      if (error.name === "AbortError") return;
      if (!(error instanceof Refused)) throw error;
      this.refused(error);
    }
    if (this.stop === stop) this.pane.removeAttribute("aria-busy");
  }

  refused(error) {
    this.pages = [];
    this.show();
    tell(this.where, "");
    const said = error.faults.length ? error.faults.map(inWords) : [error.message];
    fill(this.faults, make("p", {}, "This sheet cannot be drawn:"), make("ul", {}, ...said.map((each) => make("li", {}, each))),
      make("p", {}, make("a", { href: "#head" }, "Back to the head")));
    this.faults.hidden = false;
  }

  show() {
    const page = this.pages[this.at];
    this.image.hidden = this.pane.hidden = this.sizes.disabled = this.onward.disabled = page === undefined;
    if (this.url !== null) URL.revokeObjectURL(this.url);
    this.url = null;
    this.reach();
    if (page === undefined) {
      this.truth.hidden = true;
      return;
    }
    this.url = URL.createObjectURL(new Blob([page.svg], { type: "image/svg+xml" }));
    this.image.src = this.url;
    const place = this.pages.length === 1 ? "one page" : `page ${this.at + 1} of ${this.pages.length}`;
    this.image.alt = `${this.title}, ${place}, as it will print`;
    tell(this.where, place);
    this.pane.scrollTo(0, 0);
    this.size();
  }

  reach() {
    const sheets = this.start.sheets;
    const i = sheets.findIndex(({ name }) => name === this.sheet);
    const held = document.activeElement;
    this.previous.disabled = this.at <= 0 && i === 0;
    this.next.disabled = this.at >= this.pages.length - 1 && i === sheets.length - 1;
    if (held === this.next && this.next.disabled) this.previous.focus();
    if (held === this.previous && this.previous.disabled) this.next.focus();
  }

  /** To the page before or after, and on to the sheet before or after. */
  step(way) {
    const at = this.at + way;
    if (at >= 0 && at < this.pages.length) {
      this.at = at;
      this.show();
      return;
    }
    const sheets = this.start.sheets;
    const next = sheets[sheets.findIndex(({ name }) => name === this.sheet) + way];
    if (next) this.choose(next.name, way < 0 ? Infinity : 0);
  }

  // Size ------------------------------------------------------------------------------------------

  zoomTo(value) {
    this.zoom = value;
    set("zoom", value);
    this.size();
  }

  /** So large that all of a page is seen; on a narrow screen as wide as that is. */
  fitting(page, scale) {
    const wide = Math.max(40, this.pane.clientWidth - 2) / (page.width * scale);
    const high = Math.max(300, window.innerHeight - 330) / (page.height * scale);
    return NARROW.matches ? wide : Math.min(wide, high);
  }

  zoomOwn() {
    const percent = Number(this.ownField.value.replace("%", ""));
    if (Number.isFinite(percent) && percent > 0) this.own = Math.min(MOST, Math.max(LEAST, percent));
    this.ownField.value = String(this.own);
    set("zoom.own", this.own);
    this.place.querySelector("input[name=zoom][value=own]").checked = true;
    this.zoomTo("own");
  }

  size() {
    this.ownField.hidden = this.zoom !== "own";
    const page = this.pages[this.at];
    if (!this.shown || page === undefined) return;
    const { scale, measured } = measure();
    const factor = this.zoom === "fit" ? this.fitting(page, scale) : (this.zoom === "own" ? this.own : Number(this.zoom)) / 100;
    this.image.style.width = `${page.width * scale * factor}px`;
    this.image.style.height = `${page.height * scale * factor}px`;
    this.pane.dataset.factor = factor.toFixed(4);
    this.truth.hidden = false;
    const percent = `${Math.round(factor * 100)} %`;
    tell(this.truth, measured
      ? `Shown at ${percent} of true size, as this screen was measured.`
      : `Shown at about ${percent} of true size: this screen has not been measured, see below.`);
    this.truth.classList.toggle("unsure", !measured);
  }
}
