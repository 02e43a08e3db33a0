// Codes typed without the shift key: "3lz+3t" is 3Lz+3T, "ccosp4v" is CCoSp4V. What
// is not known here is left as it was typed; whether it is a code is the server's
// matter.

const jumps = ["A", "T", "S", "F", "Lo", "Lz", "Eu"];
const spins = ["USp", "LSp", "CSp", "SSp", "CoSp"].flatMap((s) => ["", "F", "C", "FC"].map((entry) => entry + s));
const others = ["StSq", "ChSq", "SlSt", "CiSt", "SeSt", "SpSq", "SEQ", "REP", "COMBO"];
const spelling = new Map([...jumps, ...spins, ...others].map((name) => [name.toLowerCase(), name]));

function part(text) {
  const [, figure, rest] = text.match(/^(\d*)(.*)$/);
  const typed = rest.toLowerCase();
  for (let length = typed.length; length > 0; length--) {
    const name = spelling.get(typed.slice(0, length));
    if (!name || jumps.includes(name) !== (figure !== "")) continue;
    const signs = typed.slice(length);
    if (figure && /^[eq!<*]*$/.test(signs)) return figure + name + signs;
    if (!figure && /^[b1-4]?v?\*?$/.test(signs)) return name + signs.toUpperCase();
  }
  return text;
}

// joined puts the + between jumps that were typed without it: 3s2t, 2a1eu2s, 3s2aseq.
const joined = (code) => (/^\d/.test(code) ? code.replaceAll(/(?<=[a-z<!*])(?=\d[a-z])|(?<=[a-z<!*])(?=(seq|rep|combo)\b)/gi, "+") : code);

/** spelled returns a code with its capitals; between jumps the + may be left out. */
export const spelled = (code) => joined(code).split("+").map(part).join("+");
