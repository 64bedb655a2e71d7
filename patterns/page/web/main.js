// The page is set up, and finds its places by the address.

import { Bars } from "./bars.js";
import { Bench } from "./bench.js";
import { make, tell } from "./dom.js";
import { HeadPlace } from "./head.js";
import { beThere, forgetLeft, set, setting } from "./keeping.js";
import { Pieces } from "./pieces.js";
import { question } from "./question.js";
import { Save } from "./save.js";
import { notice, say } from "./saying.js";
import { Sheets } from "./sheets.js";
import { Shelf } from "./shelf.js";
import { Refused, get, post, presence } from "./server.js";
import { learnLabels, told } from "./words.js";

const PLACES = ["shelf", "head", "sheets", "bars", "pieces"];
const NEEDS_HEAD = ["head", "sheets", "bars", "pieces"];

light();
beThere();
begin();

async function begin() {
  const waiting = document.getElementById("waiting");
  try {
    const units = setting("units", null);
    const start = await get(units === null ? "api/start" : `api/start?units=${units}`);
    await setUp(start);
    waiting.hidden = true;
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    tell(waiting, `The page cannot begin: ${error.message}`);
  }
}

async function setUp(first) {
  let start = first;
  learn(start);
  const bench = new Bench(start.units);
  const head = new HeadPlace(bench, start);
  const sheets = new Sheets(bench, start);
  const flush = () => head.form.flush();
  const save = new Save(bench, start, flush);
  const bars = new Bars(bench, start, () => go("head"));
  const pieces = new Pieces(bench, start, () => go("head"));
  const shelf = new Shelf((each) => open(each, false), (each) => open(each, true), goOn, start.folder);
  let place = null;
  let turns = 0;
  gone(bench);

  async function open(each, anew) {
    if (bench.unsaved && !(await mayLeave(bench, () => save.open()))) return;
    try {
      const found = await post("api/open", { id: each.id, units: start.units });
      if (found.faults.length && Object.keys(found.texts).length === 0) {
        notice(`${each.slug}: ${found.faults.map(told).join(" ")}`);
        return;
      }
      notice(null);
      if (anew && found.own) Object.assign(found, { id: null, own: false, stamp: null });
      const laid = bench.open(found);
      go("head");
      if (anew && matchMedia("(pointer: fine)").matches) head.name.select();
      await laid;
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      notice(error.message);
    }
  }

  async function goOn(left) {
    if (bench.unsaved && !(await mayLeave(bench, () => save.open()))) return;
    forgetLeft();
    const laid = bench.takeUp(left);
    go("head");
    await laid;
  }

  function go(to) {
    location.hash = to;
    show();
  }

  function show() {
    const asked = location.hash.slice(1);
    let to = PLACES.includes(asked) ? asked : "shelf";
    if (NEEDS_HEAD.includes(to) && bench.opened === null) {
      to = "shelf";
      say("Choose a head first.");
    }
    flush();
    if (place === to) return;
    const before = place;
    place = to;
    for (const name of PLACES) document.getElementById(name).hidden = name !== to;
    for (const link of document.querySelectorAll("a[data-place]")) {
      if (link.dataset.place === to) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    document.documentElement.dataset.place = to;
    document.title = `${document.querySelector(`#${to} h1`).textContent} - eyewrap`;
    window.scrollTo(0, 0);
    const title = document.querySelector(`#${to} h1`);
    if (before !== null) title.focus({ preventScroll: true });
    if (to === "shelf") shelf.look(start.units);
    if (to === "sheets") sheets.enter(start);
    else sheets.leave();
    if (to === "bars") bars.enter(start);
    if (to === "pieces") pieces.enter(start);
  }

  async function turn(units) {
    turns += 1;
    const turned = turns;
    const found = await get(`api/start?units=${units}`);
    if (turned !== turns) return; // others were chosen meanwhile
    start = found;
    bench.units = units;
    set("units", units);
    head.turned(start);
    save.turned(start);
    await bench.turn(units);
    if (place === "shelf") shelf.look(units);
    if (place === "sheets") sheets.enter(start);
    if (place === "bars") bars.enter(start);
    if (place === "pieces") pieces.enter(start);
  }

  radios("units", start.units, turn);
  for (const id of ["units", "to-save"]) document.getElementById(id).disabled = false;
  document.getElementById("to-save").addEventListener("click", () => { flush(); save.open(); });
  document.querySelector(".skip").addEventListener("click", (event) => {
    event.preventDefault();
    document.getElementById("main").focus();
  });
  bench.addEventListener("shelf", () => { shelf.told = ""; if (place === "shelf") shelf.look(start.units); });
  bench.addEventListener("opened", () => document.documentElement.classList.toggle("has-head", bench.opened !== null));
  window.addEventListener("hashchange", show);
  window.addEventListener("beforeunload", (event) => {
    flush();
    if (bench.unsaved) event.preventDefault();
  });
  document.addEventListener("keydown", (event) => keys(event, head));
  const laid = bench.takeUp();
  if (!location.hash && bench.opened !== null) history.replaceState(null, "", "#head");
  show();
  document.documentElement.classList.add("ready");
  await laid;
}

/** What fields are called: a head's last, since most faults are of heads. */
function learn({ piece, entry, groups }) {
  for (const each of [piece, entry, groups]) learnLabels(each);
}

/** Undo and redo by keys, but where a text is being typed the browser's own. */
function keys(event, head) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || document.querySelector("dialog[open]")) return;
  if (event.target.matches?.("input[type=text], textarea")) return;
  const key = event.key.toLowerCase();
  const which = key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : null;
  if (which === null) return;
  event.preventDefault();
  head.step(which);
}

async function mayLeave(bench, save) {
  const name = bench.texts.name || bench.opened.slug;
  const answer = await question(
    "The head on the bench is not saved",
    [make("p", { dir: "auto" }, `What was changed on ${name} is lost if another head is opened.`)],
    [["save", "Save it first"], ["leave", "Lose the changes"], ["stay", "Stay with this one"]],
  );
  if (answer === "save") save();
  return answer === "leave";
}

// The light, and the server ----------------------------------------------------------------------

/** Bright shop or dark shop: as the system has it, until one is chosen. */
function light() {
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const chosen = () => setting("shop", null) ?? (dark.matches ? "dark" : "bright");
  const shine = () => { document.documentElement.dataset.shop = chosen(); };
  shine();
  const mark = radios("shop", chosen(), (shop) => { set("shop", shop); shine(); });
  dark.addEventListener("change", () => { shine(); mark(chosen()); });
}

/** A pair of which one is chosen; gives what marks it. */
function radios(name, value, act) {
  const inputs = [...document.querySelectorAll(`input[name=${name}]`)];
  const mark = (chosen) => inputs.forEach((input) => { input.checked = input.value === chosen; });
  mark(value);
  for (const input of inputs) input.addEventListener("change", () => act(input.value));
  inputs[0].closest("fieldset").disabled = false; // until now nobody would have heard
  return mark;
}

function gone(bench) {
  presence.addEventListener("gone", () => {
    notice("The program does not answer; it may have been ended. All that you have here is kept. Begin it again as before (eyewrap page), and this page goes on by itself.");
    bench.lost("the program does not answer");
  });
  presence.addEventListener("back", () => {
    notice(null);
    say("The program is there again.");
  });
}

