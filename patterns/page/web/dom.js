// Elements made in one line. Text only ever goes in as text.

const SVG = "http://www.w3.org/2000/svg";

/**
 * An element with its attributes, listeners and what stands in it.
 *
 * @param {string} tag
 * @param {Record<string, any>} [about] attributes; `on` holds listeners, `data` data- attributes;
 *   what is null or false is left out, what is true is set without a value
 * @param {...(Node | string | null)} inside
 */
export function make(tag, about = {}, ...inside) {
  return filled(document.createElement(tag), about, inside);
}

/** Likewise, of a drawing. */
export function drawn(tag, about = {}, ...inside) {
  return filled(document.createElementNS(SVG, tag), about, inside);
}

function filled(element, about, inside) {
  for (const [name, value] of Object.entries(about)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "on") {
      for (const [event, act] of Object.entries(value)) element.addEventListener(event, act);
    } else if (name === "data") {
      for (const [key, text] of Object.entries(value)) element.setAttribute(`data-${key}`, text);
    } else {
      element.setAttribute(name, value === true ? "" : String(value));
    }
  }
  element.append(...inside.filter((each) => each !== null && each !== undefined));
  return element;
}

/** Text that a person wrote: of any script, in whatever direction, kept apart from ours. */
export function words(text, about = {}) {
  return make("bdi", about, text);
}

/** Puts these in place of all that stands in an element. */
export function fill(element, ...inside) {
  element.replaceChildren(...inside.filter((each) => each !== null && each !== undefined));
  return element;
}

/** Sets a text only where it differs, so that nothing is drawn or read out twice. */
export function tell(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

const NUMBER = String.raw`(?:\d+ )?[\d./]+`;
const MEASURE = new RegExp(
  String.raw`(?:${NUMBER} x ${NUMBER} (?:in|mm)(?![a-z])|\d+ \d+/\d+(?: (?:in|mm)(?![a-z]))?|[\d./]+ (?:in|mm|kg|g|oz|lb|%)(?![a-z]))[,;.)]*`, "g",
);

/** A text in pieces, so that no measure is broken between two lines and read as another. */
export function whole(text) {
  const found = [];
  let at = 0;
  for (const { index, 0: measure } of text.matchAll(MEASURE)) {
    if (index > at) found.push(text.slice(at, index));
    found.push(make("span", { class: "measure-text" }, measure));
    at = index + measure.length;
  }
  if (at < text.length) found.push(text.slice(at));
  return found;
}

/** As `tell`, with its measures whole. */
export function tellWhole(element, text) {
  if (element.textContent !== text) element.replaceChildren(...whole(text));
}

/** Does what makes room elsewhere, and keeps a place where it is on the screen. */
export function steady(place, act) {
  const before = place?.getBoundingClientRect().top;
  act();
  if (before === undefined || !place.isConnected) return;
  const moved = place.getBoundingClientRect().top - before;
  if (moved) scroller(place).scrollTop += moved;
}

function scroller(place) {
  for (let at = place.parentElement; at; at = at.parentElement) {
    if (at.scrollHeight > at.clientHeight && /auto|scroll/.test(getComputedStyle(at).overflowY)) return at;
  }
  return document.scrollingElement;
}

/** A button that does one thing. */
export function button(text, act, about = {}) {
  return make("button", { type: "button", on: { click: act }, ...about }, text);
}

/** An id that no other element has. */
export function fresh(stem) {
  fresh.count = (fresh.count ?? 0) + 1;
  return `${stem.replace(/[^a-z0-9]+/gi, "-")}-${fresh.count}`;
}
