// Points of the outline to take hold of: by mouse, by finger, by the arrow keys.

import { make } from "./dom.js";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
/** What one key press moves [mm], and one with Shift. */
const STEPS = { in: [25.4 / 64, 25.4 / 8], mm: [0.5, 5] };
/** Above this [px] a grip's tag stands below it; and how far it keeps from the sides. */
const HIGH = 66;
const SIDE = 4;
const WAYS = { x: "left and right", y: "up and down", xy: "in all directions" };

export class Grips {
  /**
   * @param {HTMLElement} host the box that the picture fills
   * @param {import("./picture.js").Picture} picture
   * @param {import("./bench.js").Bench} bench
   */
  constructor(host, picture, bench) {
    this.picture = picture;
    this.bench = bench;
    this.buttons = new Map();
    this.grips = [];
    this.offset = [0, 0];
    /** Widths [px] of the tags that were seen. */
    this.widths = new Map();
    this.box = null;
    this.at = [0, 0];
    this.layer = make("div", { class: "grips", role: "group", "aria-label": "Points to drag" });
    host.append(this.layer);
    const forget = () => { this.box = null; };
    window.addEventListener("scroll", forget, { passive: true, capture: true });
    window.addEventListener("resize", forget);
  }

  /** Puts the grips where they are now; none where the picture is not up to date. */
  show(grips) {
    this.grips = grips;
    const names = new Set(grips.map(({ name }) => name));
    for (const [name, button] of this.buttons) {
      if (!names.has(name)) {
        button.remove();
        this.buttons.delete(name);
        this.widths.delete(button);
      }
    }
    for (const grip of grips) {
      if (!this.buttons.has(grip.name)) this.buttons.set(grip.name, this.made(grip));
      const button = this.buttons.get(grip.name);
      const held = this.held?.name === grip.name && this.drag.faults.length === 0;
      this.put(button, ...(held ? this.at : [grip.x, grip.y]));
      for (const each of ["x", "y", "along"]) {
        if (button.dataset[each] !== String(grip[each])) button.dataset[each] = grip[each];
      }
    }
  }

  put(button, x, y) {
    const [left, top] = this.picture.place(x, y);
    const there = `translate(${left}px, ${top}px)`;
    if (button.style.transform !== there) button.style.transform = there;
    if (button.dataset.told) this.putTag(button, left, top);
  }

  /** A tag that is seen stands within the picture. */
  putTag(button, left, top) {
    const tag = button.firstElementChild;
    if (!this.widths.has(button)) this.widths.set(button, tag.offsetWidth);
    const half = this.widths.get(button) / 2;
    const [width] = this.picture.size;
    const least = SIDE + half - left;
    const most = width - SIDE - half - left;
    const aside = most < least ? (least + most) / 2 : Math.min(Math.max(0, least), most);
    tag.style.transform = `translateX(calc(-50% + ${aside}px))`;
    button.classList.toggle("high", top < HIGH);
  }

  /** Its tag is about to be seen. */
  tellTag(button, name) {
    button.dataset.told = "true";
    const now = this.grips.find((grip) => grip.name === name);
    if (now !== undefined) this.putTag(button, ...this.picture.place(now.x, now.y));
  }

  made({ name, label, along }) {
    const button = make(
      "button",
      {
        type: "button", class: "grip", data: { grip: name, along },
        "aria-label": `${label}: arrow keys move it ${WAYS[along]}`,
        on: {
          pointerenter: () => this.tellTag(button, name),
          focus: () => this.tellTag(button, name),
          pointerdown: (event) => this.press(event),
          pointermove: (event) => this.follow(event),
          pointerup: (event) => this.release(event),
          pointercancel: (event) => this.cancel(event),
          lostpointercapture: (event) => this.release(event),
          keydown: (event) => this.key(event, name),
          keyup: (event) => this.keyUp(event),
          blur: () => this.keyUp(null),
        },
      },
      make("span", { class: "tag" }, label),
    );
    this.layer.append(button);
    return button;
  }

