// Made by tools/make_api_types.py from the workbench's own description of its interface. Do not edit.

/** What was kept, and its page. */
export type Kept = {
  readonly schema: "volplane/kept/1";
  readonly key: string;
  readonly href: string;
};

/** Pieces of a page by the id of the element they go into. */
export type View = {
  readonly schema: "volplane/view/1";
  readonly title?: string;
  readonly fields?: Readonly<Record<string, string>>;
  readonly fragments: Readonly<Record<string, string>>;
};
