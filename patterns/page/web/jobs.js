// Long work on the server: begun, watched, stopped, fetched.

import { button, fill, make, tell } from "./dom.js";
import { Refused, get, post, remove } from "./server.js";
import { inWords } from "./words.js";

const LOOK = 350;
const wait = (time) => new Promise((done) => setTimeout(done, time));

export class Job {
  /** @param {string} label what is being made, for people */
  constructor(label) {
    this.label = label;
    this.id = null;
    this.ended = false;
    this.doing = make("p", { class: "doing", role: "status" });
    this.bar = make("progress", { "aria-label": label });
    this.stop = button("Stop", () => this.halt(), { class: "stop-job" });
    this.result = make("div", { class: "result" });
    this.node = make("section", { class: "job", "aria-label": label, data: { job: "" } },
      make("h3", {}, label), make("div", { class: "running" }, this.bar, this.doing, this.stop), this.result);
  }

  /** Begins the work and follows it to its end. */
  async run(body) {
    tell(this.doing, "Begun");
    try {
      const { id } = await post("api/jobs", body, { patient: false });
      this.id = id;
      this.node.dataset.job = id;
      for (;;) {
        const now = await get(`api/jobs/${id}`);
        this.show(now);
        if (!["waiting", "working"].includes(now.state)) break;
        await wait(LOOK);
      }
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      this.end(error.status === 404
        ? ["The work was lost, since the program has ended meanwhile. Begin it again."]
        : error.faults.length ? error.faults.map(inWords) : [error.message]);
    }
  }

  async halt() {
    this.stop.disabled = true;
    if (this.id === null) return;
    try {
      await remove(`api/jobs/${this.id}`);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
    }
  }

  show(now) {
    this.node.dataset.state = now.state;
    if (now.state === "waiting") tell(this.doing, "Waits for other work to end");
    if (now.state === "working") {
      const part = now.of ? `${now.done} of ${now.of}: ` : "";
      tell(this.doing, `${part}${now.doing || "at work"}, ${Math.round(now.seconds)} s`);
      if (now.of) {
        this.bar.max = now.of;
        this.bar.value = now.done;
      }
    }
    if (now.state === "stopped") this.end(["Stopped. Nothing was kept."]);
    if (now.state === "failed") this.end(now.faults?.length ? now.faults.map(inWords) : [now.error || "It could not be made."]);
    if (now.state === "done") this.done(now);
  }

  end(lines) {
    this.ended = true;
    if (!this.node.dataset.state || this.node.dataset.state === "working") this.node.dataset.state = "failed";
    this.node.querySelector(".running").hidden = true;
    fill(this.result, ...lines.map((line) => make("p", { class: "fault", role: "alert" }, line)));
  }

  done({ files, missing, notes }) {
    this.ended = true;
    this.node.querySelector(".running").hidden = true;
    const chief = files.filter(({ name }) => name.endsWith(".pdf"));
    const rest = files.filter(({ name }) => !name.endsWith(".pdf"));
    fill(
      this.result,
      ...chief.map((file) => make("p", {}, this.link(file, "chief", "Take the PDF: "))),
      make("p", {}, make("a", { class: chief.length ? "button" : "button chief", href: `api/jobs/${this.id}/all.zip`, download: "", data: { file: "all.zip" } },
        `Take everything as one zip, ${count(files.length)}`)),
      ...(notes ?? []).map((note) => make("p", { class: "hint", dir: "auto" }, note)),
      rest.length ? make("details", { class: "more" }, make("summary", {}, `Single files (${rest.length})`),
        make("ul", { class: "files" }, ...rest.map((file) => make("li", {}, this.link(file, null, ""))))) : null,
      missing?.length ? make("div", { class: "missing" }, make("p", {}, "Not made:"),
        make("ul", {}, ...missing.map(([name, why]) => make("li", { dir: "auto" }, `${name}: ${why}`)))) : null,
    );
  }

  link({ name, size }, kind, before) {
    const place = `api/jobs/${this.id}/files/${encodeURIComponent(name)}`;
    return make("a", { href: place, download: name, class: kind ? `button ${kind}` : null, data: { file: name } },
      make("span", {}, before, make("bdi", {}, name), `, ${kilo(size)}`));
  }
}

function kilo(bytes) {
  return bytes < 1000 ? `${bytes} bytes` : bytes < 1e6 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

function count(files) {
  return files === 1 ? "1 file" : `${files} files`;
}
