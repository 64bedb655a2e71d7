// The head drawn: from the side, from above it, along the edge beside it; all at one scale.

import { drawn } from "./dom.js";

const GAP = 9;
/** Room [px] round the picture, so that no grip is cut off; and the least that is left of it. */
const MARGIN = 26;
const LEFT = 14;
/** Least room [px] in which the other two views stand beside the side view. */
const WIDE = 420;
const TALL = 260;
/** How much larger a picture could be before it is drawn larger. */
const SLACK = 1.15;
const LETTERS = 16;

/** Lines of a view; nodes are kept, and only what differs is set. */
class Lines {
  constructor(kind) {
    this.node = drawn("g", { class: kind });
    this.paths = [];
  }

  show(paths) {
    if (paths === this.shown) return;
    this.shown = paths;
    while (this.paths.length < paths.length) {
      const path = drawn("path");
      this.paths.push(path);
      this.node.append(path);
    }
    while (this.paths.length > paths.length) this.paths.pop().remove();
    paths.forEach(({ purpose, d }, i) => {
      put(this.paths[i], "class", purpose);
      put(this.paths[i], "d", d);
    });
  }
}

function isOutline({ purpose }) {
  return purpose === "outline";
}

function put(node, name, value) {
  if (node.getAttribute(name) !== value) node.setAttribute(name, value);
}

export class Picture {
  /** @param {HTMLElement} host what the picture fills */
  constructor(host, units) {
    this.host = host;
    this.units = units;
    this.held = false;
    this.origin = [0, 0];
    this.scale = 1;
    this.views = {};
    this.bodies = {};
    this.earlier = {};
    this.axes = {};
    this.nodes = {};
    this.svg = drawn("svg", { class: "drawing", role: "img", "aria-label": "Head from the side" });
    for (const name of ["side", "plan", "edge"]) {
      this.bodies[name] = new Lines("body");
      this.earlier[name] = new Lines("earlier");
      this.views[name] = new Lines("now");
      this.axes[name] = drawn("path", { class: "centre" });
      this.nodes[name] = drawn(
        "g", { data: { view: name } },
        this.bodies[name].node, this.axes[name], this.earlier[name].node, this.views[name].node,
      );
      this.svg.append(this.nodes[name]);
    }
    this.rule = drawn("path", { class: "rule" });
    this.ruled = drawn("text", { class: "ruled" });
    this.svg.append(this.rule, this.ruled);
    host.append(this.svg);
    this.size = [host.clientWidth, host.clientHeight]; // kept: to ask for it anew would lay the page out anew
    this.watch = new ResizeObserver(([{ contentRect }]) => {
      this.size = [contentRect.width, contentRect.height];
      this.fit(true);
    });
    this.watch.observe(host);
    this.onFit = () => {};
    this.late = false;
  }

  /**
   * @param {object} picture as the server gives it
   * @param {object | null} before likewise, of the head as it was opened; drawn thin beneath the new one
   */
  show(picture, before) {
    const anew = before !== this.before;
    this.picture = picture;
    this.before = before;
    for (const name of ["side", "plan", "edge"]) {
      this.views[name].show(picture[name].paths);
      this.bodies[name].show(picture[name].paths.filter(isOutline));
      if (anew) this.earlier[name].show(before === null ? [] : before[name].paths.filter(isOutline));
    }
    this.fit(false);
  }

  /** While a grip is held nothing moves but the lines. */
  hold(held) {
    const sheet = this.host.parentElement; // nor does it give way to figures that take more lines
    if (held && !this.held) sheet.style.flex = `0 0 ${sheet.offsetHeight}px`;
    if (!held) sheet.style.flex = "";
    this.held = held;
    if (held) return;
    this.fit(this.late);
    this.late = false;
  }

  /** Where a place of the side view [mm] stands in the host [px]. */
  place(x, y) {
    return [(x - this.origin[0]) * this.scale, (y - this.origin[1]) * this.scale];
  }

