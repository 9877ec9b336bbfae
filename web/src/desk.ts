// What is done at a debrief: the trainee's answers, whose it is, made again, taken away; and exercises to be chosen.

import { all, maybe, one, say } from "./dom";
import { ask, Refused } from "./http";

export function startDesk(): void {
  startOwnView();
  startWhose();
  startAgain();
  startAway();
  startChoice();
}

function startOwnView(): void {
  const form = maybe("#own-view", HTMLFormElement);
  if (form === null) return;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const answers = Object.fromEntries([...new FormData(form).entries()].map(([key, value]) => [key, String(value)]));
    void send(form.dataset["send"] ?? "", "POST", one(".trouble", HTMLElement, form), answers).then((done) => {
      if (done !== null) window.location.assign(form.dataset["next"] ?? done);
    });
  });
}

function startWhose(): void {
  const form = maybe("#whose", HTMLFormElement);
  if (form === null) return;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const chosen = [...new FormData(form).entries()].map(([key, value]) => [key, String(value) || null] as const);
    const body = { ...Object.fromEntries(chosen), version: Number(form.dataset["version"]) };
    void send(form.dataset["send"] ?? "", "PATCH", one("#whose-trouble", HTMLElement), body).then((done) => {
      if (done !== null) window.location.reload();
    });
  });
}

function startAgain(): void {
  const button = maybe("#again", HTMLButtonElement);
  if (button === null) return;
  button.addEventListener("click", () => {
    button.disabled = true;
    void send(button.dataset["send"] ?? "", "POST", one("#again-trouble", HTMLElement)).then((done) => {
      button.disabled = false;
      if (done !== null) window.location.reload();
    });
  });
}

function startAway(): void {
  const dialog = maybe("#away", HTMLDialogElement);
  if (dialog === null) return;
  one("#away-open", HTMLButtonElement).addEventListener("click", () => dialog.showModal());
  one("#away-close", HTMLButtonElement).addEventListener("click", () => dialog.close());
  one("#away-sure", HTMLButtonElement).addEventListener("click", () => {
    const address = `${dialog.dataset["send"] ?? ""}?version=${dialog.dataset["version"] ?? ""}`;
    void send(address, "DELETE", one("#away-trouble", HTMLElement)).then((done) => {
      if (done !== null) window.location.replace(done);
    });
  });
}

/** No more boxes are ticked than can be told apart. */
function startChoice(): void {
  const form = maybe("form.laying", HTMLFormElement);
  if (form === null) return;
  const boxes = all("input[type=checkbox]", HTMLInputElement, form);
  const most = Number(form.dataset["most"]);
  const button = one("button", HTMLButtonElement, form);
  const look = (): void => {
    const ticked = boxes.filter((box) => box.checked).length;
    for (const box of boxes) box.disabled = ticked >= most && !box.checked;
    button.disabled = ticked === 0;
  };
  form.addEventListener("change", look);
  look();
}

/** The address the answer leads to; null when it was refused, and then the reason is said. */
async function send(address: string, method: string, trouble: HTMLElement, body?: unknown): Promise<string | null> {
  say(trouble, []);
  try {
    const sent = body === undefined ? {} : { headers: { "content-type": "application/json" }, body: JSON.stringify(body) };
    const response = await ask(address, { method, ...sent });
    return ((await response.json()) as { readonly href: string }).href;
  } catch (fault) {
    if (!(fault instanceof Refused)) throw fault;
    say(trouble, fault.lines.map((line) => line.sentence));
    return null;
  }
}
