// The figures beside the picture, and what may be doubted.

import { fill, make, tell } from "./dom.js";
import { sentence } from "./server.js";

/** What a smith looks for first; on a phone the first four stand in the strip. */
const FIRST = [
  "cut", "outer-face", "inner-face", "dividers", "bar", "bit", "head", "eye", "balance",
];
const STRIP = 4;

export class Figures {
  /** @param {(key: string) => void} goTo shows the field of a key */
  constructor(goTo) {
    this.goTo = goTo;
    this.rows = new Map();
    this.first = make("dl", { class: "first" });
    this.rest = make("dl", { class: "rest" });
    this.doubts = make("div", { class: "doubts" });
    this.doubted = "";
    this.node = make(
      "section", { class: "figures", "aria-label": "Figures" },
      this.first, this.doubts,
      make("details", { class: "more" }, make("summary", {}, "More of the plan"), this.rest),
    );
  }

  /**
   * @param {{figures: Array<object>, doubts: Array<object>} | null} good
   * @param {{figures: Array<object>} | null} before the figures of the head as it was opened
   * @returns {string} in words, what came of the last change
   */
  show(good, before) {
    const figures = good?.figures ?? [];
    const was = new Map((before?.figures ?? []).map((figure) => [figure.name, figure]));
    const names = new Set(figures.map(({ name }) => name));
    for (const [name, row] of this.rows) {
      if (names.has(name)) continue;
      row.node.remove();
      this.rows.delete(name);
    }
    const said = [];
    for (const figure of figures) {
      const row = this.row(figure);
      const old = was.get(figure.name);
      const differs = old !== undefined && old.text !== figure.text;
      if (row.big.textContent && row.big.textContent !== (figure.big || figure.text) && FIRST.includes(figure.name)) {
        said.push(`${figure.label} ${figure.big || figure.text}`);
      }
      tell(row.label, figure.label);
      tell(row.big, figure.big || figure.text);
      tell(row.text, figure.big ? beside(figure) : "");
      tell(row.was, differs ? `was ${short(old, figure)}` : "");
      row.node.classList.toggle("changed", differs);
      row.node.classList.toggle("long", !figure.big && figure.text.length > 34);
    }
    this.showDoubts(good?.doubts ?? []);
    return said.join(", ");
  }

  row({ name }) {
    const known = this.rows.get(name);
    if (known !== undefined) return known;
    const label = make("dt");
    const big = make("dd", { class: "big", dir: "auto" });
    const text = make("dd", { class: "text", dir: "auto" });
    const was = make("dd", { class: "was", dir: "auto" });
    const place = FIRST.indexOf(name);
    const node = make("div", { data: { figure: name } }, label, big, text, was);
    node.classList.toggle("strip", place >= 0 && place < STRIP);
    if (place >= 0) {
      node.style.order = String(place);
      const next = [...this.first.children].find((each) => FIRST.indexOf(each.dataset.figure) > place);
      this.first.insertBefore(node, next ?? null);
    } else {
      this.rest.append(node);
    }
    const row = { node, label, big, text, was };
    this.rows.set(name, row);
    return row;
  }

  showDoubts(doubts) {
    const told = JSON.stringify(doubts);
    if (told === this.doubted) return;
    this.doubted = told;
    if (doubts.length === 0) {
      fill(this.doubts, make("p", { class: "none" }, "No doubts about this plan."));
      return;
    }
    const stops = doubts.some((doubt) => doubt.stops);
    const many = doubts.length === 1 ? "One doubt" : `${doubts.length} doubts`;
    fill(
      this.doubts,
      make("h2", {}, stops ? `${many}: the work as planned cannot go on` : many),
      make("ul", {}, ...doubts.map((doubt) => this.doubt(doubt))),
    );
  }

  doubt({ field, text, source, stops }) {
    const link = make(
      "a",
      { href: "#head", on: { click: (event) => { event.preventDefault(); this.goTo(field); } } },
      "to its field",
    );
    return make(
      "li", { class: stops ? "stop" : null, data: { doubt: field } },
      stops ? make("strong", {}, "Stop. ") : null,
      `${sentence(text)} `,
      make("span", { class: "source" }, source ? `Source: ${sentence(source)} ` : ""),
      link,
    );
  }
}

/** What a row says besides its foremost figure. */
function beside({ text, big }) {
  return text.startsWith(big) ? text.slice(big.length).replace(/^[,;]?\s+/, "") : text;
}

/** A figure as it was: the foremost one, or all where that is the same. */
function short(old, now) {
  return old.big && old.big !== now.big ? old.big : old.text;
}
