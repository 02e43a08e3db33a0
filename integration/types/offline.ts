// A program over the types of the engine in JavaScript. It is compiled strictly and run
// without a server.
import { ApiError, openOffline, type ValueElementsRequest } from "rinktally/offline";

const values: ValueElementsRequest = { season: "2016-17", category: "senior-women", segment: "free-skating", elements: [{ code: "3Lz" }] };
const said: string[] = [];

const engine = await openOffline({ seasons: ["2016-17"] });
const always: true = engine.offline;
said.push(String(always), (await engine.call("ValueElements", values)).totalBaseValue);
try {
  await engine.call("ValueElements", { ...values, elements: [{ code: "3Lz?" }] });
} catch (error) {
  if (!(error instanceof ApiError)) throw error;
  said.push(`${error.status} ${error.reason} ${error.fields[0]?.field} ${error.metadata.season ?? "-"}`);
}
// @ts-expect-error What several desks write needs a server.
const refused = engine.call("ListEvents").catch((error: ApiError) => error.status);
said.push(String(await refused));

const csv = await engine.call("ExportElements", { season: "2016-17", discipline: "singles" });
said.push(csv.type, String((await csv.text()).includes("3Lz,")));

// A club's own season, as text and as bytes, and one with a fault.
const club = "season: our-club\ntitle: Our club\nextends: 2016-17\nsource: our own rule\nvalid_from: 2016-07-01\nvalid_to: 2017-06-30\n";
const own = await openOffline({ seasons: ["our-club"], rules: { "our-club/season.yaml": club } });
said.push((await own.valueElements({ ...values, season: "our-club" })).totalBaseValue);
const list = await own.call("ListSeasons");
said.push(list.seasons.filter((s) => s.season === "our-club").map((s) => s.title).join());
const bytes = new TextEncoder().encode(`${club}colour: red\n`);
await openOffline({ rules: new Map([["our-club/season.yaml", bytes]]) }).catch((error: Error) => said.push(error.message.split(" is ")[0] ?? ""));
await openOffline({ seasons: ["1998-99"] }).catch((error: ApiError) => said.push(error.reason));

console.log(JSON.stringify(said));
