// Talking to the workbench: every answer is either what was asked for or a list of problems in plain sentences.

export interface ProblemLine {
  readonly place: string | null;
  readonly sentence: string;
  readonly code?: string;
}

/** A request that was understood and refused, or that failed; `lines` are ready to be shown. */
export class Refused extends Error {
  constructor(readonly lines: readonly ProblemLine[]) {
    super(lines.map((line) => line.sentence).join(" "));
  }
}

const UNREACHABLE = "The workbench does not answer. Start it again with: volplane serve";
const UNREADABLE = "The workbench answered with something this page cannot read. Reload the page.";

export async function ask(address: string, options: RequestInit = {}): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(address, { credentials: "same-origin", ...options });
  } catch (fault) {
    if (fault instanceof DOMException && fault.name === "AbortError") throw fault;
    throw new Refused([{ place: "", sentence: UNREACHABLE }]);
  }
  if (response.ok) return response;
  throw new Refused(await problemLines(response));
}

async function problemLines(response: Response): Promise<readonly ProblemLine[]> {
  try {
    const body: unknown = await response.json();
    const lines = hasProblems(body) ? body.problems.filter(isLine) : [];
    if (lines.length > 0) return lines;
  } catch {
    // falls through to the plain sentence
  }
  return [{ place: "", sentence: UNREADABLE }];
}

function hasProblems(body: unknown): body is { problems: readonly unknown[] } {
  return typeof body === "object" && body !== null && Array.isArray((body as { problems?: unknown }).problems);
}

function isLine(line: unknown): line is ProblemLine {
  const candidate = line as Partial<ProblemLine> | null;
  return typeof candidate?.sentence === "string";
}
