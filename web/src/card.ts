// "Print the card": a dialog that asks what is printed, on which paper and, where the plan holds cautions, why it is flown
// all the same; it shows how the sheet will look before it is saved.

import { all, maybe, one, say, telling } from "./dom";
import { ask, Refused } from "./http";

export function startCard(): void {
  const dialog = maybe("#card", HTMLDialogElement);
  if (dialog !== null) new CardDialog(dialog).start();
}

class CardDialog {
  private readonly form: HTMLFormElement;
  private readonly trouble: HTMLElement;
  private readonly progress: HTMLElement;
  private readonly preview: HTMLElement;
  private looking: AbortController | null = null;

  constructor(private readonly dialog: HTMLDialogElement) {
    this.form = one("form", HTMLFormElement, dialog);
    this.trouble = one("#card-trouble", HTMLElement, dialog);
    this.progress = one("#card-progress", HTMLElement, dialog);
    this.preview = one("#card-preview", HTMLElement, dialog);
  }

  start(): void {
    // the button is drawn again with every plan, so the click is caught above it
    document.addEventListener("click", (event) => {
      const target = event.target instanceof Element ? event.target.closest("button") : null;
      if (target?.id === "print") this.open();
      else if (target?.id === "card-close") this.dialog.close();
      else if (target?.id === "card-look") void this.look();
    });
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.print();
    });
    // another sheet or paper looks otherwise; words are looked at again when asked
    for (const choice of all("input[type=radio]", HTMLInputElement, this.form)) {
      choice.addEventListener("change", () => void (this.preview.hasChildNodes() && this.look()));
    }
  }

  private open(): void {
    say(this.trouble, []);
    this.preview.replaceChildren();
    this.dialog.showModal();
  }

  private wish(): RequestInit {
    const wishes = Object.fromEntries([...new FormData(this.form).entries()].map(([key, value]) => [key, String(value)]));
    const changes = Object.fromEntries(new URLSearchParams(window.location.search));
    return {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ ...wishes, changes }),
    };
  }

  private async look(): Promise<void> {
    this.looking?.abort();
    const looking = new AbortController();
    this.looking = looking;
    say(this.trouble, []);
    try {
      const work = ask(address("preview"), { ...this.wish(), signal: looking.signal });
      const answer = await telling(this.progress, "Setting it.", work);
      const piece = (await answer.json()) as { readonly fragments: Readonly<Record<string, string>> };
      if (!looking.signal.aborted) this.preview.innerHTML = piece.fragments["card-preview"] ?? "";
    } catch (fault) {
      if (looking.signal.aborted) return;
      this.explain(fault);
    }
  }

  private async print(): Promise<void> {
    say(this.trouble, []);
    try {
      const response = await telling(this.progress, "Setting it.", ask(address("card"), this.wish()));
      download(await response.blob(), nameFrom(response) ?? "card.pdf");
      this.dialog.close();
    } catch (fault) {
      this.explain(fault);
    }
  }

  private explain(fault: unknown): void {
    if (!(fault instanceof Refused)) throw fault;
    say(this.trouble, fault.lines.map((line) => line.sentence));
  }
}

function address(what: string): string {
  return `${one("#fields", HTMLFormElement).dataset["api"] ?? ""}/${what}`;
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
