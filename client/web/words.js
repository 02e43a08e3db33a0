// What the elements say. {name} stands for a parameter.

const words = {
  missing: "The attribute “event” is missing: it names the event to show.",
  fetched: "The scoreboard is being fetched …",
  none: "No segment has started yet. Who skates, the scores and the places appear here by themselves.",
  noOrder: "The starting order will stand here as soon as it is made.",
  cut: "Not connected, last news {time}. It comes back by itself.",
  never: "Not connected, no news yet. It comes back by itself.",
  refused: "Nothing to show: {why}",
  copied: "Copied from the rink, {n} s old.",
  copiedSilent: "The rink has been silent since {time}: it may have gone on. This comes back by itself.",
  copiedOver: "As the rink had it at the end, {time}.",
  choose: "Segment",
  now: "{title}, now",
  allSegments: "{category}, all segments",
  segment: "{category}, {segment}",
  provisional: "Provisional",
  official: "Official",
  onIce: "On the ice, {number} of {of}",
  review: "Finished; calls and marks are being checked",
  confirmed: "Score",
  corrected: "corrected",
  stateCorrected: "{state}, corrected",
  out: "Not competing any more",
  withdrawn: "withdrew",
  disqualified: "disqualified",
  startingNumber: "starting number {number}",
  technicalSoFar: "Technical score so far",
  technical: "Technical score",
  components: "Components",
  deductions: "Deductions",
  score: "Segment score",
  place: "Place",
  overallPlace: "Place overall",
  leads: "{name} leads with {points}.",
  toLead: "More than {points} in this segment leads.",
  toLeadOverall: "More than {points} in this segment leads overall.",
  element: "Element",
  base: "Base",
  goe: "GOE",
  elementScore: "Score",
  secondHalf: "second half",
  inReview: "in review",
  standing: "Standing",
  result: "Result",
  order: "Starting order",
  group: "Warm-up group {group}",
  tap: "tap a skater",
  skater: "Skater",
  total: "Total",
  overall: "Overall",
  more: "and {n} more",
  all: "List all {n}",
  allRefused: "The other places cannot be listed: {why}",
  next: "Next",
  correction: "↺ Corrected {time}.",
  correctionOf: "{name} {before} → {after}: {reason}",
  back: "‹ {to}",
  placed: "{place} in the {segment}",
  placedOverall: "{place} overall, {points}",
  notSkated: "Has not skated yet.",
  elements: "Elements",
  gradeNote: "+ or − is how well it was done (GOE)",
  marks: "Marks of the judges",
  judge: "J{n}",
  saidCalled: "Now {name}.",
  saidElement: "{code}. Technical score so far {points}.",
  saidScore: "{name}, {points}, {place}.",
  saidOfficial: "The result of {segment} is official.",
  "missing.category": "The attribute “category” is missing: it names a category of the season, such as senior-women.",
  "missing.segment": "The attribute “segment” is missing: it names a segment of the category, such as free-skating.",
  "missing.text": "The attribute “text” is missing: it holds the program, such as 3Lz+3T, CCoSp4 | 2A.",
  checked: "The program is being checked …",
  number: "No.",
  baseValue: "base value",
  withGrades: "With the grades",
  withoutValue: "{n} without value",
  rests: "{message} Source: {source} ({confidence}).",
  unsure: "What is not sure about these rules ({n})",
  unofficial: "Unofficial: the panel calls what was skated, and the referee signs what counts.",
};

const ordinals = new Intl.PluralRules("en", { type: "ordinal" });
const ENDS = { one: "st", two: "nd", few: "rd", other: "th" };

/** say returns a text with its parameters filled in. */
export const say = (key, values = {}) => words[key].replaceAll(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);

/** nth returns a place in a sentence: "4th". */
export const nth = (n) => `${n}${ENDS[ordinals.select(n)]}`;

/** inside returns a title of a segment as it stands in a sentence. */
export const inside = (title) => title.charAt(0).toLowerCase() + title.slice(1);

/** capital begins a line with a text. */
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** clock returns the time of day. */
export const clock = (time) => new Date(time).toLocaleTimeString("en", { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });

/** moment returns the time of day, of another day with the day. */
export const moment = (time) => {
  const of = new Date(time);
  const today = of.toDateString() === new Date().toDateString();
  return today ? clock(of) : `${clock(of)} on ${of.toLocaleDateString("en", { day: "numeric", month: "long" })}`;
};

/** figure returns points with − for minus. */
export const figure = (points) => String(points).replace("-", "−");
