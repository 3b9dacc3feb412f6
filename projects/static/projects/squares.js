// The layout under a finger and a keyboard: the second square that is chosen is swapped at once,
// and arrow keys walk over the squares.

import { arrowStep } from "../stash/arrows.js";

const boxes = () => [...document.querySelectorAll(".laid input[name=square]")];

document.addEventListener("change", (event) => {
  if (!event.target.matches("#layout input[name=square]")) return;
  const form = event.target.form;
  const chosen = form.querySelectorAll("input[name=square]:checked");
  if (chosen.length === 2) form.requestSubmit();
});

document.addEventListener("keydown", (event) => {
  if (!event.target.matches(".laid input[name=square]")) return;
  const columns = document.querySelector(".laid tr").cells.length;
  const way = arrowStep(event.key, 1, columns);
  if (!way) return;
  const all = boxes();
  const next = all[all.indexOf(event.target) + way[0] + way[1]];
  if (next) { event.preventDefault(); next.focus(); }
});

// Focus stays at the place, not with the square, when the layout is drawn anew.
let place = -1;
document.addEventListener("htmx:beforeSwap", () => { place = boxes().indexOf(document.activeElement); });
document.addEventListener("htmx:afterSettle", () => {
  if (place >= 0) boxes()[place]?.focus({ preventScroll: true });
  place = -1;
});
