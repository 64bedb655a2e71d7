// The head on the bench: its texts, how it came to be so, and what the server last made of it.

import { History } from "./history.js";
import { headLeft, keepHead } from "./keeping.js";
import { Refused, post } from "./server.js";
import { notice } from "./saying.js";

/**
 * @typedef {Record<string, string>} Texts the text of every key that is given
 * @typedef {{id: string | null, slug: string, own: boolean, name: string, stamp: string | null}} Opened
 */

/**
 * Events: "opened" another head lies here; "texts" its texts changed otherwise than by typing;
 * "typed" by typing; "answer" the server answered; "saved" it is as it was saved.
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
    /** Whether picture and figures are those of the texts. */
    this.fresh = false;
    this.past = new History();
    this.drag = null;
    this.wanted = false;
    this.running = null;
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
    const { id, slug, own, name, stamp, texts } = head;
    this.opened = { id, slug, own, name, stamp };
    this.start = this.kept = this.texts = texts;
    this.past = new History();
    await this.lay();
  }

  /** Takes up the head that this window left, if there is one. */
  async takeUp() {
    const left = headLeft();
    if (!left?.opened || !left.texts) return false;
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
    this.drag = null;
    this.keep();
    this.tell("opened");
    await this.look();
    await this.lookBefore();
  }

  /** Other units: everything is told anew, nothing is changed. */
  async turn(units) {
    this.units = units;
    if (this.opened === null) return;
    await this.look();
    await this.lookBefore();
  }

  // Changing --------------------------------------------------------------------------------------

  /** What is typed into the field of a key. */
  type(key, text, tag) {
    if ((this.texts[key] ?? "") === text) return;
    this.past.step(this.texts, tag);
    this.texts = without(this.texts, key, text);
    this.tell("typed");
    this.look();
  }

  /** Other texts, in one step. */
  put(texts, tag = null) {
    if (same(texts, this.texts)) return;
    this.past.step(this.texts, tag);
    this.become(texts);
  }

  undo() {
    this.become(this.past.undo(this.texts));
  }

  redo() {
    this.become(this.past.redo(this.texts));
  }

  toStart() {
    this.put(this.start);
  }

  become(texts) {
    if (texts === null) return;
    this.drag = null;
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

  /** A grip is taken hold of. */
  take(name) {
    this.drag = { name, from: this.texts, good: this.texts, x: 0, y: 0, faults: [] };
  }

  /** The grip is to go there [mm]. The newest place counts; one question is on its way at a time. */
  pull(x, y) {
    if (this.drag === null) return;
    Object.assign(this.drag, { x, y });
    this.look();
  }

  /** The grip goes back to where it was taken. */
  letBe() {
    if (this.drag === null) return;
    this.texts = this.drag.from;
    this.drag = null;
    this.tell("texts");
    this.look();
  }

  /** The grip is let go: what it came to is one step. */
  async drop() {
    const drag = this.drag;
    if (drag === null) return;
    if (this.running !== null) await this.running;
    if (this.drag !== drag) return;
    this.drag = null;
    if (same(drag.good, drag.from)) {
      this.tell("answer");
      return;
    }
    this.past.step(drag.from);
    this.texts = drag.good;
    this.keep();
    this.tell("texts");
    this.tell("answer");
  }

  // Looking ---------------------------------------------------------------------------------------

  /** Has the server look at the head as it is now. */
  look() {
    this.wanted = true;
    this.keep();
    this.running ??= this.run().finally(() => {
      this.running = null;
    });
    return this.running;
  }

  async run() {
    while (this.wanted) {
      this.wanted = false;
      const { drag, opened } = this;
      const asked = drag === null ? this.texts : drag.from;
      const grip = drag === null ? null : { name: drag.name, x: drag.x, y: drag.y };
      try {
        const answer = await post("api/view", {
          texts: asked, units: this.units, slug: opened.slug, grip, before: null,
        });
        notice(null);
        if (this.opened !== opened) continue;
        if (drag === null) this.heard(answer, asked);
        else this.pulled(answer, drag);
      } catch (error) {
        if (!(error instanceof Refused)) throw error;
        notice(error.message);
      }
    }
  }

  heard(answer, asked) {
    this.faults = answer.faults ?? [];
    const sound = this.faults.length === 0;
    if (sound) this.good = answer;
    this.fresh = sound && same(asked, this.texts);
    this.tell("answer");
  }

  pulled(answer, drag) {
    if (this.drag !== drag) return;
    drag.faults = answer.faults ?? [];
    if (drag.faults.length === 0) {
      drag.good = this.texts = answer.texts;
      this.faults = [];
      this.good = answer;
      this.fresh = true;
      this.tell("texts");
    }
    this.tell("answer");
  }

  async lookBefore() {
    const { opened, start, units } = this;
    try {
      const answer = await post("api/view", {
        texts: start, units, slug: opened.slug, grip: null, before: null,
      });
      if (this.opened !== opened || this.units !== units) return;
      this.before = answer.faults?.length ? null : answer;
      this.tell("answer");
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
    }
  }

  // Keeping ---------------------------------------------------------------------------------------

  keep() {
    if (this.opened === null || this.drag !== null) return;
    const { opened, start, kept, texts } = this;
    keepHead({ opened, start, kept, texts, back: this.past.back, fore: this.past.fore });
  }

  tell(what) {
    this.dispatchEvent(new Event(what));
  }
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
