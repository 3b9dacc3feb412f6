// A module of the pages, as a browser would read it. It is handed over as text, because the folders
// of the pages have no package file that would tell Node what they hold.

import { readFile } from "node:fs/promises";

export async function load(path) {
  const text = await readFile(new URL(`../../${path}`, import.meta.url), "utf8");
  return import(`data:text/javascript;base64,${Buffer.from(text).toString("base64")}`);
}
