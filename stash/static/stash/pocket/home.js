/** Shows what came home from the saved page: it stands in the address after #. */

import { unpacked } from "./asking.js";

const text = location.hash.slice(1);
const came = text ? unpacked(text) : null;
if (Array.isArray(came) && came.length > 0) {
  document.querySelector("#came").replaceChildren(...came.map((thing) => {
    const line = document.createElement("li");
    line.textContent = String(thing?.text ?? "");
    return line;
  }));
  document.querySelector("[name=bought]").value = text;
  document.querySelector("#nothing").hidden = true;
  document.querySelector("#agree").hidden = false;
}
