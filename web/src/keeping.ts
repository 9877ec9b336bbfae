// "Keep these values": they go into the exercise's file. Where somebody else was faster, both ways out are offered.

import { one, say, telling } from "./dom";
import { ask, Refused } from "./http";
import { remember } from "./unkept";

const MEANWHILE = "changed-meanwhile";
const SOMEBODY_FASTER =
  "Somebody else has kept other values in this exercise since this page was read. Nothing of theirs or of this page is lost yet.";

export function startKeeping(
  form: HTMLFormElement,
  query: () => string,
  progress: HTMLElement,
  trouble: HTMLElement,
): void {
  one("#keep", HTMLButtonElement).addEventListener("click", () => void keep(form.dataset["seen"]));

  /** `seen` is the state of the file that was typed over; without it the values go over whatever is there now. */
  async function keep(seen: string | undefined): Promise<void> {
    const values = new URLSearchParams(query());
    if (seen !== undefined) values.set("seen", seen);
    try {
      const work = ask(`${form.dataset["api"] ?? ""}/keep?${values.toString()}`, { method: "POST" });
      const answer = (await (await telling(progress, "Keeping them.", work)).json()) as { readonly href: string };
      remember("");
      window.location.assign(answer.href + window.location.hash);
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      if (fault.lines.some((line) => line.code === MEANWHILE)) offer();
      else say(trouble, fault.lines.map((line) => line.sentence));
    }
  }

  function offer(): void {
    say(trouble, [SOMEBODY_FASTER]);
    const row = document.createElement("p");
    row.className = "row";
    row.append(
      button("Read theirs, these values on top", () => window.location.reload()),
      button("Keep these over theirs", () => void keep(undefined)),
    );
    trouble.append(row);
  }
}

function button(words: string, act: () => void): HTMLButtonElement {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.addEventListener("click", act);
  return made;
}
