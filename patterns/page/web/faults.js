// What is at fault: listed, each with a way to its field.

import { fill, make, whole } from "./dom.js";
import { told } from "./words.js";

export class FaultList {
  /** @param {import("./form.js").Form} form whose fields they are of */
  constructor(form) {
    this.form = form;
    this.told = "[]";
    this.node = make("section", { class: "fault-list", "aria-label": "To put right", tabindex: "-1", hidden: true });
  }

  show(faults) {
    const told = JSON.stringify(faults);
    if (told === this.told) return;
    this.told = told;
    this.node.hidden = faults.length === 0;
    fill(
      this.node,
      make("h2", {}, faults.length === 1 ? "One thing to put right" : `${faults.length} things to put right`),
      make("ul", {}, ...faults.map((fault) => this.item(fault))),
    );
  }

  item(fault) {
    const field = this.form.fieldOf(fault.field);
    const name = field === null
      ? make("b", { dir: "auto" }, fault.field)
      : make(
          "a", { href: `#${field.id}`, on: { click: (event) => { event.preventDefault(); this.form.goTo(fault.field); } } },
          field.label,
        );
    return make("li", { data: { fault: fault.field } }, name, ": ", make("bdi", {}, ...whole(told(fault))));
  }
}
