// Uses all of the installed package in Node.js, against the server at SERVER, whose
// administrator has TOKEN, and against servers with faults.
import assert from "node:assert/strict";
import { createServer } from "node:http";
import { test } from "node:test";
import { allPlaces, ApiError, Client, requestId, watchEvent, watchScoreboard } from "rinktally";
import { openOffline } from "rinktally/offline";

const { SERVER, TOKEN } = process.env;
const client = new Client(SERVER, { token: TOKEN });
const rules = { season: "2025-26", category: "senior-women", segment: "free-skating" };
const lutz = { ...rules, elements: [{ code: "3Lz" }] }; // 5.90 in 2025-26
const refusal = (reason, more = {}) => (error) => {
  assert.ok(error instanceof ApiError, error);
  assert.equal(error.reason, reason, error.message);
  for (const [name, value] of Object.entries(more)) assert.equal(error[name], value, name);
  return true;
};

// heard keeps what a watch gives; next resolves to the first of it that fits.
function heard() {
  const values = [];
  let waiting;
  const look = () => {
    const at = waiting ? values.findIndex(waiting.fits) : -1;
    if (at < 0) return;
    waiting.resolve(values.splice(0, at + 1).at(-1));
    waiting = undefined;
  };
  return {
    give: (value) => { values.push(value); look(); },
    next: (fits) => new Promise((resolve) => { waiting = { fits, resolve }; look(); }),
  };
}

test("every call of the server is a method", async () => {
  const { paths } = await (await fetch(`${SERVER}/openapi.json`)).json();
  const operations = Object.values(paths).flatMap((path) => Object.values(path)).filter((o) => o["x-grpc"]);
  const watched = { WatchScoreboard: watchScoreboard, WatchEvent: watchEvent };
  const lacking = operations.map((o) => o["x-grpc"].split("/").at(-1))
    .filter((name) => typeof (watched[name] ?? client[name[0].toLowerCase() + name.slice(1)]) !== "function");
  assert.deepEqual(lacking, []);
  assert.ok(operations.length > 60);
});

test("services of the rules", async () => {
  assert.ok((await client.listSeasons()).seasons.length > 20);
  assert.equal((await client.getElement({ season: "2025-26", code: "3Lz" })).element.baseValue, "5.90");
  assert.equal((await client.valueElements(lutz)).totalBaseValue, "5.90");
  assert.equal((await client.checkProgram({ ...rules, text: "3Lz" })).totalBaseValue, "5.90");
  const { season, segment } = rules;
  const [first] = (await client.rankSegment({ season, segment, entries: [{ id: "1", segmentScore: "3.00" }] })).entries;
  assert.equal(first.place, 1);
  const csv = await client.exportElements({ season: "2025-26", discipline: "singles" });
  assert.ok((await csv.text()).includes("\n2025-26,3Lz,triple Lutz,"));
  assert.equal(client.url("GetElement", { season: "2025-26", code: "3Lz+3T" }), `${SERVER}/v1/seasons/2025-26/elements/3Lz%2B3T`);
});

test("errors say what, where and what is allowed", async () => {
  await assert.rejects(client.valueElements({ ...lutz, elements: [{ code: "3Lz?" }] }), (error) => {
    refusal("CODE_INVALID", { status: 400, code: 3, temporary: false })(error);
    assert.equal(error.fields[0].field, "elements[0].code");
    assert.match(error.requestId, /^\w+$/);
    return true;
  });
  await assert.rejects(new Client(SERVER).createEvent({ name: "Pond Cup", startDate: "2026-01-15", season: "2025-26" }), refusal("UNAUTHENTICATED", { status: 401 }));
  await assert.rejects(client.getEvent({}), TypeError);
  assert.throws(() => new Client("scores.example"), /https:/);
});

test("an event, its desks and its scoreboard", async (t) => {
  const event = "pond-cup";
  const asked = { event, name: "Pond Cup", startDate: "2026-01-15", season: "2025-26" };
  await client.createEvent(asked);
  await client.setCategory({ event, category: "senior-women" });
  const { token } = await client.createToken({ event, role: "ORGANISER" });
  const boards = heard(), states = heard(), stop = new AbortController();
  watchScoreboard(SERVER, event, { board: boards.give }, { signal: stop.signal });
  const leave = watchEvent(SERVER, event, { change: states.give }, { token });
  t.after(() => {
    stop.abort();
    leave();
  });
  await boards.next((board) => board.name === "Pond Cup");
  await states.next((state) => state.entries.length === 0);
  const added = { event, category: "senior-women", name: "Ada Invented", requestId: requestId() };
  const once = await client.addEntry(added), twice = await client.addEntry(added);
  assert.equal(once.sequence, twice.sequence);
  assert.equal((await states.next((state) => state.entries.length > 0)).entries[0].name, "Ada Invented");
  await client.updateEvent({ event, name: "Pond Cup 2" });
  await boards.next((board) => board.name === "Pond Cup 2");
  await states.next((state) => state.event.name === "Pond Cup 2");
  assert.equal((await client.getScoreboard({ event })).scoreboard.name, "Pond Cup 2");
  assert.equal((await client.getEvent({ event })).event.name, "Pond Cup 2");
  await assert.rejects(allPlaces(client, "no-cup"), refusal("EVENT_UNKNOWN"));
  const links = heard();
  t.after(watchScoreboard(SERVER, "no-cup", { link: links.give }));
  refusal("EVENT_UNKNOWN")((await links.next((link) => link.error)).error);
});

