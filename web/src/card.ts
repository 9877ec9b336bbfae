// "Print the card": a small dialog that asks for paper and, where the plan holds cautions, for the instructor's reason.

import { maybe, one, say, telling } from "./dom";
import { ask, Refused } from "./http";

export function startCard(): void {
  const dialog = maybe("#card", HTMLDialogElement);
  if (dialog === null) return;
  const form = one("form", HTMLFormElement, dialog);
  const trouble = one("#card-trouble", HTMLElement, dialog);
  const progress = one("#card-progress", HTMLElement, dialog);

  // the button is drawn again with every plan, so the click is caught above it
  document.addEventListener("click", (event) => {
    const target = event.target instanceof Element ? event.target.closest("button") : null;
    if (target?.id === "print") {
      say(trouble, []);
      dialog.showModal();
    } else if (target?.id === "card-close") {
      dialog.close();
    }
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void print();
  });

  async function print(): Promise<void> {
    say(trouble, []);
    const wishes = Object.fromEntries([...new FormData(form).entries()].map(([key, value]) => [key, String(value)]));
    const changes = Object.fromEntries(new URLSearchParams(window.location.search));
    try {
      const work = ask(`${one("#fields", HTMLFormElement).dataset["api"] ?? ""}/card`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ ...wishes, changes }),
      });
      const response = await telling(progress, "Setting the card.", work);
      download(await response.blob(), nameFrom(response) ?? "card.pdf");
      dialog?.close();
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      say(trouble, fault.lines.map((line) => line.sentence));
    }
  }
}

function nameFrom(response: Response): string | null {
  return /filename="([^"]+)"/.exec(response.headers.get("content-disposition") ?? "")?.[1] ?? null;
}

function download(blob: Blob, name: string): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  window.setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