  fit(anew) {
    const [width, height] = this.size;
    if (!this.picture || width === 0 || height === 0) return;
    const all = width >= WIDE && height >= TALL;
    this.arrange(all);
    if (this.held) this.late ||= anew; // a scale that changed in the hand would throw the point
    else this.zoom(width, height, all, anew);
    this.onFit();
  }

  /** Puts the plan view over the side view, and the edge view beside it. */
  arrange(all) {
    const { nodes, picture: { side, plan, edge } } = this;
    const over = side.box[1] - GAP - (plan.box[1] + plan.box[3]);
    const beside = side.box[0] + side.box[2] + GAP - edge.box[0];
    put(nodes.plan, "transform", `translate(0 ${over})`);
    put(nodes.edge, "transform", `translate(${beside} 0)`);
    for (const name of ["plan", "edge"]) put(nodes[name], "display", all ? "inline" : "none");
    const [left, top, wide, high] = side.box;
    put(this.axes.side, "d", `M${left - 4} 0H${left + wide + 4}`);
    put(this.axes.plan, "d", `M${plan.box[0] - 4} 0H${plan.box[0] + plan.box[2] + 4}`);
    put(this.axes.edge, "d", `M0 ${top - 4}V${top + high + 4}`);
    this.boxes = [side.box];
    if (all) {
      this.boxes.push(moved(plan.box, 0, over), moved(edge.box, beside, 0));
    }
    if (this.before) this.boxes.push(this.before.side.box);
    const seen = all ? "from the side, from above and along the edge" : "from the side";
    put(this.svg, "aria-label", `Head ${seen}`);
  }

  zoom(width, height, all, anew) {
    const box = joined(this.boxes);
    const scale = Math.min((width - 2 * MARGIN) / box[2], (height - 2 * MARGIN) / box[3]);
    if (scale <= 0) return;
    const [left, top] = this.place(box[0], box[1]);
    const [right, low] = this.place(box[0] + box[2], box[1] + box[3]);
    const inside = left >= LEFT && top >= LEFT && right <= width - LEFT && low <= height - LEFT;
    if (!anew && this.all === all && inside && scale < this.scale * SLACK) return;
    this.all = all;
    this.scale = scale;
    this.origin = [
      box[0] + box[2] / 2 - width / scale / 2,
      box[1] + box[3] / 2 - height / scale / 2,
    ];
    put(this.svg, "viewBox", [...this.origin, width / scale, height / scale].join(" "));
    put(this.svg, "width", String(width)); // so that nothing is scaled by the host alone
    put(this.svg, "height", String(height));
    this.drawRule(height / scale);
  }

  /** A bar of known length, so that the picture's size can be judged. */
  drawRule(high) {
    const [length, name] = this.units === "in" ? [25.4, "1 in"] : [20, "20 mm"];
    const px = 1 / this.scale;
    const [left, low] = [this.origin[0] + 10 * px, this.origin[1] + high - 10 * px];
    put(this.rule, "d", `M${left} ${low - 8 * px}V${low}H${left + length}V${low - 8 * px}`);
    put(this.ruled, "x", String(left + length + 8 * px));
    put(this.ruled, "y", String(low));
    put(this.ruled, "font-size", String(LETTERS * px));
    this.ruled.textContent = name;
  }
}

/** A box somewhere else. */
export function moved([left, top, width, height], dx, dy) {
  return [left + dx, top + dy, width, height];
}

/** The smallest box round some boxes. */
export function joined(boxes) {
  const left = Math.min(...boxes.map((box) => box[0]));
  const top = Math.min(...boxes.map((box) => box[1]));
  const right = Math.max(...boxes.map((box) => box[0] + box[2]));
  const bottom = Math.max(...boxes.map((box) => box[1] + box[3]));
  return [left, top, right - left, bottom - top];
}
