// Questions to the server. Where it does not answer, the question waits until it does.

import { inWords } from "./words.js";

/** What the server said no to: faults of the input, or a reason in words. */
export class Refused extends Error {
  /**
   * @param {number} status
   * @param {{error?: string, faults?: Array<object>}} said
   */
  constructor(status, said) {
    const faults = said.faults ?? [];
    super(said.error || faults.map(inWords).join(" ") || `The server answered ${status}.`);
    this.status = status;
    this.said = said;
    this.faults = faults;
  }
}

const BUSY = 503;
const AGAIN = 300;
const TIMES = 20;
const LOOK = 1500;
const wait = (time) => new Promise((done) => setTimeout(done, time));

/** Tells whether the server is there: events "gone" and "back". */
export const presence = new EventTarget();

let gone = null;

/** The answer to a GET. */
export function get(path, options = {}) {
  return asked("GET", path, undefined, options);
}

/** The answer to a POST. */
export function post(path, body, options = {}) {
  return asked("POST", path, body, options);
}

/** The answer to a DELETE. */
export function remove(path) {
  return asked("DELETE", path, undefined, {});
}

/**
 * Asks until there is an answer. Throws `Refused` for a refusal, and an AbortError if told to stop.
 *
 * @param {{signal?: AbortSignal, patient?: boolean}} options `patient`: a busy server is asked again
 */
async function asked(method, path, body, { signal, patient = true }) {
  const sent = { method, signal, headers: {}, cache: "no-store" };
  if (body !== undefined) {
    sent.headers = { "Content-Type": "application/json" };
    sent.body = JSON.stringify(body);
  }
  for (let busy = 0; ; ) {
    let answer;
    let said;
    try {
      answer = await fetch(path, sent);
      said = answer.status === 204 ? {} : await answer.json();
    } catch (error) {
      if (error.name === "AbortError") throw error;
      if (answer !== undefined && error instanceof SyntaxError) {
        throw new Refused(answer.status, { error: "The server answered in a way this page cannot read." });
      }
      await back();
      continue;
    }
    if (answer.ok) return said;
    if (answer.status === BUSY && patient && busy < TIMES) {
      busy += 1;
      await wait(AGAIN);
      continue;
    }
    throw new Refused(answer.status, said ?? {});
  }
}

/** Waits until the server is there again. */
function back() {
  gone ??= (async () => {
    presence.dispatchEvent(new Event("gone"));
    for (;;) {
      await wait(LOOK);
      try {
        await fetch("page.css", { method: "HEAD", cache: "no-store" });
        break;
      } catch {
        // Not yet.
      }
    }
    gone = null;
    presence.dispatchEvent(new Event("back"));
  })();
  return gone;
}
