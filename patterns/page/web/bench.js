// The head on the bench: its texts, how it came to be so, and what the server last made of it.

import { History } from "./history.js";
import { headLeft, keepHead } from "./keeping.js";
import { Refused, post } from "./server.js";
import { notice } from "./saying.js";

/** By how much [mm] a grip must have stayed behind to be told of. */
const SHORT = 1.5;
/** How long [ms] nothing must change before the rest is asked for. */
const PAUSE = 250;

/**
 * @typedef {Record<string, string>} Texts the text of every key that is given
 * @typedef {{name: string, from: Texts, good: Texts, place: {x: number, y: number} | null, faults: object[],
 *   short: boolean, done: boolean, over: Promise<void>}} Drag a grip, the head when it was taken, and
 *   what it came to; `short`: it came less far than it was dragged
 * @typedef {{id: string | null, slug: string, own: boolean, name: string, stamp: string | null}} Opened
 */

/**
 * Events: "opened" another head lies here; "texts" its texts changed otherwise than by typing;
 * "typed" by typing; "answer" the server answered; "saved" it is as it was saved; "busy" a question
 * was put, or the last one is answered.
 */
export class Bench extends EventTarget {
  constructor(units) {
    super();
    this.units = units;
    /** @type {Opened | null} */
    this.opened = null;
    /** @type {Texts} as it was opened: what before and after are told from */
    this.start = {};
    /** @type {Texts} as it was last saved */
    this.kept = {};
    /** @type {Texts} */
    this.texts = {};
    this.faults = [];
    /** The last answer without faults. */
    this.good = null;
    /** The answer for the head as it was opened. */
    this.before = null;
    /** Why the last question has no answer, in words; "" if it has. */
    this.failed = "";
    /** Figures that take longer, of the texts that `furtherOf` are. */
    this.further = [];
    this.furtherOf = null;
    this.past = new History();
    /** @type {Drag[]} the first is being worked out, the others wait */
    this.drags = [];
    this.wanted = false;
    this.busy = false;
    this.running = Promise.resolve();
  }

  get unsaved() {
    return this.opened !== null && !same(this.texts, this.kept);
  }

  get changed() {
    return this.opened !== null && !same(this.texts, this.start);
  }

  // Opening ---------------------------------------------------------------------------------------

  /** Lays a head on the bench, as the server opened it. */
  async open(head) {
    this.leave();
    const { id, slug, own, name, stamp, texts } = head;
    this.opened = { id, slug, own, name, stamp };
    this.start = this.kept = this.texts = texts;
    this.past = new History();
    await this.lay();
  }

  /** Takes up the head that this window left, or another, if there is one. */
  async takeUp(left = headLeft()) {
    if (!sound(left)) return false; // of an older page, say
    this.leave();
    this.opened = left.opened;
    this.start = left.start;
    this.kept = left.kept;
    this.texts = left.texts;
    this.past = new History(left.back, left.fore);
    await this.lay();
    return true;
  }

  async lay() {
    this.good = this.before = null;
    this.faults = [];
    this.keep();
    this.tell("opened");
    await this.look();
    await this.lookBefore();
  }

  /** Other units: everything is told anew, nothing is changed. */
  async turn(units) {
    this.units = units;
    this.furtherOf = null;
    if (this.opened === null) return;
    await this.look();
    if (this.good !== null && this.good.units !== units) await this.lookAgain(units);
    await this.lookBefore();
  }

  /** The last good head in other units, while the present one is at fault. */
  async lookAgain(units) {
    const { good } = this;
    try {
      const answer = await post("api/view", { texts: good.texts, units, grip: null });
      if (this.good !== good || answer.faults?.length) return;
      this.good = { ...answer, units };
      this.tell("answer");
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
    }
  }

  // Changing --------------------------------------------------------------------------------------

  /** What is typed into the field of a key. */
  type(key, text, tag) {
    this.leave();
    if ((this.texts[key] ?? "") === text) return;
    this.past.step(this.texts, tag);
    this.texts = without(this.texts, key, text);
    this.tell("typed");
    this.look();
  }

  /** Other texts, in one step. */
  put(texts, tag = null) {
    this.leave();
    if (same(texts, this.texts)) return;
    this.past.step(this.texts, tag);
    this.become(texts);
  }

  undo() {
    this.leave();
    this.become(this.past.undo(this.texts));
  }

  redo() {
    this.leave();
    this.become(this.past.redo(this.texts));
  }

  toStart() {
    this.put(this.start);
  }

  become(texts) {
    if (texts === null) return;
    this.texts = texts;
    this.tell("texts");
    this.look();
  }

  /** The head was saved under this name, as these texts. */
  saved(opened, texts) {
    this.opened = { ...this.opened, ...opened };
    this.kept = texts;
    this.keep();
    this.tell("saved");
  }

  // Dragging --------------------------------------------------------------------------------------

  /** The drag that is under way, or still being worked out. */
  get drag() {
    return this.drags[0] ?? null;
  }

  /**
   * A grip is taken hold of. A drag before it that is not worked out yet is worked out first.
   *
   * @returns {Drag}
   */
  take(name) {
    const drag = { name, from: this.texts, good: this.texts, place: null, asked: null, faults: [], short: false, done: false };
    drag.over = new Promise((tellOver) => { drag.tellOver = tellOver; });
    this.drags.push(drag);
    return drag;
  }

  /** The grip is to go there [mm]. The newest place counts; one question is on its way at a time. */
  pull(drag, x, y) {
    drag.place = { x, y };
    this.begin();
  }