// faulty runs a server that answers each request by the next of some functions.
async function faulty(answers, use) {
  const requests = [];
  const server = createServer(async (request, response) => {
    let body = "";
    for await (const part of request) body += part;
    requests.push({ ...request.headers, url: request.url, body });
    const answer = answers[Math.min(requests.length, answers.length) - 1];
    answer(response);
  });
  await new Promise((resolve) => { server.listen(0, "127.0.0.1", resolve); });
  try {
    await use(`http://127.0.0.1:${server.address().port}`, requests);
  } finally {
    server.closeAllConnections();
    server.close();
  }
}
const json = (status, value) => (response) => response.writeHead(status, { "Content-Type": "application/json" }).end(JSON.stringify(value));
const says = (status, code, reason) => json(status, { code, message: reason, details: [{ reason }] });
const STOPPING = says(503, 14, "SERVER_STOPPING");
const page = (status) => (response) => response.writeHead(status, { "Content-Type": "text/html" }).end("<p>");
const cut = (response) => response.destroy();
const silent = () => {};
const fine = json(200, { totalBaseValue: "5.90" });

test("what the Go client repeats is repeated, and nothing else", async () => {
  const value = (c) => c.valueElements(lutz), add = (c) => c.addEntry({ event: "e", category: "c", name: "n" });
  const token = (c) => c.createToken({ event: "e", role: "VIEWER" });
  for (const [what, call, answers, times, reason] of [
    ["unavailable, then a lost connection", value, [STOPPING, cut, fine], 3],
    ["unavailable for good", value, [STOPPING], 3, "SERVER_STOPPING"],
    ["a proxy without a server", value, [page(502), page(503), fine], 3],
    ["a change", add, [STOPPING, cut, json(200, {})], 3],
    ["a secret", token, [STOPPING, fine], 1, "SERVER_STOPPING"],
    ["too many calls", value, [says(429, 8, "RATE_LIMITED"), fine], 1, "RATE_LIMITED"],
    ["too late", value, [says(504, 4, "DEADLINE"), fine], 1, "DEADLINE"],
    ["at fault", value, [says(400, 3, "FIELD_INVALID"), fine], 1, "FIELD_INVALID"],
    ["another site", value, [page(200)], 1, ""],
  ]) {
    await faulty(answers, async (server, requests) => {
      const done = call(new Client(server));
      await (reason === undefined ? done : assert.rejects(done, refusal(reason)));
      assert.equal(requests.length, times, what);
      assert.equal(new Set(requests.map((r) => r.body)).size, 1, `${what}: all attempts send the same`);
      assert.equal(/"requestId":"\w+"/.test(requests[0].body), call === add, what);
    });
  }
  await faulty([STOPPING], async (server, requests) => {
    await assert.rejects(value(new Client(server, { again: { attempts: 1 } })), refusal("SERVER_STOPPING"));
    assert.equal(requests.length, 1);
  });
});

test("signals and time end calls", async () => {
  await faulty([silent], async (server) => {
    await assert.rejects(new Client(server, { timeout: 50 }).valueElements(lutz), refusal("DEADLINE", { status: 0, temporary: true }));
    const control = new AbortController(), why = new Error("the page is closed");
    const call = new Client(server).valueElements(lutz, { signal: control.signal });
    control.abort(why);
    await assert.rejects(call, why);
  });
  await faulty([STOPPING], async (server, requests) => { // before the second attempt
    const control = new AbortController(), why = new Error("enough");
    const call = new Client(server, { again: { pause: 3_600_000, maxPause: 3_600_000 } }).valueElements(lutz, { signal: control.signal });
    while (requests.length === 0) await new Promise(setImmediate);
    control.abort(why);
    await assert.rejects(call, why);
  });
  await assert.rejects(openOffline({ signal: AbortSignal.abort(new Error("not wanted")) }), /not wanted/);
});

test("a watch goes on behind what it has seen", async (t) => {
  const events = (...texts) => (response) => {
    response.writeHead(200, { "Content-Type": "text/event-stream" });
    for (const text of texts) response.write(text);
    response.end();
  };
  const first = 'retry: 1\n\nid: 7\nevent: reset\ndata: {"name":"Cup","place":"Hall"}\n\n', half = 'id: 8\nevent: scoreboard\ndata: {"na';
  await faulty([
    events(first, half), STOPPING, events('retry: 1\n\nid: 8\nevent: scoreboard\ndata: {"name":"Cup 2"}\n\n'), silent,
  ], async (server, requests) => {
    const boards = heard();
    const stop = watchScoreboard(server, "cup", { board: boards.give }, { token: "secret" });
    t.after(stop);
    assert.deepEqual(await boards.next(() => true), { name: "Cup", place: "Hall" });
    assert.deepEqual(await boards.next(() => true), { name: "Cup 2", place: "Hall" });
    stop();
    assert.deepEqual(requests.slice(0, 3).map((r) => r["last-event-id"]), [undefined, "7", "7"]);
    assert.ok(requests.every((r) => r.authorization === "Bearer secret" && !r.url.includes("secret")));
  });
});

test("what is for pages can be imported where sites are rendered", async () => {
  const modules = await Promise.all([import("rinktally/program"), import("rinktally/scoreboard"), import("rinktally/offline/page")]);
  assert.deepEqual(modules.flatMap(Object.keys), ["RinktallyProgram", "RinktallyScoreboard", "openEngine"]);
});

test("the engine", async () => {
  const engine = await openOffline({ seasons: ["2025-26"] });
  assert.equal(engine.offline, true);
  assert.deepEqual((await engine.valueElements(lutz)).elements, (await client.valueElements(lutz)).elements);
  await assert.rejects(engine.valueElements({ ...lutz, elements: [] }), refusal("FIELD_REQUIRED", { status: 400 }));
  assert.equal(engine.getEvent, undefined);
  const plan = await engine.planProgram({ ...rules, abilities: [{ code: "3Lz", success: 0.8, grade: 1 }] });
  assert.equal(plan.plans[0].elements[0].code, "3Lz");
});
