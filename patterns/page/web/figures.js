// The figures beside the picture, and what may be doubted.

import { fill, make, tell, tellWhole, whole } from "./dom.js";
import { sentence } from "./words.js";

/** What a smith looks for first; on a phone the first four stand in the strip. */
const FIRST = [
  "cut", "outer-face", "inner-face", "dividers", "bit", "bar", "head", "eye", "balance",
];
const STRIP = 4;
const KEY = 5;

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
  show(good, before, further = [], ready = true) {
    const figures = good === null ? [] : [...good.figures, ...further];
    const later = new Set(further.map(({ name }) => name));
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
      const chief = figure.big || plain(figure.text);
      const old = was.get(figure.name);
      const differs = old !== undefined && (old.big !== figure.big || plain(beside(old)) !== plain(beside(figure)));
      if (row.big.textContent && row.big.textContent !== chief && FIRST.includes(figure.name)) {
        said.push(`${figure.label} ${chief}`);
      }
      tell(row.label, figure.label);
      tellWhole(row.big, chief);
      tellWhole(row.text, figure.big ? beside(figure) : "");
      tellWhole(row.was, differs ? `was ${short(old, figure)}` : "");
      row.node.classList.toggle("changed", differs);
      row.node.classList.toggle("late", later.has(figure.name) && !ready);
      row.node.classList.toggle("long", !figure.big && chief.length > 24);
    }
    this.showDoubts(good === null ? null : good.doubts);
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
    node.classList.toggle("beside", place >= KEY);
    if (place >= 0) {
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
    if (doubts === null) {
      fill(this.doubts);
      return;
    }
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
      ...whole(`${sentence(text)} `),
      make("span", { class: "source" }, source ? `Source: ${sentence(source)} ` : ""),
      link,
    );
  }
}

/** What a row says besides its foremost figure; of the head not its name, which stands above. */
function beside({ name, text, big }) {
  const at = text.indexOf(big);
  if (at < 0) return text;
  const before = name === "head" ? "" : text.slice(0, at);
  return `${before}${text.slice(at + big.length).replace(/^[,;]?\s+/, "")}`;
}

/** A row without a foremost figure, in the chosen units alone: the other ones stand on the sheets. */
function plain(text) {
  return text.replace(/ \([\d.,]+ (?:mm|g|in)\)/g, "");
}

/** A figure as it was: the foremost one, or all where that is the same. */
function short(old, now) {
  if (!old.big) return plain(old.text);
  return old.big === now.big ? plain(` ${beside(old)}`).replace(/^[\s,;]+/, "") : old.big;
}
