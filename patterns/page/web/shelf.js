// Heads to choose from, all at one scale.

import { button, drawn, fill, make, whole, words } from "./dom.js";
import { sound } from "./bench.js";
import { forgetLeft, headOfAnother } from "./keeping.js";
import { joined, moved } from "./picture.js";
import { Refused, get } from "./server.js";

const GAP = 6;
const EDGE = 3;
/** Pixels to the millimetre: no larger than this, and no larger than the longest head has room. */
const LARGEST = 1.55;
const RULE = { in: [101.6, "4 in"], mm: [100, "100 mm"] };

export class Shelf {
  /**
   * @param {(head: object) => void} open
   * @param {(head: object) => void} startFrom
   * @param {(left: object) => void} goOn takes up a head that another window left unsaved
   */
  constructor(open, startFrom, goOn, folder) {
    this.open = open;
    this.startFrom = startFrom;
    this.goOn = goOn;
    this.folder = folder;
    this.place = document.getElementById("shelf-heads");
    this.left = make("div", { class: "left-over" });
    this.place.before(this.left);
    this.heads = null;
    new ResizeObserver(() => this.size()).observe(this.place);
  }

  /** Asks for the heads and shows them. */
  async look(units) {
    this.units = units;
    if (this.heads === null) fill(this.place, make("p", { class: "waiting" }, "The heads are being drawn."));
    let heads;
    try {
      ({ heads } = await get(`api/shelf?units=${units}`));
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      fill(this.place, make("p", { class: "fault" }, `The shelf cannot be shown: ${error.message}`));
      return;
    }
    const left = await headOfAnother();
    if (this.units !== units) return; // others were chosen meanwhile
    this.left.replaceChildren(...this.leftOver(left));
    const told = JSON.stringify([units, heads]);
    if (told === this.told) return;
    this.told = told;
    this.heads = heads;
    this.show();
  }

  /** What another window left unsaved. */
  leftOver(left) {
    if (!sound(left)) return [];
    const name = left.texts.name || left.opened.slug;
    return [
      make("p", { dir: "auto" }, "A window was left without saving ", words(name), "."),
      make("div", { class: "answers" },
        button("Go on with it", () => this.goOn(left), { class: "chief", "aria-label": `Go on with ${name}` }),
        button("Forget it", () => { forgetLeft(); this.left.replaceChildren(); }, { "aria-label": `Forget ${name}` })),
    ];
  }

  show() {
    this.pictures = [];
    const own = this.heads.filter((head) => head.own);
    const shipped = this.heads.filter((head) => !head.own);
    this.rule = drawn("svg", { class: "scale-bar", "aria-hidden": "true" });
    const [, name] = RULE[this.units];
    fill(
      this.place,
      make("p", { class: "scale" }, this.rule, make("span", {}, `All heads are at one scale; this bar is ${name} long.`)),
      make("p", { class: "hint" }, "Open one to look at it or to go on with it; start from one to make a head of your own, with a name of its own, out of it."),
      own.length ? this.rank(this.folder ? `Your own, in ${this.folder.name}` : "Your own", own) : null,
      this.rank(own.length ? "On the shelf" : null, shipped),
    );
    this.width = 0;
    this.size();
  }

  rank(title, heads) {
    return make(
      "section", { class: "rank", "aria-label": title ?? "On the shelf" },
      title ? make("h2", { dir: "auto" }, title) : null,
      make("ul", { class: "heads" }, ...heads.map((head) => this.card(head))),
    );
  }

  card(head) {
    const name = head.name || head.slug;
    const about = { class: head.fault ? "card at-fault" : "card", data: { head: head.id } };
    if (head.fault) {
      return make("li", about,
        make("h3", {}, words(name)),
        make("p", { class: "fault" }, "This head is at fault. ", words(head.fault)),
        make("div", { class: "answers" }, button("Open and put right", () => this.open(head), { "aria-label": `Open ${name} and put it right` })));
    }
    return make(
      "li", about,
      this.picture(head),
      make("h3", {}, words(name), head.own ? make("span", { class: "own" }, "yours") : null),
      ...head.lines.map((line, i) => make("p", { class: i === 0 ? "line first" : "line", dir: "auto" }, ...whole(line))),
      head.note ? make("p", { class: "note", dir: "auto" }, head.note) : null,
      make("div", { class: "answers" },
        button("Open", () => this.open(head), { class: "chief", "aria-label": `Open ${name}` }),
        button("Start from this", () => this.startFrom(head), { "aria-label": `Start from ${name}` })),
    );
  }

  picture({ picture, name }) {
    if (picture === null) return make("p", { class: "note" }, "No picture.");
    const { side, plan } = picture;
    const over = side.box[1] - GAP - (plan.box[1] + plan.box[3]);
    const views = [[side, 0], [plan, over]].map(([view, dy]) =>
      drawn("g", { class: dy ? "from-above" : null, transform: `translate(0 ${dy})` }, ...view.paths.map(({ purpose, d }) => drawn("path", { class: purpose, d }))));
    const [left, top, wide, high] = joined([side.box, moved(plan.box, 0, over)]);
    const box = [left - EDGE, top - EDGE, wide + 2 * EDGE, high + 2 * EDGE];
    const svg = drawn("svg", { class: "drawing", viewBox: box.join(" "), role: "img", "aria-label": `Picture of ${name}` }, ...views);
    this.pictures.push([svg, box]);
    return svg;
  }

  /** Gives every picture the one scale that there is room for. */
  size() {
    const width = this.place.clientWidth;
    if (!this.pictures?.length || width === 0 || width === this.width) return;
    this.width = width;
    const longest = Math.max(...this.pictures.map(([, box]) => box[2]));
    const scale = Math.min(LARGEST, (width - 44) / longest);
    for (const [svg, box] of this.pictures) {
      svg.setAttribute("width", String(box[2] * scale));
      svg.setAttribute("height", String(box[3] * scale));
    }
    const long = RULE[this.units][0] * scale;
    this.rule.setAttribute("width", String(long + 2));
    this.rule.setAttribute("height", "14");
    fill(this.rule, drawn("path", { d: `M1 2V12H${long + 1}V2` }));
  }
}
