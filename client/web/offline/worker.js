// The engine in a worker of its own, so that a page never waits for it. Messages are
// {id, start} or {id, method, path, body}, answered with {id, status, answer}.

import { start } from "./start.js";

let engine;

globalThis.onmessage = async ({ data }) => {
  const { id, method, path, body } = data;
  try {
    if (data.start) {
      engine = await start(data.start);
      postMessage({ id, status: 200 });
    } else {
      postMessage({ id, ...(await engine(method, path, body)) });
    }
  } catch (error) {
    postMessage({ id, status: 0, answer: { message: error.message } });
  }
};
