// Which bar for the head, and what a bar with its marks gives.

import { list, refusal, rows, table, view } from "./answers.js";
import { button, fill, fresh, make, tell, whole } from "./dom.js";
import { FaultList } from "./faults.js";
import { Form } from "./form.js";
import { without } from "./bench.js";
import { say } from "./saying.js";
import { Refused, post } from "./server.js";
import { sentence } from "./words.js";

const FIGURES = {
  cut: "cut", head: "the head weighs", all: "pieces from all of it", left: "left of a bar", cost: "cost of a piece",
  doubts: "doubts",
};
/** What stands behind "more". */
const FURTHER = {
  piece: "the piece weighs", waste: "waste", wall_over_bar: "thickness of a wall over that of the bar",
  spread_needed: "spread that the marks need", drawing_gives: "spread that drawing gives", upset: "poll to upset",
};
/** Cards that are shown at once; the rest lie behind "more". */
const FEW = 6;
const LARGEST = 200_000;
const WANT = "want";

export class Bars {
  /**
   * @param {import("./bench.js").Bench} bench
   * @param {() => void} toHead shows the head
   */
  constructor(bench, start, toHead) {
    this.bench = bench;
    this.start = start;
    this.toHead = toHead;
    this.written = null;
    this.piece = null;
    const file = fresh("rack");
    this.said = make("p", { class: "hint", role: "status" });
    this.choices = make("div", {});
    this.file = make("input", { type: "file", id: file, accept: ".csv,text/csv", on: { change: () => this.take() } });
    this.forecast = new Forecast(bench);
    fill(
      document.getElementById("bars-inside"),
      make("section", { class: "block", "aria-label": "Which bar for this head" },
        make("h2", {}, "Which bar for this head"), this.said, this.choices,
        make("details", { class: "more" }, make("summary", {}, "Another list of bars"),
          make("p", { class: "hint" }, "A CSV file with a row for each bar: its section, its length and how many there are. It is looked at here, and kept nowhere."),
          make("label", { for: file }, "The file"), this.file)),
      this.forecast.node,
    );
  }

  enter(start) {
    this.start = start;
    this.look();
    this.forecast.enter(start);
  }

  async take() {
    const file = this.file.files[0];
    if (!file) return;
    if (file.size > LARGEST) {
      fill(this.choices, make("p", { class: "fault" }, "This file is too large for a list of bars."));
      return;
    }
    this.written = await file.text();
    this.look();
  }

  async look() {
    const { bench } = this;
    if (bench.opened === null) return;
    tell(this.said, "Every bar is being tried.");
    try {
      const found = await post("api/choose", { texts: bench.texts, units: bench.units, rack: this.written });
      this.show(found);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      tell(this.said, "");
      fill(this.choices, refusal(error));
    }
  }

  show({ said, ranking, kerf, currency, rows: found }) {
    const able = found.filter(({ can }) => can);
    const others = found.filter(({ can }) => !can);
    tell(this.said, `${able.length} of ${found.length} can make it: ${said}. The best first: ${ranking}. The saw takes ${kerf}.`);
    const cards = able.map((row, i) => this.card(row, i + 1, currency));
    fill(
      this.choices,
      make("ol", { class: "choices" }, ...cards.slice(0, FEW)),
      cards.length > FEW ? make("details", { class: "more" }, make("summary", {}, `Others that can make it (${cards.length - FEW})`),
        make("ol", { class: "choices" }, ...cards.slice(FEW))) : null,
      others.length ? make("details", { class: "more", open: able.length === 0 },
        make("summary", {}, `Cannot make it (${others.length})`),
        make("ul", {}, ...others.map((row) => make("li", { dir: "auto", data: { bar: row.section } },
          make("b", {}, titled(row)), `: ${row.why.join("; ")}`)))) : null,
    );
  }

  card(row, rank, currency) {
    const value = (key) => (key === "cost" && currency ? `${row.figures[key]} ${currency}` : row.figures[key]);
    const figures = (labels) => make("dl", {}, ...Object.entries(labels).filter(([key]) => row.figures[key] !== undefined && row.figures[key] !== "-")
      .flatMap(([key, label]) => [make("dt", {}, label), make("dd", { data: { figure: key } }, ...whole(value(key)))]));
    return make(
      "li", { class: "choice", data: { bar: row.section, name: row.name } },
      make("h3", { dir: "auto" }, make("span", { class: "rank-no" }, `${rank}. `), ...whole(titled(row))),
      figures(FIGURES),
      list(row.notes.map(sentence)),
      make("details", { class: "more" }, make("summary", {}, "More of this bar"), figures(FURTHER)),
      make("div", { class: "answers" }, row.own
        ? make("p", { class: "hint" }, "This is the head's bar.")
        : button("Take this bar", () => this.choose(row), { class: rank === 1 ? "chief" : null, "aria-label": `Take this bar, ${titled(row)}` })),
    );
  }

