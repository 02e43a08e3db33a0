// What is heard and felt while somebody is counted.

import { lang } from "../parts/numbers.js";
import { t } from "../parts/words.js";

/** What the phone does, in ms of vibration and of pauses. */
const FELT = { revolution: [25], change: [40, 40, 40, 40, 40], feature: [80, 60, 80], struck: [300] };

/** feel lets the phone vibrate, where it can. */
export const feel = (what) => navigator.vibrate?.(FELT[what]);

/** felt reports whether this phone can vibrate. */
export const felt = "vibrate" in navigator;

// The voices that are stored on the device; others would send what is said somewhere.
const voices = () => globalThis.speechSynthesis?.getVoices().filter((v) => v.localService && v.lang.toLowerCase().startsWith(lang)) ?? [];

/** MODES are what the voice can be: silent, saying levels, or counting aloud too. */
export const MODES = ["off", "on", "aloud"];

/** voice speaks where it is switched on: { mode, set(mode), say(text), count(n) }. A new word cuts the old one. */
export function voice(begin) {
  let mode = begin, sound;
  globalThis.speechSynthesis?.getVoices(); // browsers load them when they are first asked for
  const speak = (text) => {
    const [own] = voices();
    if (!own) return;
    const words = new SpeechSynthesisUtterance(text);
    words.voice = own;
    words.lang = own.lang;
    speechSynthesis.cancel();
    speechSynthesis.speak(words);
  };
  // A short tick, so that each revolution is heard without a word.
  const tick = () => {
    sound ??= globalThis.AudioContext && new AudioContext();
    if (!sound) return;
    const tone = sound.createOscillator(), loud = sound.createGain();
    loud.gain.value = 0.2;
    tone.frequency.value = 1_200;
    tone.connect(loud).connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + 0.02);
  };
  return {
    get mode() { return mode; },
    set(to) { mode = to; },
    say(text) { if (mode !== "off") speak(text); },
    count(n) {
      if (mode === "aloud") speak(t("count.spoken", { n }));
      else if (mode === "on") tick();
    },
    /** missing says why nothing would be heard; empty where there is a voice. */
    missing: () => (voices().length ? "" : t("count.noVoice")),
  };
}
