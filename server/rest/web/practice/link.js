// The link that a book is opened by: its id and token stand behind the #, which no server
// and no log is sent.

/** read returns { book, token } of a link or of what stands behind its #; undefined where it has none. */
export function read(text) {
  const values = new URLSearchParams(text.includes("#") ? text.slice(text.indexOf("#") + 1) : text);
  const [book, token] = [values.get("book")?.trim(), values.get("token")?.trim()];
  return book && token ? { book, token } : undefined;
}

/** write returns the link to a book. */
export const write = (page, { book, token }) => `${page.split("#")[0]}#${new URLSearchParams({ book, token })}`;
