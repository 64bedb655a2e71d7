// A question that must be answered before the work goes on.

import { button, fill, make } from "./dom.js";

/**
 * Asks, and gives the value of the answer; the last one stands for leaving it.
 *
 * @param {string} title
 * @param {Array<Node | string>} inside
 * @param {Array<[string, string]>} answers value and words of each button
 * @returns {Promise<string>}
 */
export function question(title, inside, answers) {
  const dialog = document.getElementById("question");
  const last = answers[answers.length - 1][0];
  return new Promise((done) => {
    const close = () => {
      dialog.removeEventListener("close", close);
      done(dialog.returnValue || last);
    };
    fill(
      dialog,
      make("h2", { id: "question-title" }, title),
      ...inside,
      make("div", { class: "answers" }, ...answers.map(([value, words], i) =>
        button(words, () => dialog.close(value), {
          class: i === 0 ? "chief" : null, value, autofocus: i === answers.length - 1,
        }))),
    );
    dialog.returnValue = "";
    dialog.addEventListener("close", close);
    dialog.showModal();
  });
}
