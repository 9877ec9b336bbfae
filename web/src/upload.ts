// Files dropped on the page or chosen from a folder are sent to the workbench one after the other; what became of each
// is said, and one file alone leads to its page.

import { columnsDialog } from "./columns";
import { maybe, one, say, telling } from "./dom";
import { ask, Refused } from "./http";

// a table that was read as far as its titles
const UNKNOWN_TABLE = new Set(["no-titles", "no-position-column", "no-time-column"]);

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
  private readonly told = maybe("#upload-told", HTMLElement);
  private readonly columns = columnsDialog();

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

  /** One file after the other; each is told, and one file alone leads to its page. */
  private async send(files: readonly File[]): Promise<void> {
    const faults: string[] = [];
    const told: [File, Answer][] = [];
    say(this.trouble, []);
    this.told?.replaceChildren();
    for (const [index, file] of files.entries()) {
      const which = files.length > 1 ? `, ${String(index + 1)} of ${String(files.length)}` : "";
      try {
        const words = `Reading ${file.name}, ${megabytes(file.size)}${which}.`;
        const answer = await this.sentOrExplained(file, words);
        told.push([file, answer]);
        if (files.length > 1) this.tell(file, answer);
      } catch (fault) {
        if (!(fault instanceof Refused)) throw fault;
        faults.push(...fault.lines.map((line) => line.sentence));
      }
      say(this.trouble, faults);
    }
    this.input.value = "";
    const [first] = told;
    if (files.length === 1 && first !== undefined) window.location.assign(first[1].href);
  }

  /** A table whose titles nobody knows is shown, explained by the instructor, and sent again. */
  private async sentOrExplained(file: File, words: string): Promise<Answer> {
    try {
      return await telling(this.progress, words, this.sent(file));
    } catch (fault) {
      if (this.columns === null || !(fault instanceof Refused) || !isUnknownTable(fault)) throw fault;
      if (!(await this.columns.explain(file))) throw fault;
      return telling(this.progress, words, this.sent(file));
    }
  }

  private tell(file: File, answer: Answer): void {
    const row = document.createElement("li");
    const link = document.createElement("a");
    link.href = answer.href;
    link.textContent = `${file.name}: its debrief`;
    row.append(link);
    this.told?.append(row);
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
    const instructor = maybe("#upload-instructor", HTMLSelectElement)?.value ?? "";
    if (instructor !== "") query.set("instructor", instructor);
    const exercise = maybe("#upload-exercise", HTMLSelectElement)?.value;
    const send = this.area.dataset["send"] ?? "";
    return `${exercise === undefined ? send : `${send}/${exercise}/debriefs`}?${query.toString()}`;
  }
}

function isUnknownTable(refused: Refused): boolean {
  return refused.lines.some((line) => UNKNOWN_TABLE.has(line.code ?? ""));
}

function megabytes(bytes: number): string {
  return bytes < 100_000 ? `${String(Math.max(1, Math.round(bytes / 1000)))} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`;
}
