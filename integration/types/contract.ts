// A program over the types of the JavaScript client (client/web/contract.d.ts). It is
// compiled strictly and run against a server.
import { ApiError, Client, type ErrorReason, type LevelledElement, type ScoreSegmentRequest } from "../../client/web/client.js";

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

const score = await client.call("ScoreSegment", segment);
// @ts-expect-error A table may be null in an answer, so it is looked at first.
score.rules.season;
const said: string[] = [score.segmentScore, score.rules?.season ?? "", ...score.elements.flatMap((e) => e.parts.map((p) => p.code))];

// One of two members, known by which is there.
const batch = await client.call("BatchScoreSegments", { season: "2025-26", segments: [segment, { ...segment, elements: [] }] });
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
const called = await client.call("CallLevels", { season: "2025-26", category: "senior-women", segment: "free-skating", elements: [one] });
// @ts-expect-error There is nothing to reach above the highest level.
called.elements[0]!.toNextLevel.level;
said.push(called.elements[0]?.toNextLevel?.level ?? "no level above");

try {
  await client.call("GetSeason", { season: "1998-99" });
} catch (error) {
  if (!(error instanceof ApiError)) throw error;
  const reason: ErrorReason = "SEASON_UNKNOWN";
  said.push(error.reason === reason ? "refused" : error.reason);
}
void [two, none, unknown];
console.log(JSON.stringify(said));
