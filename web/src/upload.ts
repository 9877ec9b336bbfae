// Files dropped on the page or chosen from a folder are sent to the workbench one after the other; what became of each
// is said, and one file alone leads to its page.

import { maybe, one, say, telling } from "./dom";
import { ask, Refused } from "./http";

interface Answer {
  readonly href: string;
}

export function startUpload(): void {
  const area = maybe("#upload", HTMLElement);
  if (area !== null) new Upload(area).start();
}

class Upload {
  private readonly input: HTMLInputElement;
  private readonly trouble: HTMLElement;
  private readonly progress: HTMLElement;
  private readonly limit: number;

  constructor(private readonly area: HTMLElement) {
    this.input = one("input[type=file]", HTMLInputElement, area);
    this.trouble = one("#upload-trouble", HTMLElement, area);
    this.progress = one("#upload-progress", HTMLElement, area);
    this.limit = Number(area.dataset["limit"]);
  }

  start(): void {
    this.input.addEventListener("change", () => void this.send([...(this.input.files ?? [])]));
    // a file dropped beside the area must not replace the page
    for (const name of ["dragover", "drop"]) document.addEventListener(name, (event) => event.preventDefault());
    this.area.addEventListener("dragover", () => this.area.classList.add("over"));
    this.area.addEventListener("dragleave", () => this.area.classList.remove("over"));
    this.area.addEventListener("drop", (event) => {
      this.area.classList.remove("over");
      void this.send([...(event.dataTransfer?.files ?? [])]);
    });
  }

  private async send(files: readonly File[]): Promise<void> {
    const faults: string[] = [];
    let last: Answer | null = null;
    say(this.trouble, []);
    for (const [index, file] of files.entries()) {
      const which = files.length > 1 ? `, ${String(index + 1)} of ${String(files.length)}` : "";
      try {
        last = await telling(this.progress, `Reading ${file.name}, ${megabytes(file.size)}${which}.`, this.sent(file));
      } catch (fault) {
        if (!(fault instanceof Refused)) throw fault;
        faults.push(...fault.lines.map((line) => line.sentence));
      }
      say(this.trouble, faults);
    }
    this.input.value = "";
    if (faults.length > 0 || last === null) return;
    if (files.length === 1) window.location.assign(last.href);
    else window.location.reload();
  }

  private async sent(file: File): Promise<Answer> {
    if (file.size > this.limit) {
      const most = `${file.name} holds ${megabytes(file.size)}, more than the ${megabytes(this.limit)} a file may have.`;
      throw new Refused([{ place: "", sentence: most }]);
    }
    const response = await ask(this.address(file.name), {
      method: "POST",
      headers: { "content-type": "application/octet-stream" },
      body: file,
    });
    return (await response.json()) as Answer;
  }

  /** Where a file goes: as the page says, or to the exercise that is chosen, for the trainee that is chosen. */
  private address(fileName: string): string {
    const query = new URLSearchParams(this.area.dataset["query"] ?? "");
    query.set("file_name", fileName);
    const trainee = maybe("#upload-trainee", HTMLSelectElement)?.value ?? "";
    if (trainee !== "") query.set("trainee", trainee);
    const exercise = maybe("#upload-exercise", HTMLSelectElement)?.value;
    const send = this.area.dataset["send"] ?? "";
    return `${exercise === undefined ? send : `${send}/${exercise}/debriefs`}?${query.toString()}`;
  }
}

function megabytes(bytes: number): string {
  return bytes < 100_000 ? `${String(Math.max(1, Math.round(bytes / 1000)))} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`;
}
