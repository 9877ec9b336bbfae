// A file dropped on the page or chosen from a folder is sent to the workbench and debriefed or measured in its memory.

import { maybe, one, say, telling } from "./dom";
import { ask, Refused } from "./http";

interface Answer {
  readonly href: string;
}

export function startUpload(): void {
  const area = maybe("#upload", HTMLElement);
  if (area === null) return;
  const input = one("input[type=file]", HTMLInputElement, area);
  const trouble = one("#upload-trouble", HTMLElement, area);
  const progress = one("#upload-progress", HTMLElement, area);
  const limit = Number(area.dataset["limit"]);
  const address = area.dataset["send"] ?? "/api/debriefs";

  const send = async (file: File): Promise<void> => {
    say(trouble, []);
    if (file.size > limit) {
      say(trouble, [`${file.name} holds ${megabytes(file.size)}, more than the ${megabytes(limit)} a file may have.`]);
      return;
    }
    const query = new URLSearchParams(window.location.search);
    query.set("file_name", file.name);
    try {
      const work = ask(`${address}?${query.toString()}`, {
        method: "POST",
        headers: { "content-type": "application/octet-stream" },
        body: file,
      });
      const response = await telling(progress, `Reading ${file.name}, ${megabytes(file.size)}.`, work);
      window.location.assign(((await response.json()) as Answer).href);
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      say(trouble, fault.lines.map((line) => line.sentence));
    } finally {
      input.value = "";
    }
  };

  input.addEventListener("change", () => {
    const file = input.files?.[0];
    if (file !== undefined) void send(file);
  });
  // a file dropped beside the area must not replace the page
  for (const name of ["dragover", "drop"]) document.addEventListener(name, (event) => event.preventDefault());
  area.addEventListener("dragover", () => area.classList.add("over"));
  area.addEventListener("dragleave", () => area.classList.remove("over"));
  area.addEventListener("drop", (event) => {
    area.classList.remove("over");
    const file = event.dataTransfer?.files[0];
    if (file !== undefined) void send(file);
  });
}

function megabytes(bytes: number): string {
  return bytes < 100_000 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`;
}
