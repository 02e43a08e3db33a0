// Elements in words: "2Lz+2T" is "Double Lutz + double toe loop".

/**
 * elementNames returns a function that says codes of a season in words, in their
 * order: "" for those that the server has not named yet. When it has, arrived is
 * called. It is asked within spread milliseconds, so that not all who watch ask at once.
 */
export function elementNames(client, arrived, spread = 0) {
  const names = new Map(); // by season and code; "" while the server is asked
  const key = (season, code) => `${season} ${code}`;

  async function ask(season, codes) {
    try {
      const { results } = await client.call("ParseElements", { season, codes });
      results.forEach(({ element }, i) => names.set(key(season, codes[i]), capital(element?.name ?? "")));
      arrived();
    } catch {
      for (const code of codes) names.delete(key(season, code)); // asked again with the next board
    }
  }

  return (season, codes) => {
    const unknown = [...new Set(codes)].filter((code) => !names.has(key(season, code)));
    if (season) for (const code of unknown) names.set(key(season, code), "");
    if (season && unknown.length > 0) setTimeout(ask, Math.random() * spread, season, unknown);
    return codes.map((code) => names.get(key(season, code)) ?? "");
  };
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
