// How a print lies under its patch while it slides; millimetres of the table.

// The drawing keeps its proportions inside its box, so the tighter side tells the scale.
export function shownScale(view, box) {
  return Math.max(view.width / box.width, view.height / box.height);
}

export function slidTo({ right, down }, place) {
  return `translate(${right.toFixed(3)} ${down.toFixed(3)}) ${place}`;
}
