// Steps back and forth: lists of the head as it was.

const MOST = 300;

export class History {
  /**
   * @param {Array<object>} back states before this one, the oldest first
   * @param {Array<object>} fore states that were undone
   */
  constructor(back = [], fore = []) {
    this.back = [...back];
    this.fore = [...fore];
    this.tag = null;
  }

  get canUndo() {
    return this.back.length > 0;
  }

  get canRedo() {
    return this.fore.length > 0;
  }

  /**
   * Notes that `now` is about to change. Changes that follow each other under one tag are one step.
   *
   * @param {object} now
   * @param {string | null} tag
   */
  step(now, tag = null) {
    if (tag === null || tag !== this.tag) {
      this.back.push(now);
      if (this.back.length > MOST) this.back.shift();
    }
    this.fore = [];
    this.tag = tag;
  }

  /** What comes next is a step of its own. */
  close() {
    this.tag = null;
  }

  /** The state before, or null. */
  undo(now) {
    this.tag = null;
    const to = this.back.pop() ?? null;
    if (to !== null) this.fore.push(now);
    return to;
  }

  /** The state that was undone last, or null. */
  redo(now) {
    this.tag = null;
    const to = this.fore.pop() ?? null;
    if (to !== null) this.back.push(now);
    return to;
  }
}
