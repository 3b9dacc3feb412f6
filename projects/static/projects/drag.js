// A press that may become a drag, worked out without a page. A mouse drags as soon as it has moved
// a little; a finger first rests, because a finger that moves at once wants to scroll.

const FAR = 8;      // pixels that a hand may tremble
const REST = 220;   // milliseconds that a finger rests before it takes something up

export function startPress(x, y, pointer, time) {
  return { x, y, pointer, time, state: "pressed" };
}

// What the press has become: still "pressed", "dragging", or "over" because the page scrolls.
export function movePress(press, x, y, time) {
  if (press.state !== "pressed") return press.state;
  const isFar = Math.hypot(x - press.x, y - press.y) > FAR;
  if (press.pointer === "mouse") press.state = isFar ? "dragging" : "pressed";
  else if (time - press.time >= REST) press.state = "dragging";
  else if (isFar) press.state = "over";
  return press.state;
}

export const restFor = REST;

// The part whose patch lies under the finger: the first of the shapes there that says so.
export function partUnder(shapes) {
  for (const shape of shapes) {
    const patch = shape.closest?.("[data-part]");
    if (patch && !patch.closest("#beside")) return patch.dataset.part;
  }
  return "";
}

// What is tried once this fabric lies on this part: one for each part, the last one counts.
export function triedWith(tried, part, fabric) {
  const others = tried.filter((text) => text.split(":")[0] !== String(part));
  return [...others, `${part}:${fabric}`];
}

// Where an arrow key leads among tiles that stand in rows: beside, or to the nearest of the next row.
export function tileBeside(boxes, at, key) {
  if (key === "Home") return 0;
  if (key === "End") return boxes.length - 1;
  if (key === "ArrowLeft") return Math.max(0, at - 1);
  if (key === "ArrowRight") return Math.min(boxes.length - 1, at + 1);
  const way = { ArrowUp: -1, ArrowDown: 1 }[key];
  if (!way) return undefined;
  const from = boxes[at];
  const ahead = boxes
    .map((box, place) => ({ place, down: way * (box.y - from.y), across: Math.abs(box.x - from.x) }))
    .filter((box) => box.down > 1);
  ahead.sort((a, b) => a.down - b.down || a.across - b.across || a.place - b.place);
  return ahead.length ? ahead[0].place : at;
}
