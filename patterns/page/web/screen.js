// How large a millimetre is on this screen: measured against a bank card or a rule.

import { button, drawn, fill, fresh, make, tell } from "./dom.js";
import { set, setting } from "./keeping.js";

/** CSS pixels to the millimetre where nobody has measured. */
const NOMINAL = 96 / 25.4;
const LEAST = 1.5;
const MOST = 14;
const STEP = 0.005;
/** ISO/IEC 7810, ID-1: width and height of a bank card [mm]. */
const CARD = [85.6, 53.98];
const RULES = { in: [101.6, "4 in"], mm: [100, "100 mm"] };
const NARROW = 560;

/** The name under which this screen's measure is kept: another screen or zoom has another. */
function name() {
  return `screen.${screen.width}x${screen.height}@${window.devicePixelRatio}`;
}

/** Pixels to the millimetre, and whether they were measured. */
export function measure() {
  const found = setting(name(), null);
  const sound = typeof found === "number" && found >= LEAST && found <= MOST;
  return { scale: sound ? found : NOMINAL, measured: sound };
}

export class Calibration {
  /** @param {() => void} done is told when the measure was changed */
  constructor(units, done) {
    this.units = units;
    this.done = done;
    this.kind = "card";
    this.shape = drawn("svg", { class: "measure-shape", role: "img" });
    const id = fresh("slider");
    this.slider = make("input", {
      type: "range", id, min: String(LEAST), max: String(MOST), step: String(STEP),
      on: { input: () => this.resize(Number(this.slider.value)) },
    });
    this.now = make("output", { for: id });
    this.node = make(
      "details", { class: "calibration", id: "calibration", on: { toggle: () => this.node.open && this.begin() } },
      make("summary", {}, "Measure this screen"),
      make("p", {}, "Hold a bank card or a rule against the shape, and make the shape larger or smaller until both are the same. 100 % is then the true size on this screen."),
      make("fieldset", { class: "pair" }, make("legend", {}, "Against"), this.radio("card", "a bank card"), this.radio("rule", "a rule")),
      make("div", { class: "measure" }, this.shape),
      make("div", { class: "slide" },
        button("−", () => this.nudge(-1), { "aria-label": "Smaller" }),
        make("label", { for: id, class: "unseen" }, "Size of the shape"), this.slider,
        button("+", () => this.nudge(1), { "aria-label": "Larger" })),
      make("p", {}, this.now),
      make("div", { class: "answers" },
        button("It is the same size: keep this", () => this.keep(), { class: "chief", id: "keep-measure" }),
        button("Forget the measure", () => this.forget())),
    );
  }

  radio(kind, label) {
    return make("label", {}, make("input", {
      type: "radio", name: "against", value: kind, checked: kind === this.kind,
      on: { change: () => { this.kind = kind; this.resize(this.scale); } },
    }), make("span", {}, label));
  }

  begin() {
    this.resize(measure().scale);
  }

  nudge(way) {
    this.resize(Math.min(MOST, Math.max(LEAST, this.scale + way * STEP * 2)));
  }

  /** Draws the shape at so many pixels to the millimetre; upright where the screen is narrow. */
  resize(scale) {
    this.scale = scale;
    this.slider.value = String(scale);
    const upright = window.innerWidth < NARROW;
    const [long, label] = RULES[this.units];
    const sides = this.kind === "card" ? [...CARD] : [long, 14];
    if (upright) sides.reverse();
    const [wide, high] = sides.map((each) => each * scale);
    this.shape.setAttribute("width", String(wide + 2));
    this.shape.setAttribute("height", String(high + 2));
    const round = this.kind === "card" ? 3.18 * scale : 0;
    fill(this.shape, drawn("rect", { x: 1, y: 1, width: wide, height: high, rx: round }));
    this.shape.setAttribute("aria-label", this.kind === "card"
      ? "Outline of a bank card, 85.60 by 53.98 mm" : `A bar, ${label} long`);
    tell(this.now, this.kind === "card"
      ? "A bank card is 85.60 mm x 53.98 mm (ISO/IEC 7810, ID-1)." : `The long side is ${label}.`);
  }

  keep() {
    set(name(), this.scale);
    this.node.open = false;
    this.done();
  }

  forget() {
    set(name(), null);
    this.begin();
    this.done();
  }
}
