// A module of the pages, as a browser would read it. It is handed over as text, because the folders
// of the pages have no package file that would tell Node what they hold; what it imports, too.

import { readFile } from "node:fs/promises";

export async function load(path) {
  return import(await asText(new URL(`../../${path}`, import.meta.url)));
}

async function asText(file) {
  let text = await readFile(file, "utf8");
  for (const [whole, before, other] of text.matchAll(/^(import .* from )"(\.[^"]+)";$/gm)) {
    text = text.replace(whole, () => `${before}"PLACEHOLDER";`);
    text = text.replace("PLACEHOLDER", await asText(new URL(other, file)));
  }
  return `data:text/javascript;base64,${Buffer.from(text).toString("base64")}`;
}
