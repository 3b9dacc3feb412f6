// The part of a drawing that is shown, as [x, y, width, height] in its own units; it never leaves
// the whole and keeps its proportions.

const DEEPEST = 12; // how many times nearer than the whole

function between(number, low, high) {
  return Math.min(Math.max(number, low), high);
}

export function bounded([x, y, width], whole) {
  const w = between(width, whole[2] / DEEPEST, whole[2]);
  const h = w * whole[3] / whole[2];
  return [
    between(x, whole[0], whole[0] + whole[2] - w),
    between(y, whole[1], whole[1] + whole[3] - h), w, h,
  ];
}

// What lies at this point stays where it is.
export function zoomed(view, whole, factor, at = [view[0] + view[2] / 2, view[1] + view[3] / 2]) {
  const width = between(view[2] / factor, whole[2] / DEEPEST, whole[2]);
  const scale = width / view[2];
  return bounded([at[0] - (at[0] - view[0]) * scale, at[1] - (at[1] - view[1]) * scale, width], whole);
}

export function movedBy(view, whole, right, down) {
  return bounded([view[0] + right, view[1] + down, view[2]], whole);
}

// A place on the screen as a place in the drawing.
export function placeIn(view, frame, x, y) {
  return [
    view[0] + (x - frame.left) / frame.width * view[2],
    view[1] + (y - frame.top) / frame.height * view[3],
  ];
}

export function boxBetween(from, to) {
  return {
    x: Math.min(from[0], to[0]), y: Math.min(from[1], to[1]),
    width: Math.abs(to[0] - from[0]), height: Math.abs(to[1] - from[1]),
  };
}

// A box on the map in words of the search box; the map is 1000 wide and 600 high, neutrals left of
// the hues.
export function wordsOfBox(from, to, huesFrom) {
  const hues = huesFrom + 10;
  const angle = (x) => Math.round(between((x - hues) / (990 - hues) * 360, 0, 360));
  const value = (y) => between(10 * (1 - y / 600), 0, 10).toFixed(1);
  const [left, right] = [from[0], to[0]].sort((a, b) => a - b);
  const [top, bottom] = [from[1], to[1]].sort((a, b) => a - b);
  const words = [`value ${value(bottom)} to ${value(top)}`];
  if (right < hues - 10) words.push("neutral");
  else if (left >= hues - 10) words.push(`hue ${angle(left)} to ${angle(right)}`);
  return words;
}

// Which of these places lies nearest to another, no farther than the reach; -1 where none does.
export function nearest(places, at, reach) {
  let found = -1;
  let least = reach;
  places.forEach(([x, y], number) => {
    const away = Math.hypot(x - at[0], y - at[1]);
    if (away <= least) [found, least] = [number, away];
  });
  return found;
}