  /** The grip is let go: what it came to is one step. Resolves once that is known. */
  drop(drag) {
    drag.done = true;
    this.begin();
    return drag.over;
  }

  /** The grip goes back to where it was taken. */
  letBe(drag) {
    if (!this.drags.includes(drag)) return;
    this.texts = drag.from;
    this.leave();
    this.tell("texts");
    this.look();
  }

  /** A drag is over: what it came to is one step, and the next one goes on from there. */
  finish(drag) {
    this.drags.shift();
    if (!same(drag.good, drag.from)) {
      this.past.step(drag.from);
      this.texts = drag.good;
    }
    if (this.drag !== null) this.drag.from = this.drag.good = this.texts;
    drag.tellOver();
    this.keep();
    this.tell("texts");
    this.tell("answer");
  }

  /** Ends every drag where it is now; one that is still held is not counted. */
  leave() {
    while (this.drag !== null) {
      const drag = this.drag;
      if (!drag.done) drag.good = drag.from;
      if (!drag.done) this.texts = drag.from;
      this.finish(drag);
    }
  }

  // Looking ---------------------------------------------------------------------------------------

  /** Has the server look at the head as it is now. */
  look() {
    this.wanted = true;
    this.keep();
    return this.begin();
  }

  /** Resolves once there is nothing left to ask. */
  async settled() {
    while (this.busy) await this.running;
  }

  begin() {
    if (!this.busy) {
      this.busy = true;
      this.running = this.run();
    }
    return this.running;
  }

  /** Asks one question after the other, as long as there is one. */
  async run() {
    clearTimeout(this.later);
    this.tell("busy");
    try {
      for (;;) {
        const { drag } = this;
        if (drag === null) {
          if (!this.wanted) return;
          this.wanted = false;
          await this.ask(this.texts, null);
        } else if (drag.place !== drag.asked) {
          drag.asked = drag.place;
          await this.ask(drag.from, drag);
        } else if (drag.done) {
          this.finish(drag);
        } else {
          return;
        }
      }
    } finally {
      this.busy = false;
      this.tell("busy");
      this.later = setTimeout(() => this.lookFurther(), PAUSE);
    }
  }

  /** The figures that are not told with every change, once nothing changes. */
  async lookFurther() {
    const { texts, units, good, faults } = this;
    if (good === null || faults.length || this.failed || this.furtherOf === texts) return;
    try {
      const { figures } = await post("api/further", { texts, units });
      if (this.texts !== texts || this.units !== units) return;
      this.further = figures;
      this.furtherOf = texts;
      this.tell("answer");
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
    }
  }

  /** The program does not answer: what is shown is not what was typed. */
  lost(words) {
    this.failed = words;
    this.tell("answer");
  }

  async ask(texts, drag) {
    const { opened, units } = this;
    const grip = drag === null ? null : { name: drag.name, ...drag.place };
    try {
      const answer = await post("api/view", { texts, units, grip });
      notice(null);
      this.failed = "";
      if (this.opened !== opened) return;
      answer.units = units;
      if (drag === null) this.heard(answer, texts);
      else this.pulled(answer, drag);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      notice(error.message);
      this.lost(error.message);
    }
  }

  heard(answer, asked) {
    if (this.drag !== null) {
      this.wanted = true;
      return;
    }
    this.faults = answer.faults ?? [];
    if (this.faults.length === 0) this.good = answer;
    this.tell("answer");
  }

  pulled(answer, drag) {
    if (this.drag !== drag) return;
    drag.faults = answer.faults ?? [];
    drag.short = drag.faults.length === 0 && fallsShort(answer.grips.find(({ name }) => name === drag.name), drag.asked);
    if (drag.faults.length === 0) {
      drag.good = this.texts = answer.texts;
      this.faults = [];
      this.good = answer;
      this.tell("texts");
    }
    this.tell("answer");
  }

  async lookBefore() {
    const { opened, start, units } = this;
    try {
      const answer = await post("api/view", {
        texts: start, units, grip: null,
      });
      if (this.opened !== opened || this.units !== units) return;
      this.before = answer.faults?.length ? null : { ...answer, units };
      this.tell("answer");
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
    }
  }

  // Keeping ---------------------------------------------------------------------------------------

  keep() {
    if (this.opened === null || this.drag !== null) return;
    const { opened, start, kept, texts } = this;
    keepHead({ opened, start, kept, texts, back: this.past.back, fore: this.past.fore }, this.unsaved);
  }

  tell(what) {
    this.dispatchEvent(new Event(what));
  }
}

/** Whether a grip has come less far than it was asked to, along what it can be moved. */
function fallsShort(grip, asked) {
  if (grip === undefined) return false;
  return ["x", "y"].some((each) => grip.along.includes(each) && Math.abs(grip[each] - asked[each]) > SHORT);
}

/** Texts with one key's text changed; without text the key is not given. */
export function without(texts, key, text) {
  const found = { ...texts };
  if (text.trim() === "") delete found[key];
  else found[key] = text;
  return found;
}

/** Whether two heads are told by the same texts. */
export function same(one, other) {
  if (one === other) return true;
  const keys = Object.keys(one);
  return keys.length === Object.keys(other).length && keys.every((key) => one[key] === other[key]);
}

/** Whether what a window kept is a head with its steps. */
export function sound(left) {
  const texts = (each) => each !== null && typeof each === "object" && Object.values(each).every((text) => typeof text === "string");
  return Boolean(left) && typeof left.opened?.slug === "string" && [left.texts, left.start, left.kept].every((each) => each && texts(each)) &&
    [left.back, left.fore].every((list) => Array.isArray(list) && list.every(texts));
}
