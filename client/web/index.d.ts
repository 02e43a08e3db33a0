export * from "./client.js";
export * from "./watch.js";