  // By pointer ------------------------------------------------------------------------------------

  press(event) {
    if (event.button !== 0 || this.held !== undefined) return;
    this.box = null;
    const box = this.where();
    const [x, y] = [event.clientX - box.left, event.clientY - box.top];
    const grip = this.nearest(x, y);
    const [gx, gy] = this.picture.place(grip.x, grip.y);
    this.offset = [x - gx, y - gy];
    this.pointer = event.pointerId;
    event.currentTarget.setPointerCapture(event.pointerId);
    const button = this.buttons.get(grip.name);
    button.focus({ preventScroll: true });
    event.preventDefault();
    this.begin(grip, button);
  }

  nearest(x, y) {
    const far = (grip) => {
      const [gx, gy] = this.picture.place(grip.x, grip.y);
      return Math.hypot(gx - x, gy - y);
    };
    return this.grips.reduce((best, grip) => (far(grip) < far(best) ? grip : best));
  }

  /** The grip is held from where it is, or from where it is on its way to. */
  begin(grip, button) {
    this.at = this.last?.name === grip.name ? this.last.at : [grip.x, grip.y];
    this.held = grip;
    button.classList.add("held");
    this.picture.hold(true);
    this.drag = this.bench.take(grip.name);
  }

  follow(event) {
    if (event.pointerId !== this.pointer || this.held === undefined) return;
    const { origin, scale } = this.picture;
    const box = this.where();
    const x = (event.clientX - box.left - this.offset[0]) / scale + origin[0];
    const y = (event.clientY - box.top - this.offset[1]) / scale + origin[1];
    this.move(x, y);
  }

  /** Where the picture lies in the window: asked for once, as long as nothing scrolls. */
  where() {
    this.box ??= this.layer.getBoundingClientRect();
    return this.box;
  }

  move(x, y) {
    const { along } = this.held;
    this.at = [along === "y" ? this.at[0] : x, along === "x" ? this.at[1] : y];
    this.put(this.buttons.get(this.held.name), ...this.at);
    this.bench.pull(this.drag, ...this.at);
  }

  release(event) {
    if (event.pointerId !== this.pointer) return;
    this.pointer = undefined;
    this.end();
  }

  /** The finger wanted to scroll: nothing was dragged. */
  cancel(event) {
    if (event.pointerId !== this.pointer) return;
    this.pointer = undefined;
    this.bench.letBe(this.drag);
    this.end();
  }

  end() {
    if (this.held === undefined) return;
    this.buttons.get(this.held.name)?.classList.remove("held");
    const last = { name: this.held.name, at: this.at };
    this.held = undefined;
    this.last = last;
    this.bench.drop(this.drag).then(() => {
      if (this.last === last) this.last = undefined;
      if (this.held !== undefined || this.last !== undefined) return;
      this.picture.hold(false);
      this.show(this.grips);
    });
  }

  // By key ----------------------------------------------------------------------------------------

  key(event, name) {
    if (event.key === "Escape" && this.held !== undefined) { // the hand may still be down, and holds nothing
      this.bench.letBe(this.drag);
      this.end();
      return;
    }
    const way = ARROWS[event.key];
    if (way === undefined || this.pointer !== undefined || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    const now = this.grips.find((grip) => grip.name === name);
    if (now === undefined) return;
    if (this.held === undefined) this.begin(now, this.buttons.get(name));
    if (this.drag.faults.length) this.at = [now.x, now.y];
    const step = STEPS[this.bench.units][event.shiftKey ? 1 : 0];
    this.move(this.at[0] + way[0] * step, this.at[1] + way[1] * step);
  }

  keyUp(event) {
    if (this.pointer !== undefined || (event !== null && !(event.key in ARROWS))) return;
    this.end();
  }
}

/** What keeps a grip from going further, in words; "" if nothing does. */
export function stopped(drag) {
  const fault = drag?.faults[0];
  if (fault !== undefined) return `No further: ${fault.change || fault.allowed}`;
  return drag?.short ? "That is as far as it goes." : "";
}

