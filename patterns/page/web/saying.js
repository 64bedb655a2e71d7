// What is said: to those who listen, and at the top of the page to all.

import { fill, make, tell } from "./dom.js";

const QUIET = 700;
let waiting = 0;

/** Says what changed, once the hand rests. */
export function say(text) {
  clearTimeout(waiting);
  waiting = setTimeout(() => tell(document.getElementById("said"), text), QUIET);
}

/** Shows words at the top until they are taken away; null takes them away. */
export function notice(text) {
  const place = document.getElementById("notice");
  place.hidden = text === null;
  fill(place, text === null ? null : make("p", {}, text));
}
