// What codes say in words.

/**
 * codeReader reads codes as people type them; changed is called when some were read.
 * known(code) returns what the server says of it, { element } with code and name or
 * { error }, and read(season, codes) asks for those that are not known yet.
 */
export function codeReader(api, changed) {
  const kept = new Map();
  const asked = new Set();
  return {
    known: (code) => kept.get(code),
    async read(season, codes) {
      const news = [...new Set(codes)].filter((code) => code && !kept.has(code) && !asked.has(code));
      if (!news.length) return;
      for (const code of news) asked.add(code);
      try {
        const { results } = await api.call("ParseElements", { season, codes: news });
        results.forEach((result, i) => kept.set(news[i], result));
      } catch (error) {
        if (!error.temporary) throw error;
        for (const code of news) asked.delete(code);
        return;
      }
      changed();
    },
  };
}
