// What becomes of a photo that was sent. Meaning of the statuses: RFC 9110, section 15.

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "./load.mjs";

const { outcome, pauseAfter, told, tooLarge } = await load("stash/static/stash/sending.js");
const refused = (why) => ({ refused: [{ why }] });

test("what was taken is taken", () => {
  assert.deepEqual(outcome(200, { is_new: true }), { isTaken: true });
  assert.equal(outcome(200, null).again, "press");
});

test("a busy site is asked again by itself, in its own words", () => {
  assert.deepEqual(outcome(503, refused("Many photos are being read.")), { again: "later", why: "Many photos are being read." });
  assert.deepEqual(outcome(503, null), { again: "later", why: "The site is busy." });
});

test("signed out: only a press sends it again", () => {
  assert.equal(outcome(401, null).again, "press");
});

test("what the site refuses is not sent again, what failed in it may be", () => {
  assert.deepEqual(outcome(422, refused("No picture.")), { again: "", why: "No picture." });
  assert.equal(outcome(507, refused("No room.")).again, "press");
  assert.deepEqual(outcome(413, null), { again: "", why: "The file is too large; photos may have 25 MB at most." });
  assert.deepEqual(outcome(500, { error: "A fault." }), { again: "press", why: "A fault." });
  assert.equal(outcome(500, null).why, "The site could not take it just now.");
});

test("three pauses, each longer, and then no more", () => {
  const pauses = [1, 2, 3].map(pauseAfter);
  assert.deepEqual(pauses, [...pauses].sort((a, b) => a - b));
  assert.equal(pauseAfter(4), undefined);
});

test("a file is too large above the limit, not at it", () => {
  assert.equal(tooLarge(26214400, 26214400), "");
  assert.match(tooLarge(31457280, 26214400), /^The file has 30 MB/);
});

test("only what there is is told", () => {
  assert.equal(told({ open: 0, arrived: 0, known: 0, stuck: 0 }), "");
  assert.equal(told({ open: 2, arrived: 1, known: 0, stuck: 1 }), "2 still to send, 1 arrived, 1 not taken, see below.");
});
