// How large this browser's screen is. Device pixels are kept, so that zooming the page changes
// nothing; without a measure the usual 96 pixels to the inch are taken and called a guess.

const KEY = "clothlight-device-pixels-per-mm";
const USUAL = 96 / 25.4;

export function isMeasured() {
  return kept() !== null;
}

// CSS pixels per millimetre of screen.
export function pixelsPerMm() {
  const measured = kept();
  return measured === null ? USUAL : measured / window.devicePixelRatio;
}

export function keepMeasure(cssPixelsPerMm) {
  return write(KEY, String(cssPixelsPerMm * window.devicePixelRatio));
}

export function forgetMeasure() {
  try { window.localStorage.removeItem(KEY); } catch { /* nothing was kept */ }
}

// A private window may keep nothing; then the page says so.
export function write(key, text) {
  try { window.localStorage.setItem(key, text); return true; } catch { return false; }
}

export function read(key) {
  try { return window.localStorage.getItem(key); } catch { return null; }
}

function kept() {
  const number = Number(read(KEY));
  return Number.isFinite(number) && number > 0.5 && number < 100 ? number : null;
}
