// Answers calls in the REST form, a line of JSON each, by the engine as WebAssembly in
// Node.js: node engine.mjs START NOW, with the module that starts it and the time that
// it is for it.
import { createInterface } from "node:readline";

const [, , module, now] = process.argv;
const RealDate = Date;
globalThis.Date = class extends RealDate {
  constructor(...args) {
    super(...(args.length ? args : [now]));
  }
};
const { start } = await import(module);
const engine = await start();
for await (const line of createInterface({ input: process.stdin })) {
  const { verb, target, body } = JSON.parse(line);
  process.stdout.write(`${JSON.stringify(await engine(verb, target, body))}\n`);
}
