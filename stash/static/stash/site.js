// What every page shares: a form is sent once, "/" goes to the search box, "?" lists the keys, a
// sheet can be printed.

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post" || form.hasAttribute("hx-post")) return;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  for (const button of form.querySelectorAll("button:not([type=button])")) button.setAttribute("aria-busy", "true");
});

// Coming back through the browser's history must find the forms usable again.
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.target.closest("input, textarea, select, [contenteditable]")) return;
  const box = document.querySelector("[data-search-box]");
  if (box) { event.preventDefault(); box.focus(); box.select(); }
});

const keys = document.querySelector("#keys");
const showKeys = document.querySelector("[data-show-keys]");
showKeys.hidden = false;
showKeys.addEventListener("click", () => keys.showModal());
document.addEventListener("keydown", (event) => {
  if (event.key !== "?" || event.ctrlKey || event.metaKey || event.altKey || keys.open) return;
  if (event.target.closest("input:not([type=checkbox]):not([type=radio]), textarea, select, [contenteditable]")) return;
  event.preventDefault();
  keys.showModal();
});

for (const place of document.querySelectorAll("[data-print]")) {
  const button = place.querySelector("button");
  for (const words of place.querySelectorAll("span")) words.hidden = true;
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
