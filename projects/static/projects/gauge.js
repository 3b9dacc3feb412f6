// What is held against the screen: a card of ISO/IEC 7810, size ID-1, and two rulers; millimetres.

const CARD = [85.6, 53.98];
export const RULERS = { cm: [50, 10, "cm"], in: [50.8, 25.4, "in"] }; // length, mark every, unit

// A narrow screen takes the card upright, on its short side.
export function cardOn(room, scale) {
  const upright = CARD[0] * scale + 2 > room;
  const [wide, high] = (upright ? [CARD[1], CARD[0]] : CARD).map((mm) => mm * scale);
  return { wide, high, upright };
}

// Where marks stand, in millimetres; none at the ends.
export function marksOf(length, step) {
  const marks = [];
  for (let at = step; at < length - 0.01; at += step) marks.push(at);
  return marks;
}
