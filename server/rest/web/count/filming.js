// A film of the phone, to count from: slowly, frame by frame, with a tick for each
// touch. It is shown from the file and goes nowhere.

import { at, make, setText, show } from "../../embed/dom.js";
import { t } from "../parts/words.js";
import { ticks } from "./film.js";

const FRAME = 1 / 30; // s, until the film has shown how long its frames are
const SPEEDS = { quarter: 0.25, half: 0.5, full: 1 };

/**
 * filming runs the film. act has moved(tick, time) and removed(tick). It returns { open,
 * close, time, draw }: open shows a file, time is where the film stands in seconds, draw
 * shows the touches.
 */
export function filming(act) {
  const film = at("film"), line = at("ticks");
  let frame = FRAME, before, url;
  const clock = (s) => t("count.filmTime", { minutes: Math.floor(s / 60), seconds: (s % 60).toFixed(2).padStart(5, "0") });
  const length = (events) => (Number.isFinite(film.duration) && film.duration) || Math.max(film.currentTime, ...events.map((e) => e.t), 1);

  // How long a frame is, is seen while the film runs.
  const seen = (_, { mediaTime }) => {
    if (mediaTime > before) frame = Math.min(frame, mediaTime - before);
    before = mediaTime;
    film.requestVideoFrameCallback?.(seen);
  };
  film.requestVideoFrameCallback?.(seen);

  const step = (by) => {
    film.pause();
    film.currentTime = Math.max(0, film.currentTime + by * frame);
  };
  const play = () => (film.paused ? film.play() : film.pause());
  at("frame-back").addEventListener("click", () => step(-1));
  at("frame-on").addEventListener("click", () => step(1));
  at("play").addEventListener("click", play);
  at("speed").replaceChildren(...Object.entries(SPEEDS).map(([name, speed]) => make("option", { value: speed }, t(`count.speeds.${name}`))));
  at("speed").addEventListener("change", () => { film.playbackRate = Number(at("speed").value); });
  const stands = () => {
    setText(at("play"), t(film.paused ? "count.play" : "count.pause"));
    setText(at("film-time"), clock(film.currentTime));
    film.playbackRate = Number(at("speed").value);
  };
  for (const event of ["play", "pause", "timeupdate", "seeked", "loadedmetadata"]) film.addEventListener(event, stands);

  // mark is a tick that is moved by dragging, by the arrows frame by frame, and removed by Delete.
  function mark(event, events, n) {
    const place = (x) => {
      const box = line.getBoundingClientRect();
      return Math.min(1, Math.max(0, (x - box.left) / box.width)) * length(events);
    };
    const node = make("button", { type: "button", class: "mark-at", "aria-label": t("count.tick", { n, time: clock(event.t) }) });
    node.style.insetInlineStart = `${100 * event.t / length(events)}%`;
    let to;
    node.addEventListener("pointerdown", (press) => {
      node.setPointerCapture(press.pointerId);
      to = event.t;
    });
    node.addEventListener("pointermove", (press) => {
      if (to === undefined) return;
      to = place(press.clientX);
      node.style.insetInlineStart = `${100 * to / length(events)}%`;
      film.currentTime = to;
    });
    node.addEventListener("pointerup", () => { if (to !== undefined && to !== event.t) act.moved(event, to); to = undefined; });
    node.addEventListener("keydown", (key) => {
      const by = { ArrowLeft: -frame, ArrowRight: frame }[key.key];
      if (by) act.moved(event, Math.max(0, event.t + by));
      else if (key.key === "Delete") act.removed(event);
      else return;
      key.preventDefault();
      key.stopPropagation();
    });
    return node;
  }

  return {
    open(file) {
      url = URL.createObjectURL(file);
      film.src = url;
      film.muted = true;
      show(at("filmed"), true);
      stands();
    },
    close() {
      film.pause();
      film.removeAttribute("src");
      film.load();
      if (url) URL.revokeObjectURL(url);
      url = undefined;
      show(at("filmed"), false);
    },
    time: () => film.currentTime,
    draw(events) {
      const had = [...line.children].indexOf(document.activeElement);
      line.replaceChildren(...ticks(events).map((event, i) => mark(event, events, i + 1)));
      line.children[had]?.focus();
    },
  };
}
