// What the server says in rows and tables, laid out alike wherever it stands.

import { drawn, make, whole } from "./dom.js";
import { inWords } from "./words.js";

/** Rows of label and text. */
export function rows(list) {
  return make("dl", { class: "told" }, ...list.flatMap(({ label, text }) => [
    make("dt", {}, label), make("dd", { dir: "auto" }, ...whole(text)),
  ]));
}

/** A table with a heading over each column; the first column heads its row. */
export function table(caption, head, body) {
  const cells = (row) => row.map((each, i) => make(i === 0 ? "th" : "td", i === 0 ? { scope: "row" } : {}, ...(typeof each === "string" ? whole(each) : [each])));
  return make("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": caption },
    make("table", {},
      make("caption", { class: "unseen" }, caption),
      make("thead", {}, make("tr", {}, ...head.map((each) => make("th", { scope: "col" }, each)))),
      make("tbody", {}, ...body.map((row) => make("tr", {}, ...cells(row))))));
}

/** A list of sentences, or nothing. */
export function list(texts, about = { class: "plain" }) {
  return texts.length ? make("ul", about, ...texts.map((text) => make("li", { dir: "auto" }, ...whole(text)))) : null;
}

/** A view of the server's, by itself. */
export function view({ box, paths }, label) {
  const edge = 2;
  const [left, top, wide, high] = box;
  return drawn(
    "svg",
    { class: "drawing alone", viewBox: [left - edge, top - edge, wide + 2 * edge, high + 2 * edge].join(" "), role: "img", "aria-label": label },
    ...paths.map(({ purpose, d }) => drawn("path", { class: purpose, d })),
  );
}

/** Why there is no answer. */
export function refusal(error) {
  const said = error.faults.length ? error.faults.map(inWords) : [error.message];
  return make("div", { class: "fault-list" }, list(said));
}
