// Values that were typed and not kept are not lost by leaving the page: the lists say so and lead back to them. They last
// as long as the browser's tab; what is kept for longer is in the exercise's file.

import { all } from "./dom";

const PREFIX = "volplane:";

/** What differs from the exercise of this page, as a query; nothing forgets it. */
export function remember(query: string): void {
  const name = PREFIX + window.location.pathname;
  try {
    if (query === "") window.sessionStorage.removeItem(name);
    else window.sessionStorage.setItem(name, query);
  } catch {
    // a browser that stores nothing still has the values in its address
  }
}

/** In a list: the exercises with values that are not kept say so, and open with them. */
export function startUnkept(): void {
  for (const link of all('a[href^="/exercises/"]', HTMLAnchorElement)) {
    const query = recalled(link.pathname);
    if (query === null || link.search !== "" || link.closest("main") === null) continue;
    link.search = query;
    const note = document.createElement("span");
    note.className = "unkept";
    note.textContent = "with values not kept";
    link.append(" ", note);
  }
}

function recalled(path: string): string | null {
  try {
    return window.sessionStorage.getItem(PREFIX + path);
  } catch {
    return null;
  }
}
