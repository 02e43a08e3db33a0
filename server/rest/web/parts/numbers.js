// Figures and times as the page's language writes them.

/** lang is the page's language. */
export const { lang } = document.documentElement;

/**
 * number returns a figure, a number or an exact decimal text such as "-1.18", with as
 * many digits as it has and − for minus; signed puts + before what is above 0.
 */
export function number(figure, { signed = false } = {}) {
  const digits = String(figure).split(".")[1]?.length ?? 0;
  const format = new Intl.NumberFormat(lang, {
    minimumFractionDigits: digits, maximumFractionDigits: digits, signDisplay: signed ? "exceptZero" : "auto",
  });
  return format.format(figure).replace("-", "−");
}

/** day returns a date such as "2026-01-15" in words. */
export const day = (date) => new Intl.DateTimeFormat(lang, { dateStyle: "medium", timeZone: "UTC" }).format(new Date(date));

/** clock returns the time of day, from 0 to 24 hours as on schedules; seconds shows them too. */
export const clock = (time, { seconds = false } = {}) =>
  new Intl.DateTimeFormat(lang, { timeStyle: seconds ? "medium" : "short", hourCycle: "h23" }).format(time);

/** listed joins words: "A, B and C". */
export const listed = (words) => new Intl.ListFormat(lang).format(words);
