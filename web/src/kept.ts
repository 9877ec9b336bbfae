// What is typed into a form and not yet sent, kept by this tab of the browser alone until it is sent or the tab is closed.

type Typed = Readonly<Record<string, string>>;

function place(form: HTMLFormElement): string {
  return `volplane ${window.location.pathname} ${form.id}`;
}

export function keep(form: HTMLFormElement, typed: Typed): void {
  window.sessionStorage.setItem(place(form), JSON.stringify(typed));
}

export function keptOf(form: HTMLFormElement): Typed {
  const text = window.sessionStorage.getItem(place(form));
  return text === null ? {} : (JSON.parse(text) as Typed);
}

export function forget(form: HTMLFormElement): void {
  window.sessionStorage.removeItem(place(form));
}