  choose(row) {
    const { bench } = this;
    bench.put({ ...bench.texts, ...row.texts });
    say(`The bar is now ${row.section}.`);
    this.toHead();
  }
}

function titled({ name, section, steel }) {
  return [name && name !== section ? `${name}, ${section}` : section, steel].filter(Boolean).join(", ");
}

/** Bar and marks in, eye and head out. */
class Forecast {
  constructor(bench) {
    this.bench = bench;
    this.texts = null;
    this.form = new Form(make("div"), {
      type: (key, text) => { this.texts = without(this.texts, key, text); this.form.heard(this.texts); this.look(); },
      units: () => this.bench.units,
      all: true,
    });
    this.faults = new FaultList(this.form);
    const id = fresh(WANT);
    this.want = make("input", {
      type: "text", id, data: { key: WANT }, spellcheck: "false", "aria-describedby": `${id}-help ${id}-fault`,
      on: { change: () => this.look() },
    });
    this.wantFault = make("p", { class: "fault", id: `${id}-fault` });
    this.answer = make("div", { class: "answer" });
    this.node = make(
      "section", { class: "block", "aria-label": "What a bar with its marks gives", id: "forecast" },
      make("h2", {}, "What a bar with its marks gives"),
      make("p", { class: "hint" }, "The other way round: a bar that is cut and marked already, and which eye and head come of it. Nothing of the head on the bench is changed."),
      make("div", { class: "answers" }, button("Begin from this head", () => this.begin(), { id: "begin-from-head" })),
      make("div", { class: "two" },
        make("form", { class: "asking", autocomplete: "off", novalidate: true, "aria-label": "Bar and marks", on: { submit: (event) => event.preventDefault() } },
          this.faults.node, this.form.host),
        make("div", {},
          make("div", { class: "field" }, make("label", { for: id }, "Perimeter of the eye that is wanted"), this.want,
            make("p", { class: "hint", id: `${id}-help` }, "By a strip of paper round the handle. It may be left empty."), this.wantFault),
          this.answer)),
    );
  }

  enter(start) {
    if (this.texts === null) {
      this.texts = {};
      this.form.about.open = [start.piece[0]?.name];
      this.form.lay(start.piece, this.texts);
    } else if (this.start !== start) {
      this.form.lay(start.piece, this.texts);
    }
    this.start = start;
  }

  async begin() {
    const { bench } = this;
    try {
      const { piece } = await post("api/pieces", { texts: bench.texts, units: bench.units });
      this.texts = piece;
      this.form.lay(this.start.piece, piece);
      this.look();
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      fill(this.answer, refusal(error));
    }
  }

  async look() {
    this.stop?.abort();
    this.stop = new AbortController();
    try {
      const found = await post("api/predict", { piece: this.texts, units: this.bench.units, want: this.want.value }, { signal: this.stop.signal });
      this.showFaults([]);
      this.form.showPlain(found.shown ?? {});
      this.show(found);
      if (found.eye) say(`Eye ${found.eye.perimeter} round`);
    } catch (error) {
      if (error.name === "AbortError") return;
      if (!(error instanceof Refused)) throw error;
      this.showFaults(error.faults);
      fill(this.answer, error.faults.length ? null : make("p", { class: "fault" }, error.message));
    }
  }

  showFaults(faults) {
    this.form.showFaults(faults);
    this.faults.show(faults.filter(({ field }) => field !== WANT));
    const want = faults.find(({ field }) => field === WANT);
    tell(this.wantFault, want ? `${want.given} is given. Allowed: ${want.allowed}. ${sentence(want.change)}` : "");
  }

  show({ rows: said, sizes, picture, eye, ways = [], doubts = [], assumed = [] }) {
    const shown = said.filter(({ label }, i) => label !== "" && label !== "Wanted" && (label !== "In reach" || said[i - 1]?.label === "Fits"));
    fill(
      this.answer,
      picture ? view(picture, "Eye, walls and poll from above") : null,
      eye ? make("p", { class: "key" }, ...whole(`Eye ${eye.length} x ${eye.width}, ${eye.perimeter} round`)) : null,
      ways.length ? make("div", { class: "ways" }, make("h3", {}, "To the wanted eye"), list(ways)) : null,
      rows(shown),
      sizes ? table("The eye in other forms, and with other walls", sizes.head, sizes.rows) : null,
      doubts.length ? make("div", {}, make("h3", {}, "Doubts"), list(doubts.map((each) => sentence(each.text ?? each)))) : null,
      assumed.length ? make("div", {}, make("h3", {}, "Taken as told"), list(assumed.map(sentence))) : null,
    );
  }
}
