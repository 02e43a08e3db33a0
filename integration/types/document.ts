// A program over the types that openapi-typescript makes of the OpenAPI document. It
// is compiled strictly and run against a server.
import type { components, operations } from "./api.js";

declare const process: { argv: string[] };
type Schemas = components["schemas"];
type Answer<Call extends keyof operations> = operations[Call] extends { responses: { 200: { content: { "application/json": infer A } } } } ? A : never;

async function post<Call extends keyof operations>(
  path: string,
  body: operations[Call] extends { requestBody: { content: { "application/json": infer B } } } ? B : never,
): Promise<Answer<Call> | Schemas["Status"]> {
  const headers = { "Content-Type": "application/json" };
  const response = await fetch(process.argv[2] + path, { method: "POST", headers, body: JSON.stringify(body) });
  return (await response.json()) as Answer<Call> | Schemas["Status"];
}

const said: string[] = [];
const valued = await post<"valueElements">("/v1/seasons/2025-26/elements:value", {
  category: "senior-men",
  segment: "free-skating",
  elements: [{ code: "3Lz+3T" }, { code: "3F<", secondHalf: true }],
});
if ("totalBaseValue" in valued) {
  // @ts-expect-error A table may be null in an answer, so it is looked at first.
  valued.rules.season;
  said.push(valued.totalBaseValue, valued.rules?.season ?? "", ...valued.elements.map((e) => e.baseValue));
}

const refused = await post<"valueElements">("/v1/seasons/2025-26/elements:value", {
  category: "senior-men",
  segment: "free-skating",
  elements: [{ code: "3Lz+3Te" }],
});
if ("details" in refused) {
  for (const detail of refused.details ?? []) {
    if (detail["@type"] === "type.googleapis.com/google.rpc.ErrorInfo") {
      const reason: Schemas["ErrorReason"] = detail.reason;
      said.push(reason);
    }
  }
}

// @ts-expect-error A segment has a category.
const lacking: Schemas["ScoreSegmentRequest"] = { segment: "free-skating", elements: [], components: [] };
// @ts-expect-error CAMEL is a position, CAMEL_BACKWARD is no variation.
const variation: Schemas["Variation"] = "CAMEL_BACKWARD";
void [lacking, variation];
console.log(JSON.stringify(said));
