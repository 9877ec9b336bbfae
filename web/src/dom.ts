// Small helpers, so that a missing element is one clear fault and not a silent nothing.

export function one<E extends Element>(selector: string, kind: new () => E, root: ParentNode = document): E {
  const found = root.querySelector(selector);
  if (!(found instanceof kind)) throw new Error(`the page lacks ${selector}`);
  return found;
}

export function maybe<E extends Element>(selector: string, kind: new () => E, root: ParentNode = document): E | null {
  const found = root.querySelector(selector);
  return found instanceof kind ? found : null;
}

export function all<E extends Element>(selector: string, kind: new () => E, root: ParentNode = document): E[] {
  return [...root.querySelectorAll(selector)].filter((found): found is E => found instanceof kind);
}

/** Shows lines of text in an element, one paragraph each; none hides it. */
export function say(place: HTMLElement, lines: readonly string[]): void {
  place.replaceChildren(
    ...lines.map((line) => {
      const paragraph = document.createElement("p");
      paragraph.textContent = line;
      return paragraph;
    }),
  );
  place.hidden = lines.length === 0;
}

/** Words for work that takes longer than a moment: nothing before 300 ms, gone when the work is done. */
export async function telling<T>(place: HTMLElement, words: string, work: Promise<T>): Promise<T> {
  const timer = window.setTimeout(() => {
    place.textContent = words;
  }, 300);
  try {
    return await work;
  } finally {
    window.clearTimeout(timer);
    place.textContent = "";
  }
}
