// True size on a screen, and a print that slides.

import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { load } from "./load.mjs";

const { RULERS, cardOn, marksOf } = await load("projects/static/projects/gauge.js");
const { shownScale, slidTo } = await load("projects/static/projects/sliding.js");
const scale = await load("projects/static/projects/scale.js");

let kept;
beforeEach(() => {
  kept = new Map();
  globalThis.window = {
    devicePixelRatio: 1,
    localStorage: {
      getItem: (key) => kept.get(key) ?? null,
      setItem: (key, text) => { kept.set(key, text); },
      removeItem: (key) => { kept.delete(key); },
    },
  };
});

test("a card lies flat where there is room, else it stands", () => {
  // ISO/IEC 7810, size ID-1: 85.60 by 53.98 mm.
  assert.deepEqual(cardOn(1000, 4), { wide: 342.4, high: 215.92, upright: false });
  assert.deepEqual(cardOn(300, 4), { wide: 215.92, high: 342.4, upright: true });
});

test("a ruler has a mark at each whole unit between its ends", () => {
  assert.deepEqual(marksOf(...RULERS.cm.slice(0, 2)), [10, 20, 30, 40]);
  assert.deepEqual(marksOf(...RULERS.in.slice(0, 2)), [25.4]);
});

test("without a measure 96 pixels make an inch, and that is called a guess", () => {
  // CSS Values and Units, section 6.2: 1in = 96px = 25.4mm.
  assert.equal(scale.isMeasured(), false);
  assert.equal(scale.pixelsPerMm() * 25.4, 96);
});

test("a measure holds when the page is zoomed", () => {
  scale.keepMeasure(5);
  window.devicePixelRatio = 2;
  assert.equal(scale.isMeasured(), true);
  assert.equal(scale.pixelsPerMm(), 2.5);
  scale.forgetMeasure();
  assert.equal(scale.isMeasured(), false);
});

test("what no screen has is no measure", () => {
  for (const text of ["nothing", "0", "-3", "0.4", "100", "Infinity"]) {
    for (const key of [...kept.keys(), "clothlight-device-pixels-per-mm"]) kept.set(key, text);
    assert.equal(scale.isMeasured(), false, text);
  }
});

test("a window that keeps nothing is no fault", () => {
  window.localStorage = { getItem: () => { throw new Error("private"); }, setItem: () => { throw new Error("private"); } };
  assert.equal(scale.keepMeasure(5), false);
  assert.equal(scale.isMeasured(), false);
});

test("the tighter side tells how large the table is shown", () => {
  assert.equal(shownScale({ width: 300, height: 200 }, { width: 600, height: 500 }), 0.5);
  assert.equal(shownScale({ width: 300, height: 200 }, { width: 900, height: 400 }), 0.5);
});

test("a slide comes before the print's own place", () => {
  assert.equal(slidTo({ right: 1.23456, down: -2 }, "rotate(90)"), "translate(1.235 -2.000) rotate(90)");
});
