// The page that works without the site. CIEDE2000: Sharma, Wu, Dalal (2005), Table 1, 34 pairs.
// CIELAB of sRGB: the corners of the cube by colour-science 0.4.7, sRGB to XYZ to CIELAB at D65.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { load } from "./load.mjs";

const { difference, labOfHex, labOfPixels } = await load("stash/static/stash/pocket/difference.js");
const { answering, folded, nearest, packed, unpacked } = await load("stash/static/stash/pocket/asking.js");

test("the published pairs", async () => {
  const file = new URL("../data/colour/ciede2000_sharma.csv", import.meta.url);
  const rows = (await readFile(file, "utf8")).trim().split("\n")
    .filter((line) => /^-?\d/.test(line)).map((line) => line.split(",").map(Number));
  assert.equal(rows.length, 34);
  for (const [light1, a1, b1, light2, a2, b2, wanted] of rows) {
    const first = [light1, a1, b1];
    const second = [light2, a2, b2];
    assert.ok(Math.abs(difference(first, second) - wanted) < 0.00005, `${first} and ${second}`);
    assert.ok(Math.abs(difference(second, first) - wanted) < 0.00005);
  }
});

test("colours of the screen", () => {
  const corners = {
    "#000000": [0, 0, 0], "#ffffff": [100, 0, 0], "#ff0000": [53.24, 80.09, 67.2],
    "#00ff00": [87.73, -86.18, 83.18], "#0000ff": [32.3, 79.19, -107.86], "#808080": [53.59, 0, 0],
  };
  for (const [hex, wanted] of Object.entries(corners)) {
    labOfHex(hex).forEach((number, place) => {
      assert.ok(Math.abs(number - wanted[place]) < 0.05, `${hex}: ${number} for ${wanted[place]}`);
    });
  }
});

test("the mean of a photo is taken in linear light, and what is clear does not count", () => {
  const half = labOfPixels([255, 255, 255, 255, 0, 0, 0, 255, 255, 0, 0, 0]);
  assert.ok(Math.abs(half[0] - 76.07) < 0.01); // Y = 0.5
  assert.equal(labOfPixels([1, 2, 3, 0]), null);
});

const CLOTH = [
  { id: 1, words: "Harbour Rain, dark blue, dark, Shelf 2", lab: [25, 5, -30] },
  { id: 2, words: "Café Crème, cream, light, Box", lab: [92, 0, 12] },
  { id: 3, words: "Unphotographed", lab: null },
];

test("words begin words, plurals and accents do not matter", () => {
  const found = (typed) => answering(CLOTH, typed).map((fabric) => fabric.id);
  assert.deepEqual(found("dark blues"), [1]);
  assert.deepEqual(found("cafe"), [2]);
  assert.deepEqual(found("shelf, rain"), [1]);
  assert.deepEqual(found(""), [1, 2, 3]);
  assert.deepEqual(found("green"), []);
  assert.equal(folded("É"), "e");
});

test("nearest first, and never what has no colour", () => {
  assert.deepEqual(nearest(CLOTH, [26, 5, -30]).map(({ fabric }) => fabric.id), [1, 2]);
});

test("what goes home comes out again", () => {
  const bought = [{ key: "k", name: "Grün “1/2 yd”", amount: "½ yd" }];
  assert.deepEqual(unpacked(packed(bought)), bought);
  assert.match(packed(bought), /^[\w-]+$/);
  assert.equal(unpacked("%%"), null);
});
