// Makes calls, a line of JSON each, by the installed package in Node.js: node calls.mjs
// SERVER NOW, with the time that it is for the engine.
import { createInterface } from "node:readline";

const [, , server, now] = process.argv;
const RealDate = Date;
globalThis.Date = class extends RealDate {
  constructor(...args) {
    super(...(args.length ? args : [now]));
  }
};
const { ApiError, Client } = await import("rinktally");
const { openOffline } = await import("rinktally/offline");
const ways = { client: new Client(server), offline: await openOffline() };
for await (const line of createInterface({ input: process.stdin })) {
  const { way, method, season, request } = JSON.parse(line);
  let said;
  try {
    said = { answer: await ways[way][method]({ ...request, season }) };
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    const { reason, message, fields } = error;
    said = { error: { reason, message, fields } };
  }
  process.stdout.write(`${JSON.stringify(said)}\n`);
}
