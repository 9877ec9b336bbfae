// A table whose titles are not known: its columns are shown with their first cells, and what is said of them is kept.

import { all, maybe, one, say } from "./dom";
import { ask, Refused } from "./http";

interface Seen {
  readonly columns: readonly { readonly title: string }[];
  readonly fragments: Readonly<Record<string, string>>;
}

export interface ColumnsDialog {
  /** Asks about a file; whether an explanation was kept. */
  explain(file: File): Promise<boolean>;
}

export function columnsDialog(): ColumnsDialog | null {
  const dialog = maybe("#columns", HTMLDialogElement);
  return dialog === null ? null : { explain: (file) => explain(dialog, file) };
}

async function explain(dialog: HTMLDialogElement, file: File): Promise<boolean> {
  const query = new URLSearchParams({ file_name: file.name });
  const response = await ask(`/api/columns?${query.toString()}`, {
    method: "POST",
    headers: { "content-type": "application/octet-stream" },
    body: file,
  });
  const seen = (await response.json()) as Seen;
  if (seen.columns.length === 0) return false;
  const form = one("form", HTMLFormElement, dialog);
  const trouble = one("#columns-trouble", HTMLElement, dialog);
  one("#columns-rows", HTMLElement, dialog).innerHTML = seen.fragments["columns-rows"] ?? "";
  say(trouble, []);
  dialog.showModal();
  return new Promise((resolve) => {
    const leave = new AbortController();
    const end = (kept: boolean): void => {
      leave.abort();
      dialog.close();
      resolve(kept);
    };
    one("#columns-close", HTMLButtonElement, dialog).addEventListener("click", () => end(false), { signal: leave.signal });
    dialog.addEventListener("cancel", () => end(false), { signal: leave.signal });
    form.addEventListener(
      "submit",
      (event) => {
        event.preventDefault();
        keep(form)
          .then(() => end(true))
          .catch((fault: unknown) => {
            if (!(fault instanceof Refused)) throw fault;
            say(trouble, fault.lines.map((line) => line.sentence));
          });
      },
      { signal: leave.signal },
    );
  });
}

async function keep(form: HTMLFormElement): Promise<void> {
  const columns = all("tr[data-title]", HTMLTableRowElement, form).map((row) => ({
    title: row.dataset["title"] ?? "",
    channel: one("select", HTMLSelectElement, row).value,
    unit: one("input", HTMLInputElement, row).value,
  }));
  const body = { columns, utc_offset_min: offset(one("[name=utc_offset]", HTMLInputElement, form).value) };
  await ask("/api/column-maps", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
}

/** "+02:00" in minutes; nothing where nothing is said. */
function offset(text: string): number | null {
  if (text.trim() === "") return null;
  const found = /^([+−-])(\d{1,2}):?(\d{2})$/.exec(text.trim());
  if (found === null) {
    throw new Refused([{ place: "", sentence: `“${text}” is no offset from UTC. Write it as +02:00, or leave it empty.` }]);
  }
  return (found[1] === "+" ? 1 : -1) * (60 * Number(found[2]) + Number(found[3]));
}
