// What the browser keeps: the head that is not saved yet, for this window and for after it, and a
// few settings.

const HEAD = "eyewrap.head";
const LEFT = "eyewrap.left";
const WINDOW = "eyewrap.window";
const PIECES = "eyewrap.pieces";
const STEPS = 80;

/** The head as this window left it, or null. */
export function headLeft() {
  return read(sessionStorage, HEAD);
}

/** Keeps the head for a reload of this window; one that is not saved also for when it was closed. */
export function keepHead(state, unsaved) {
  const kept = { ...state, back: state.back.slice(-STEPS), fore: state.fore.slice(-STEPS) };
  write(sessionStorage, HEAD, kept);
  if (unsaved) write(localStorage, LEFT, { ...kept, window: ours() });
  else if (read(localStorage, LEFT)?.window === ours()) forgetLeft();
}

/** The unsaved head that a window which is no more left last, or null. */
export async function headOfAnother() {
  const left = read(localStorage, LEFT);
  if (!left?.window || left.window === ours()) return null;
  const { held = [] } = (await navigator.locks?.query()) ?? {}; // there are none over plain HTTP from elsewhere
  return held.some(({ name }) => name === lock(left.window)) ? null : left;
}

/** Lets other windows know, for as long as this one is there. */
export function beThere() {
  navigator.locks?.request(lock(ours()), { mode: "shared" }, () => new Promise(() => {}));
}

function lock(window) {
  return `eyewrap window ${window}`;
}

export function forgetLeft() {
  try {
    localStorage.removeItem(LEFT);
  } catch {
    // Nothing is kept.
  }
}

/** A name of this window, that no other has. */
function ours() {
  let name = read(sessionStorage, WINDOW);
  if (name === null) {
    name = `${Date.now()}-${Math.random()}`;
    write(sessionStorage, WINDOW, name);
  }
  return name;
}

/** Trial pieces that were entered in this window. */
export function piecesLeft() {
  const left = read(sessionStorage, PIECES);
  return Array.isArray(left) ? left : [];
}

export function keepPieces(pieces) {
  write(sessionStorage, PIECES, pieces);
}

/** A setting of this browser, or what stands for it. */
export function setting(name, otherwise) {
  return read(localStorage, `eyewrap.${name}`) ?? otherwise;
}

export function set(name, value) {
  write(localStorage, `eyewrap.${name}`, value);
}

function read(store, name) {
  try {
    return JSON.parse(store.getItem(name));
  } catch {
    return null;
  }
}

function write(store, name, value) {
  try {
    store.setItem(name, JSON.stringify(value));
  } catch {
    // A browser that keeps nothing still draws.
  }
}
