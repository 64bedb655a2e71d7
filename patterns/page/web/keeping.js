// What the browser keeps: the head that is not saved yet, for this window, and a few settings.

const HEAD = "eyewrap.head";
const PIECES = "eyewrap.pieces";
const STEPS = 80;

/** The head as this window left it, or null. */
export function headLeft() {
  return read(sessionStorage, HEAD);
}

/** Keeps the head for a reload of this window. */
export function keepHead(state) {
  write(sessionStorage, HEAD, {
    ...state,
    back: state.back.slice(-STEPS),
    fore: state.fore.slice(-STEPS),
  });
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
