// A tile that is pressed, dragged or walked to, beside the picture of a quilt.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { movePress, partUnder, restFor, startPress, tileBeside, triedWith } = await load("projects/static/projects/drag.js");

test("a mouse drags once it has moved more than a hand trembles", () => {
  const press = startPress(100, 100, "mouse", 0);
  assert.equal(movePress(press, 104, 104, 5), "pressed");
  assert.equal(movePress(press, 110, 100, 9), "dragging");
  assert.equal(movePress(press, 100, 100, 12), "dragging");
});

test("a finger that moves at once scrolls, one that rests takes the tile up", () => {
  const scrolls = startPress(100, 100, "touch", 1000);
  assert.equal(movePress(scrolls, 100, 120, 1050), "over");
  assert.equal(movePress(scrolls, 100, 200, 2000), "over");
  const drags = startPress(100, 100, "touch", 1000);
  assert.equal(movePress(drags, 103, 101, 1100), "pressed");
  assert.equal(movePress(drags, 103, 101, 1000 + restFor), "dragging");
});

test("a drop lands on the part whose patch is seen, never on the panel itself", () => {
  const shape = (part, isInPanel = false) => ({ closest: (selector) => {
    if (selector !== "[data-part]" || !part) return null;
    return { dataset: { part }, closest: () => (isInPanel ? {} : null) };
  } });
  assert.equal(partUnder([shape(""), shape("12"), shape("13")]), "12");
  assert.equal(partUnder([shape("7", true), shape("")]), "");
  assert.equal(partUnder([]), "");
});

test("a part has one fabric tried, and the last one counts", () => {
  assert.deepEqual(triedWith(["12:3", "13:5"], "12", "9"), ["13:5", "12:9"]);
  assert.deepEqual(triedWith(["1:3"], "12", "9"), ["1:3", "12:9"]);
});

test("arrows walk over tiles in rows, and stay at the ends", () => {
  const boxes = [0, 1, 2, 3, 4].map((at) => ({ x: 100 * (at % 3), y: 150 * Math.floor(at / 3) }));
  assert.equal(tileBeside(boxes, 1, "ArrowRight"), 2);
  assert.equal(tileBeside(boxes, 2, "ArrowRight"), 3);
  assert.equal(tileBeside(boxes, 0, "ArrowLeft"), 0);
  assert.equal(tileBeside(boxes, 1, "ArrowDown"), 4);
  assert.equal(tileBeside(boxes, 2, "ArrowDown"), 4);
  assert.equal(tileBeside(boxes, 4, "ArrowUp"), 1);
  assert.equal(tileBeside(boxes, 0, "ArrowUp"), 0);
  assert.equal(tileBeside(boxes, 2, "Home"), 0);
  assert.equal(tileBeside(boxes, 2, "End"), 4);
  assert.equal(tileBeside(boxes, 2, "Enter"), undefined);
});
