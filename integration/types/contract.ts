// A program over the types of the JavaScript client. It is compiled strictly and run
// against a server.
import { ApiError, Client, type ErrorReason, type LevelledElement, type Methods, type ScoreSegmentRequest, watchScoreboard } from "rinktally";
import type { Offline } from "rinktally/offline";
import type { Engine } from "rinktally/offline/page";
import type { RinktallyProgram } from "rinktally/program";
import type { RinktallyScoreboard } from "rinktally/scoreboard";

declare const process: { argv: string[] };
const client = new Client(process.argv[2] ?? "");

const segment: ScoreSegmentRequest = {
  season: "2025-26",
  category: "senior-women",
  segment: "short-program",
  elements: [{ code: "3Lz+3T", marks: [2, 2, 2, 1, 3, 2, 3, 3, 2] }],
  components: [
    { component: "COMPOSITION", marks: [8.25, 8.5, 8.25, 8, 8.5, 8.25, 8, 8.25, 8.5] },
    { component: "PRESENTATION", marks: [8, 8.25, 8.25, 8, 8.5, 8.25, 8, 8.25, 8.5] },
    { component: "SKATING_SKILLS", marks: [8.5, 8.5, 8.25, 8.25, 8.5, 8.25, 8, 8.25, 8.5] },
  ],
};

const score = await client.scoreSegment(segment, { signal: AbortSignal.timeout(60_000) });
// @ts-expect-error A table may be null in an answer, so it is looked at first.
score.rules.season;
const said: string[] = [score.segmentScore, score.rules?.season ?? "", ...score.elements.flatMap((e) => e.parts.map((p) => p.code))];

// One of two members, known by which is there.
const batch = await client.batchScoreSegments({ season: "2025-26", segments: [segment, { ...segment, elements: [] }] });
for (const result of batch.results) {
  said.push(result.score ? result.score.segmentScore : result.error.message);
}

const spin = { feet: [{ positions: [{ position: "CAMEL", revolutions: 8 } as const] }] };
const one: LevelledElement = { spin };
// @ts-expect-error Two members exclude each other.
const two: LevelledElement = { spin, stepSequence: {} };
// @ts-expect-error An element is one of the kinds.
const none: LevelledElement = {};
// @ts-expect-error A code that no element has.
const unknown: ScoreSegmentRequest = { ...segment, colour: "red" };
const called = await client.callLevels({ season: "2025-26", category: "senior-women", segment: "free-skating", elements: [one] });
// @ts-expect-error There is nothing to reach above the highest level.
called.elements[0]!.toNextLevel.level;
said.push(called.elements[0]?.toNextLevel?.level ?? "no level above");

try {
  await client.getSeason({ season: "1998-99" });
} catch (error) {
  if (!(error instanceof ApiError)) throw error;
  const reason: ErrorReason = "SEASON_UNKNOWN";
  // @ts-expect-error No error has this reason.
  said.push(error.reason === reason && error.reason !== "SEASON_UNKNOWM" ? "refused" : error.reason);
}

// The same function takes a server or the engine.
const worth = async (rules: Pick<Methods, "valueElements">) =>
  (await rules.valueElements({ season: "2025-26", category: "senior-women", segment: "free-skating", elements: [{ code: "3Lz" }] })).totalBaseValue;
const given = (either: Client | Offline | Engine) => worth(either);
said.push(await given(client), (await client.listSeasons()).seasons[0]?.season ?? "");
// @ts-expect-error An event is named.
const unnamed = client.getEvent().then(() => "", (error: Error) => error.name);
// @ts-expect-error What several desks write needs a server.
const desk = (engine: Offline) => engine.getEvent({ event: "cup" });
const live = () => watchScoreboard("", "cup", { board: (board) => said.push(board.skater?.performance?.name ?? "") }, { signal: AbortSignal.abort() });
const shown = (program: RinktallyProgram, board: RinktallyScoreboard) => {
  program.addEventListener("program", ({ detail }) => said.push(detail.totalBaseValue));
  board.addEventListener("show", ({ detail }) => said.push(detail.view ?? ""));
};
said.push(await unnamed);
void [two, none, unknown, desk, live, shown];
console.log(JSON.stringify(said));
