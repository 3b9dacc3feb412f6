// The frame around the cloth and the points of a card. Expected numbers: own derivation.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { clamp, cornerMoved, frameBetween, frameMoved, isInside, pointsWanted, readPoints, tapHelp, withPoint, writePoints } = await load("stash/static/stash/frame.js");
const FRAME = { left: 20, top: 30, right: 60, bottom: 70 };

test("a number is held between two", () => {
  assert.deepEqual([clamp(-1, 0, 100), clamp(50, 0, 100), clamp(101, 0, 100)], [0, 50, 100]);
});

test("a corner moves two edges and never passes the one across", () => {
  assert.deepEqual(cornerMoved(FRAME, ["left", "top"], 10, 15), { left: 10, top: 15 });
  assert.deepEqual(cornerMoved(FRAME, ["left", "top"], 90, 90), { left: 59, top: 69 });
  assert.deepEqual(cornerMoved(FRAME, ["right", "bottom"], 0, 0), { right: 21, bottom: 31 });
});

test("the frame keeps its size where it meets the edge", () => {
  assert.deepEqual(frameMoved(FRAME, 5, -5), { left: 25, right: 65, top: 25, bottom: 65 });
  assert.deepEqual(frameMoved(FRAME, 500, -500), { left: 60, right: 100, top: 0, bottom: 40 });
});

test("a frame is drawn from any corner, and not by a tap", () => {
  assert.deepEqual(frameBetween([40, 50], 10, 80), { left: 10, right: 40, top: 50, bottom: 80 });
  assert.equal(frameBetween([40, 50], 41, 90), null);
});

test("its edge is not inside", () => {
  assert.equal(isInside(FRAME, 40, 50), true);
  assert.equal(isInside(FRAME, 20, 50), false);
});

test("points are read as they are written, and what is none is left out", () => {
  const points = [[1.25, 2], [99.94, 0]];
  assert.equal(writePoints(points), "1.3,2.0 99.9,0.0");
  assert.deepEqual(readPoints(" 1.3,2.0  99.9,0.0\n"), [[1.3, 2], [99.9, 0]]);
  assert.deepEqual(readPoints("1,2 nothing 3 4,5,6 7,x"), [[1, 2]]);
});

test("a point beyond the last begins anew", () => {
  assert.deepEqual(withPoint([[1, 1]], 4, [2, 2]), [[1, 1], [2, 2]]);
  assert.deepEqual(withPoint([[1, 1]], 1, [2, 2]), [[2, 2]]);
});

test("a card takes one point, a chart or a sheet four, a bare photo none", () => {
  assert.deepEqual(["grey_point", "paper_point", "chart_corners", "paper_corners", "none", ""].map(pointsWanted), [1, 1, 4, 4, 0, 0]);
});

test("the help counts what is to go and says when all is marked", () => {
  assert.match(tapHelp("chart_corners", 3), /brown patch: 3 to go\.$/);
  assert.match(tapHelp("paper_corners", 0), /^All four corners are marked/);
  assert.match(tapHelp("grey_point", 1), /^Now tap it/);
  assert.match(tapHelp("grey_point", 0), /^It is marked/);
  assert.match(tapHelp("none", 0), /^Choose one/);
});
